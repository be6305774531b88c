"""The same recipe in two sizes: what goes with the surface, what with the mass, and the charge that finishes alike."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from kettleglass.cook.around import around
from kettleglass.cook.course import LIKELY, course_of
from kettleglass.cook.same_finish import AGREES, finish_of
from kettleglass.cook.scale_up import Scaled, scale_up
from kettleglass.cook.swapping import FINE
from kettleglass.cook.warm import Change
from kettleglass.errors import BadInput
from kettleglass.materials.catalogue import load_catalogue
from kettleglass.recipe.leaving import ALCOHOLS
from kettleglass.recipe.place import Place
from kettleglass.recipe.recipe import SOLVE, Amount, BatchSize, Kettle, Line, Losses, MethodStep, Recipe
from kettleglass.recipe.starts import starting_recipe
from kettleglass.recipe.work import finder, work_out
from kettleglass.science.basis import Array
from kettleglass.science.heat.warming import Band
from kettleglass.science.pot import ROW
from tests.goods import DEMO, find, line

POT = replace(DEMO, kettle=Kettle("pot", inner_diameter_mm=140.0, height_mm=150.0, mass_g=700.0))
HEATED = replace(POT, place=Place(heating="enclosed heater", heater_w=1500.0))


def both(recipe: Recipe = POT, **asked) -> tuple[Scaled, Scaled]:
    small, large = scale_up(recipe, find, **asked)
    return small, large


def minutes(change: Change | None) -> Band:
    assert change is not None and change.minutes is not None
    return change.minutes


def share(scaled: Scaled) -> Band:
    assert scaled.alcohol is not None
    return scaled.alcohol.share


def finished_pot(scaled: Scaled) -> Array:
    """The finished base (S,) of a cook that is charged as the answer says, run again from the recipe's own lines."""
    worked = scaled.worked
    grams = dict(zip(worked.sheet.keys, worked.weights.exact_g.tolist(), strict=True))
    grams |= {one.key: one.grams for one in (*scaled.charge.spirits, *scaled.charge.waters)}
    masses = worked.weights.exact_g.copy()
    for row, key in enumerate(worked.sheet.keys):
        masses[row] = grams[key]
    course = course_of(worked.recipe, worked.sheet, masses, around(worked.recipe.place))
    return np.asarray(course.finished[:, LIKELY])


# What goes with the size --------------------------------------------------------------------------------------------


def test_every_size_is_charged_whole_in_a_kettle_of_the_same_proportions():
    small, large = both()
    assert small.worked.total_g == pytest.approx(500.0, abs=0.01)
    assert large.worked.total_g == pytest.approx(10_000.0, abs=0.01)
    for one in (small, large):
        assert one.kettle.diameter_mm / one.kettle.height_mm == pytest.approx(140.0 / 150.0)
    assert (large.kettle.diameter_mm / small.kettle.diameter_mm) ** 3 == pytest.approx(20.0)


def test_the_larger_batch_loses_a_smaller_share_and_more_grams():
    small, large = both()
    for low_or_high in range(3):
        assert share(large)[low_or_high] < share(small)[low_or_high]
    assert large.water.share.likely < small.water.share.likely
    assert large.alcohol is not None and small.alcohol is not None
    assert large.alcohol.grams.likely > small.alcohol.grams.likely


def test_little_loss_in_the_open_goes_with_the_surface_and_the_film():
    """Area over mass goes with m^(-1/3), the film with d^(-0.11) (Mackay & Matsugu 1973): together m^(-0.37)."""
    brief = tuple(
        MethodStep(stage, stage, temperature_c=70.0, minutes=0.2, covered=False) for stage in ("lye", "clear", "syrup")
    )
    small, large = both(replace(POT, method=brief))
    assert share(small).likely < 0.04
    assert share(small).likely / share(large).likely == pytest.approx(20.0 ** (1 / 3 + 0.11 / 3), rel=0.01)


