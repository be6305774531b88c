"""What is made or entered here: pots, premixes, stock lye, dye stock, bought paste, fats from a certificate."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.errors import Ambiguous, BadInput, OutOfRange, UnknownName, Unwelcome
from kettleglass.materials.catalogue import load_catalogue
from kettleglass.materials.documents import material_as_dict, material_from_dict
from kettleglass.materials.entered import PasteKnown, bought_paste, own_fat, own_mixture
from kettleglass.materials.figure import exact
from kettleglass.materials.lots import Lot, Measured, lot_material
from kettleglass.materials.made import (
    carried_doubts,
    dye_stock,
    material_from_pot,
    mixed,
    pure_alkali_fraction,
    stock_lye,
)
from kettleglass.materials.material import Doubt, Material
from kettleglass.science import pot as pots
from kettleglass.science.basis import Array, Basis, acids_in, basis_for
from kettleglass.science.saponify import MG_KOH_PER_MOL, NAOH_G_MOL
from tests.materials.test_fats import equivalents_mol
from tests.strategies import pots as any_pot

CATALOGUE = load_catalogue()
COCONUT, CASTOR = CATALOGUE.get("coconut"), CATALOGUE.get("castor")
FLAKES, WATER, GLYCEROL = CATALOGUE.get("sodium_hydroxide_flakes"), CATALOGUE.get("water"), CATALOGUE.get("glycerol")


def closes(material: Material) -> None:
    assert math.fsum(material.composition.values()) == pytest.approx(1.0, abs=1e-9)
    basis = basis_for(acids_in(material.composition))
    pot = basis.vector(material.composition)
    assert float(pots.charge_balance_mol(basis, pot)) == pytest.approx(0.0, abs=1e-9)
    for doubt in material.doubts:
        assert math.fsum(doubt.direction.values()) == pytest.approx(0.0, abs=1e-9)


def free_alkali_mol(material: Material) -> float:
    basis = basis_for(acids_in(material.composition))
    return float(pots.alkali_balance_mol(basis, basis.vector(material.composition)))


PASTE = ((COCONUT, 400.0), (CASTOR, 100.0), (FLAKES, 86.9), (WATER, 130.0))


def cooked(basis: Basis, doubts: tuple[tuple[Doubt, float], ...], offsets: Array) -> Array:
    """The paste after cooking, its doubts at these offsets from their nominal z."""
    pot = sum((mass * basis.vector(material.composition) for material, mass in PASTE), basis.zeros())
    for (doubt, mass), offset in zip(doubts, offsets, strict=True):
        pot = pot + offset * mass * basis.vector(doubt.direction)
    return pots.react(basis, pot)


def make_paste() -> tuple[Material, Basis, tuple[tuple[Doubt, float], ...]]:
    basis = basis_for({acid for material, _ in PASTE for acid in acids_in(material.composition)})
    doubts = tuple((doubt, mass) for material, mass in PASTE for doubt in material.doubts)
    carried = carried_doubts([doubt for doubt, _ in doubts], lambda offsets: cooked(basis, doubts, offsets))
    pot = cooked(basis, doubts, np.zeros(len(doubts)))
    return material_from_pot("paste-1", "Paste of batch 1", basis, pot, carried), basis, doubts


def test_a_pot_becomes_a_material_with_its_doubts() -> None:
    paste, basis, doubts = make_paste()
    closes(paste)
    assert paste.kind == "made"
    assert [doubt.key for doubt in paste.doubts] == [
        "coconut/saponification_value", "castor/saponification_value", "sodium_hydroxide_flakes/purity",
    ]  # fmt: skip
    whole = float(cooked(basis, doubts, np.zeros(3)).sum())
    assert paste.share("glycerol") > 0.05
    for row, doubt in enumerate(paste.doubts):
        ends = []
        for z in (1.0, -1.0):
            offsets = np.zeros(3)
            offsets[row] = z - doubt.figure.z_nominal
            ends.append(float(pots.alkali_balance_mol(basis, cooked(basis, doubts, offsets))))
        carried = float(pots.alkali_balance_mol(basis, basis.vector(doubt.direction))) * whole
        assert carried == pytest.approx(0.5 * (ends[0] - ends[1]), rel=1e-9), "exact for the balance of alkali"


def test_a_made_material_can_be_kept_and_made_into_another() -> None:
    paste, _, _ = make_paste()
    again = material_from_dict(material_as_dict(paste))
    assert again == paste
    softened = mixed("paste-2", "Softened paste", [(again, 500.0), (GLYCEROL, 50.0)])
    closes(softened)
    assert softened.share("glycerol") == pytest.approx((500.0 * paste.share("glycerol") + 50.0 * 0.995) / 550.0)
    keys = [doubt.key for doubt in softened.doubts]
    assert keys[0] == "coconut/saponification_value", "a paste and its oil still share one draw"
    assert "glycerol/strength" in keys


@given(any_pot(), st.floats(0.01, 1.0))
def test_a_part_of_a_pot_is_the_same_material(case: tuple[Basis, Array], fraction: float) -> None:
    basis, pot = case
    if float(pot.sum()) < 1.0:
        return
    whole = material_from_pot("a", "A", basis, pot)
    part = material_from_pot("a", "A", basis, pots.split(pot, fraction)[0])
    assert math.fsum(whole.composition.values()) == pytest.approx(1.0, abs=1e-9)
    for species_id, share in whole.composition.items():
        assert part.composition.get(species_id, 0.0) == pytest.approx(share, rel=1e-9, abs=1e-12)


def test_an_empty_pot_is_no_material() -> None:
    with pytest.raises(BadInput, match="nothing in the pot"):
        material_from_pot("a", "Nothing", basis_for(()), basis_for(()).zeros())


def test_a_premix_carries_cautions_and_remarks() -> None:
    premix = mixed("premix", "Spirit and glycerol", [(CATALOGUE.get("ethanol_95_vol"), 700.0), (GLYCEROL, 300.0)],
                   density_g_ml=exact(0.92, "g/mL", "measured", "maker"))  # fmt: skip
    closes(premix)
    assert premix.traits == {"flammable"}
    assert premix.share("ethanol") == pytest.approx(0.7 * 0.9241, abs=1e-4)
    assert premix.density_g_ml is not None
    assert premix.note == "Made of 700 g ethanol 95 % vol, 300 g glycerol 99.5 %."
    sweet = mixed("sweet", "Honey water", [(CATALOGUE.get("honey"), 50.0), (WATER, 50.0)])
    assert [remark.code for remark in sweet.remarks] == ["sugar-browns"]
    assert "lime" not in sweet.traits
    with pytest.raises(BadInput, match="Nothing was put in"):
        mixed("none", "Nothing", [(WATER, 0.0)])


def test_mixing_is_a_weighted_mean_in_any_order() -> None:
    parts = [(COCONUT, 30.0), (CASTOR, 50.0), (GLYCEROL, 20.0)]
    one, other = mixed("m", "M", parts), mixed("m", "M", parts[::-1])
    for species_id, share in one.composition.items():
        assert other.composition[species_id] == pytest.approx(share, rel=1e-12)
        mean = sum(mass * material.composition.get(species_id, 0.0) for material, mass in parts) / 100.0
        assert share == pytest.approx(mean, rel=1e-12)


def test_stock_lye_knows_its_purity_and_its_doubt() -> None:
    lye = stock_lye("lye-1", "Stock lye", alkali=FLAKES, alkali_g=500.0, water=WATER, water_g=480.0)
    closes(lye)
    # by hand: 500 g of 98 % in 980 g is 50.0 %; at 97 and 99 % it is 49.5 and 50.5 %
    purity = lye.figures["purity"]
    assert (purity.value, purity.low, purity.high) == pytest.approx((0.5, 0.49490, 0.50510), abs=1e-5)
    assert pure_alkali_fraction(lye) == pytest.approx(0.5, abs=1e-5)
    assert lye.kind == "alkali"
    assert "caustic" in lye.traits
    assert [doubt.key for doubt in lye.doubts] == ["sodium_hydroxide_flakes/purity"]
    potash = CATALOGUE.get("potassium_hydroxide_flakes")
    soft = stock_lye("lye-2", "Potash lye", alkali=potash, alkali_g=500.0, water=WATER, water_g=400.0)
    assert soft.figures["purity"].value == pytest.approx(0.5, abs=1e-5)


def test_lye_that_does_not_dissolve_is_refused() -> None:
    # Great Soviet Encyclopedia 1979: 52.2 % NaOH at 20 °C
    with pytest.raises(OutOfRange, match=r"52\.2 %.*Make 939 g"):
        stock_lye("lye", "Too strong", alkali=FLAKES, alkali_g=500.0, water=WATER, water_g=400.0)
    with pytest.raises(BadInput, match="not an alkali"):
        stock_lye("lye", "No lye", alkali=GLYCEROL, alkali_g=500.0, water=WATER, water_g=400.0)


def test_dye_stock_is_weighed_like_any_good() -> None:
    violet = CATALOGUE.get("acid_violet_43")
    stock = dye_stock("violet-1", "Violet stock", violet, 1.0, [(WATER, 60.0), (GLYCEROL, 39.0)])
    closes(stock)
    assert stock.composition["unspecified"] == pytest.approx(0.01)
    assert stock.figures["strength"].value == pytest.approx(1.0)
    assert stock.names.eu == "CI 60730"
    assert stock.kind == "dye"


def test_a_bought_paste_from_what_is_known_of_it() -> None:
    fats = [(COCONUT, 70.0), (CASTOR, 30.0)]
    known = PasteKnown(fats, "sodium", Measured(63.0, 1.0), Measured(0.1, 0.02), glycerol_kept=True)
    paste = bought_paste("p", "Bought paste", known)
    closes(paste)
    assert paste.share("water") == pytest.approx(0.37)
    assert free_alkali_mol(paste) * NAOH_G_MOL == pytest.approx(0.001, rel=1e-6)
    assert paste.remarks == ()
    assert {doubt.key for doubt in paste.doubts} == {"p/oven_solids", "p/free_alkali"}
    # by hand: 1 g of the fats takes (0.7 x 256.5 + 0.3 x 179) mg KOH: 0.00415733 mol, and gives 1 g + 0.00415733 mol
    # NaOH of dry soap and glycerol, a third as many moles of glycerol (the free acids of the castor oil bind none)
    moles = (0.7 * 256.5 + 0.3 * 179.0) / MG_KOH_PER_MOL
    soap_mol = sum(grams / acid_mass(sid) for sid, grams in paste.composition.items() if sid.startswith("soap."))
    assert paste.share("glycerol") / 92.094 * 3.0 / soap_mol == pytest.approx(1.0, abs=0.002)
    assert soap_mol / moles == pytest.approx(0.629 / (1.0 + moles * 39.997), rel=2e-4)


def acid_mass(species_id: str) -> float:
    from kettleglass.science.species import fatty_acid

    acid = species_id.removeprefix("soap.")
    return math.inf if acid == "residue" else fatty_acid(acid).soap_g_mol


def test_sodium_or_potassium_is_always_asked() -> None:
    with pytest.raises(Ambiguous, match="“sodium” or “potassium”"):
        bought_paste("p", "Bought paste", PasteKnown([(COCONUT, 1.0)]))
    known = PasteKnown([(COCONUT, 1.0)], "potassium", Measured(60.0, 1.0), Measured(0.0, 0.01))
    soft = bought_paste("p", "Soft paste", known)
    closes(soft)
    assert soft.share("potassium") > 0.05
    assert soft.share("sodium") == 0.0


def test_what_is_not_known_of_a_paste_widens_its_doubt_and_is_said() -> None:
    vague = bought_paste("p", "Paste", PasteKnown(alkali="sodium"))
    closes(vague)
    assert {doubt.key for doubt in vague.doubts} == {"p/oven_solids", "p/free_alkali", "p/glycerol_kept"}
    assert all(figure.known == "assumed" for figure in vague.figures.values())
    (remark,) = vague.remarks
    for word in ("oven solids", "titrated", "glycerol", "fats"):
        assert word in remark.text
    assert "soap.unknown" in vague.composition
    sure = bought_paste("p", "Paste", PasteKnown([(COCONUT, 1.0)], "sodium", Measured(62.0, 1.0), Measured(0.05, 0.01),
                                                 glycerol_kept=False))  # fmt: skip
    assert sure.share("glycerol") == 0.0
    assert sure.doubts[0].direction["water"] == pytest.approx(-0.01)
    assert vague.doubts[0].direction["water"] == pytest.approx(-0.2)
    for percent in (0.0, 100.0, 130.0):
        with pytest.raises(BadInput, match="not a paste"):
            bought_paste("p", "Paste", PasteKnown(alkali="sodium", oven_solids_percent=Measured(percent, 0.0)))


@given(st.floats(20.0, 90.0), st.floats(0.0, 1.0), st.booleans(), st.sampled_from(["sodium", "potassium"]))
def test_every_paste_closes(solids: float, free: float, kept: bool, alkali: str) -> None:
    paste = bought_paste("p", "Paste", PasteKnown(
        [(COCONUT, 2.0), (CATALOGUE.get("stearic_acid_50"), 1.0)], alkali, Measured(solids, 1.0),  # type: ignore[arg-type]
        Measured(free, 0.05), kept))  # fmt: skip
    closes(paste)
    assert free_alkali_mol(paste) * NAOH_G_MOL == pytest.approx(0.01 * free, abs=1e-9)
    assert 1.0 - paste.share("water") == pytest.approx(0.01 * solids, rel=1e-9)


def test_a_fat_from_its_certificate() -> None:
    acids = {"12:0": 14, "14:0": 70, "16:0": 6, "18:1n-9": 10}
    mine = own_fat(
        "ucuuba", "Ucuuba butter", saponification_value=Measured(243.0, 2.0), acid_value=Measured(3.0, 0.2),
        unsaponifiable_percent=1.5, acids=acids, traits=frozenset({"dark"}),
    )  # fmt: skip
    closes(mine)
    assert mine.kind == "fat"
    assert equivalents_mol(dict(mine.composition)) * MG_KOH_PER_MOL == pytest.approx(243.0, rel=1e-12)
    figure = mine.figures["saponification_value"]
    assert (figure.low, figure.high, figure.known) == (241.0, 245.0, "maker")
    assert mine.composition["unsaponifiable"] == pytest.approx(0.015)
    computed = own_fat("x", "X", acids=acids)
    assert computed.figures["saponification_value"].known == "derived"
    # by hand: 0.4352 mol of acids in 100 g, mean 229.8 g/mol; 56105 / (229.8 - 18.015 + 30.698)
    assert computed.figures["saponification_value"].value == pytest.approx(231.4, abs=0.1)
    assert computed.doubts[0].figure.high == pytest.approx(1.03 * computed.figures["saponification_value"].value)
    acid = own_fat("c10", "Capric acid", build="free acid", acid_value=Measured(325.0, 1.0), acids={"10:0": 1})
    assert acid.kind == "fatty acid"
    assert acid.composition["acid.10:0"] == pytest.approx(0.998, abs=0.002)
    wax = own_fat("candelilla", "Candelilla wax", build="wax", saponification_value=Measured(50.0, 5.0),
                  unsaponifiable_percent=70.0)  # fmt: skip
    assert wax.composition["bound_alcohol"] == pytest.approx(0.7)
    assert [remark.code for remark in wax.remarks] == ["acids-unknown"]
    with pytest.raises(Unwelcome, match="cannot be computed"):
        own_fat("y", "Y")
    with pytest.raises(Unwelcome):
        own_fat("y", "Y", build="wax", acids={"20:1n-9": 1.0})
    with pytest.raises(UnknownName, match="fatty acid"):
        own_fat("y", "Y", acids={"lauric": 1.0})


def test_figures_that_disagree_are_remarked_on() -> None:
    odd = own_fat("odd", "Odd oil", saponification_value=Measured(260.0, 1.0), acids={"18:1n-9": 1.0})
    assert [remark.code for remark in odd.remarks] == ["fat-figures-disagree"]


def test_a_mixture_of_ones_own() -> None:
    lye = own_mixture("drum", "Drum of lye", "alkali", {"sodium_hydroxide": Measured(45.0, 0.5)}, rest="water",
                      density_g_ml=1.48, aliases=("blue drum",))  # fmt: skip
    closes(lye)
    assert lye.share("hydroxide") * 39.997 / 17.007 == pytest.approx(0.45, rel=2e-5)
    assert lye.doubts[0].direction["water"] == pytest.approx(-0.005)
    lot = lot_material(Lot("L", "drum", figures={"strength": Measured(45.8, 0.1)}), CATALOGUE.with_own([lye]))
    closes(lot)
    assert lot.share("hydroxide") * 39.997 / 17.007 == pytest.approx(0.458, rel=2e-5)
    mix = own_mixture("mix", "Mix", "polyol", {"glycerol": Measured(40.0, 1.0), "sorbitol": Measured(30.0, 0.0)})
    assert mix.composition == pytest.approx({"glycerol": 0.4, "sorbitol": 0.3, "unspecified": 0.3})
    assert set(mix.figures) == {"glycerol_percent", "sorbitol_percent"}
    assert [doubt.key for doubt in mix.doubts] == ["mix/glycerol_percent"]
    with pytest.raises(BadInput, match="add up"):
        own_mixture("mix", "Mix", "polyol", {"glycerol": Measured(80.0, 1.0), "sorbitol": Measured(30.0, 0.0)})
    with pytest.raises(UnknownName, match="glycerol"):
        own_mixture("mix", "Mix", "polyol", {"glycerl": Measured(80.0, 1.0)})


def test_doubts_of_a_doubtless_pot_are_dropped() -> None:
    basis = basis_for(acids_in(COCONUT.composition))
    pot = basis.vector(COCONUT.composition)
    (doubt,) = COCONUT.doubts
    (still,) = carried_doubts([doubt], lambda _: pot)
    assert material_from_pot("a", "A", basis, pot, [still]).doubts == ()
    (moving,) = carried_doubts([doubt], lambda offsets: pot + offsets[0] * basis.vector(doubt.direction))
    kept = material_from_pot("a", "A", basis, pot, [replace(moving, agreeing=(-0.5, 0.5))]).doubts[0]
    assert kept.agreeing == (-0.5, 0.5)
    for species_id, grams in doubt.direction.items():
        assert kept.direction.get(species_id, 0.0) == pytest.approx(grams, abs=1e-12)