def test_the_rise_without_loss_is_the_same_at_any_size_and_the_larger_keeps_more_of_it():
    small, large = both()
    assert small.exotherm is not None and large.exotherm is not None
    assert large.exotherm.adiabatic_k == pytest.approx(small.exotherm.adiabatic_k, rel=1e-4)
    assert large.exotherm.reached_c.likely > small.exotherm.reached_c.likely + 5.0
    assert large.exotherm.boils is not None
    assert large.exotherm.reached_c.high <= large.exotherm.boils.high_c


def test_fat_with_lye_gives_the_heat_of_the_handbooks():
    """225 to 270 kJ/kg of fat: 65 kJ/mol of ester by heats of formation; 65 kcal/kg, soap handbooks (recalled)."""
    fats = Recipe("palm", (line("palm", 1000, "fats"), line("soda", SOLVE, "lye"), line("water", SOLVE, "lye")))
    (one,) = scale_up(fats, find, (1000.0,))
    assert one.exotherm is not None
    kilograms = one.worked.weights.exact_g[0] / 1000.0
    low, likely, high = (kj / kilograms for kj in one.exotherm.heat_kj)
    assert low < 225.0 and high > 270.0
    assert 225.0 <= likely <= 235.0


def test_the_larger_cools_and_warms_more_slowly():
    """Newton's law: time goes with mass over surface, m^(1/3), when the kettle's own steel grows with its surface."""
    small, large = both()
    assert minutes(large.pace.cool).likely / minutes(small.pace.cool).likely == pytest.approx(20.0 ** (1 / 3), rel=0.1)
    assert minutes(large.pace.warm).likely > 2.0 * minutes(small.pace.warm).likely
    assert minutes(large.pace.melt).likely > 2.0 * minutes(small.pace.melt).likely
    small, large = both(HEATED)
    assert minutes(large.pace.warm).likely > 10.0 * minutes(small.pace.warm).likely


def test_a_heater_warms_at_least_by_its_power():
    """Of 1500 W, 65 % arrive: 58.5 kJ a minute. 10 kg of 2.5 to 3.5 kJ/(kg K) by 60 K take 25 to 36 minutes, and the
    kettle and the room their part."""
    _, large = both(HEATED)
    assert large.pace.warm is not None and large.pace.warm.to_c == 80.0
    assert 25.0 < minutes(large.pace.warm).likely < 45.0
    assert minutes(large.pace.warm).low < minutes(large.pace.warm).likely < minutes(large.pace.warm).high


def test_times_that_cannot_be_said_are_said():
    unsaid, _ = both(replace(POT, place=Place(heating="other")))
    assert unsaid.pace.warm is not None and unsaid.pace.warm.minutes is None
    assert [one.code for one in unsaid.findings] == ["time-unsaid"]
    weak = replace(POT, place=Place(heating="enclosed heater", heater_w=20.0))
    assert any("20 W" in one.text for one in both(weak)[1].findings)


def test_the_larger_batch_needs_more_air_but_less_for_each_kilogram():
    small, large = both()
    assert small.air is not None and large.air is not None
    assert small.air.lel_10_m3_h < large.air.lel_10_m3_h < 20.0 * small.air.lel_10_m3_h


# The charge that finishes alike -------------------------------------------------------------------------------------


@pytest.mark.parametrize("sizes_g", [(500.0, 10_000.0), (250.0, 3000.0)])
def test_the_charge_finishes_alike(sizes_g):
    for one in both(sizes_g=sizes_g):
        charge = one.charge
        assert charge.reached and charge.findings == ()
        again = finish_of(finished_pot(one))
        assert again.alcohol == pytest.approx(charge.wanted.alcohol, abs=AGREES)
        assert again.water == pytest.approx(charge.wanted.water, abs=AGREES)
        assert all(part.grams >= 0.0 for part in (*charge.spirits, *charge.waters))


def test_the_larger_is_charged_with_less_and_the_smaller_with_more():
    small, large = both()
    for one, sign in ((small, 1.0), (large, -1.0)):
        assert all(sign * part.more_g > 0.0 for part in (*one.charge.spirits, *one.charge.waters))
        assert sign * (one.charge.wanted.alcohol - one.charge.scaled.alcohol) > 50.0 * AGREES


def test_the_size_at_which_it_was_tried_needs_no_change():
    total_g = work_out(replace(POT, scale=FINE), find, random_pots=False).total_g
    (same,) = scale_up(POT, find, (total_g,))
    assert [part.more_g for part in same.charge.spirits] == pytest.approx([0.0], abs=0.01)
    (small,) = scale_up(POT, find, (500.0,), base_g=500.0)
    assert [part.more_g for part in small.charge.spirits] == pytest.approx([0.0], abs=0.01)


def test_a_round_trip_of_sizes_comes_back():
    """What 10 kg are charged with to finish like 500 g, taken as a recipe, asks 500 g for the first charge again."""
    tried = replace(POT, size=BatchSize("whole", 500.0))
    (large,) = scale_up(tried, find, (10_000.0,))
    grams = dict(zip(large.worked.sheet.keys, large.worked.weights.exact_g.tolist(), strict=True))
    grams |= {one.key: one.grams for one in (*large.charge.spirits, *large.charge.waters)}
    lines = tuple(line(key, mass, POT.line(key).stage) for key, mass in grams.items())
    big = replace(POT, lines=lines, kettle=large.kettle, size=BatchSize())
    total_g = sum(grams.values())
    (back,) = scale_up(big, find, (500.0 * total_g / 10_000.0,), kettles=(POT.kettle,))
    first = work_out(replace(tried, scale=FINE), find, random_pots=False)
    per_palm = first.weights.exact_g / first.weights.exact_g[0]
    rows = {key: row for row, key in enumerate(first.sheet.keys)}
    charged = {one.key: one.grams for one in (*back.charge.spirits, *back.charge.waters)}
    fat_g = back.worked.weights.exact_g[0]
    assert charged["spirit"] / fat_g == pytest.approx(per_palm[rows["spirit"]], rel=2e-3)
    assert charged["water"] / fat_g == pytest.approx(per_palm[rows["water"]], rel=2e-3)


def test_stated_losses_are_kept_at_their_size_and_follow_the_model_elsewhere():
    tried = replace(POT, size=BatchSize("whole", 500.0), losses=Losses(0.2, 0.05))
    small, large = both(tried)
    assert share(small).likely == pytest.approx(0.2, abs=1e-6)
    assert small.water.share.likely == pytest.approx(0.05, abs=1e-6)
    assert 0.0 < share(large).likely < 0.2
    nothing = both(replace(tried, losses=Losses(0.0, 0.0)))[1]
    assert share(nothing).likely == 0.0
    assert [part.more_g for part in nothing.charge.spirits] == pytest.approx([0.0], abs=0.01)


def test_each_alcohol_is_matched_by_itself():
    recipe = starting_recipe("bar", "crystal clear")
    propanol = Line("propanol", "propan_2_ol_99_vol", Amount(5.0, "% of whole"), "clear")
    mixed = replace(recipe, lines=(*recipe.lines, propanol), kettle=POT.kettle)
    tried, large = scale_up(mixed, finder(load_catalogue().get, {}), (1000.0, 5000.0))
    ethanol, other = large.charge.spirits
    assert (ethanol.key, other.key) == ("spirit", "propanol") and large.charge.reached
    assert ethanol.grams / ethanol.scaled_g != pytest.approx(other.grams / other.scaled_g, rel=1e-4)
    wanted, got = (_shares(one, charged=charged) for one, charged in ((tried, False), (large, True)))
    assert got == pytest.approx(wanted, abs=AGREES)


def _shares(scaled: Scaled, *, charged: bool) -> dict[str, float]:
    """Shares of every alcohol in the finished base, as scaled or as charged by the answer."""
    pot = finished_pot(scaled) if charged else scaled.course.finished[:, LIKELY]
    return {name: float(pot[ROW[name]] / pot.sum()) for name in ("ethanol", "propan_2_ol")}


def test_water_that_cannot_be_taken_out_is_said_and_the_alcohol_fits_what_stays():
    lines = tuple(one for one in POT.lines if one.key not in ("soda", "water"))
    stock = replace(POT, lines=(*lines, line("soda_50", SOLVE, "lye")))
    _, large = both(stock)
    assert not large.charge.reached
    assert [one.code for one in large.charge.findings] == ["finish-not-reached"]
    assert large.charge.finish.alcohol == pytest.approx(large.charge.wanted.alcohol, abs=AGREES)
    assert large.charge.finish.water > large.charge.wanted.water


def test_lye_water_stays_enough_to_dissolve_the_alkali():
    """A saturated lye holds 52.2 % of NaOH at 20 °C: 109 g in 100 g of water (Great Soviet Encyclopedia 1979)."""
    thick = replace(POT, size=BatchSize("whole", 250.0))
    _, large = both(thick, sizes_g=(250.0, 100_000.0))
    (water,) = large.charge.waters
    soda_g = large.worked.weights.exact_g[large.worked.sheet.keys.index("soda")]
    pure_g, own_water_g = 0.98 * soda_g, 0.02 * soda_g
    assert not large.charge.reached
    assert pure_g / (water.grams + own_water_g) == pytest.approx(1.09, rel=0.003)


@pytest.mark.parametrize("key", ["spirit", "water"])
def test_a_pot_of_which_all_can_leave_is_charged_as_scaled(key):
    for one in both(Recipe("only that", (line(key, 100, "clear"),))):
        assert all(part.more_g == 0.0 for part in (*one.charge.spirits, *one.charge.waters))
        assert one.charge.findings == ()


def test_a_recipe_without_alcohol_scales_too():
    lines = tuple(one for one in POT.lines if one.key != "spirit")
    small, large = both(replace(POT, lines=lines))
    assert small.alcohol is None and small.air is None and small.charge.spirits == ()
    assert large.water.share.likely < small.water.share.likely
    assert large.charge.wanted.alcohol == 0.0


# Kettles ------------------------------------------------------------------------------------------------------------


def test_a_kettle_of_the_makers_own_counts():
    wide = Kettle("wide", inner_diameter_mm=700.0, height_mm=300.0)
    _, grown_one = both()
    _, named = both(kettles=(None, wide))
    assert named.kettle is wide
    assert share(named).likely > share(grown_one).likely
    with pytest.raises(BadInput, match="2 sizes and 1 kettles"):
        scale_up(POT, find, kettles=(wide,))


def test_a_kettle_that_nobody_measured_is_no_surer_for_having_grown():
    unmeasured, measured = (replace(POT, kettle=Kettle(inner_diameter_mm=size)) for size in (None, 220.0))
    for vague, sure in zip(both(unmeasured), both(measured), strict=True):
        assert share(vague).low < share(sure).low and share(vague).high >= share(sure).high
        assert share(vague).likely == pytest.approx(share(sure).likely, rel=1e-3)


def test_too_small_and_too_heavy_is_said():
    cup = Kettle("cup", inner_diameter_mm=100.0, height_mm=100.0)
    (one,) = scale_up(POT, find, (20_000.0,), kettles=(cup,))
    codes = {found.code: found.level for found in one.findings}
    assert codes["kettle-too-small"] == "danger" and codes["kettle-heavy"] == "caution"


def test_a_large_batch_that_heats_itself_to_boiling_is_said():
    _, large = both(sizes_g=(500.0, 50_000.0))
    (found,) = (one for one in large.findings if one.code == "own-heat-boils")
    assert "heater off" in found.advice and found.source


@pytest.mark.parametrize("size_g", [0.0, -5.0, float("nan"), float("inf"), 1e9])
def test_a_size_that_is_none_is_refused(size_g):
    with pytest.raises(BadInput):
        scale_up(POT, find, (size_g,))
    with pytest.raises(BadInput):
        scale_up(POT, find, (500.0,), base_g=size_g)


def test_nothing_to_scale_is_refused():
    with pytest.raises(BadInput):
        scale_up(Recipe("empty"), find)


def test_altitude_speeds_the_loss():
    low, high = (both(altitude_m=height)[0] for height in (0.0, 2000.0))
    assert share(high).likely > share(low).likely
    assert high.boils is not None and low.boils is not None and high.boils.likely_c < low.boils.likely_c


def test_alcohols_are_those_that_leave():
    small, _ = both()
    assert small.course.lost_g(*ALCOHOLS) == pytest.approx(small.alcohol.grams.likely if small.alcohol else 0.0)
