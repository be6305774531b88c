"""Strengths as people say them: understood, asked back or refused."""

from __future__ import annotations

import math
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.errors import Ambiguous, BadInput, UnknownName
from kettleglass.materials.material import Doubt
from kettleglass.materials.strength import parse_strength
from kettleglass.materials.substances import SUBSTANCES
from kettleglass.science import mixture
from kettleglass.science.species import PLAIN


@pytest.mark.parametrize(
    ("text", "substance", "percent", "tolerance"),
    [
        # OIML R 22 (95 %vol is 92.408 mass%) and 27 CFR 30.66 Table 6 (190 proof has SG 0.81603)
        ("95 % vol", "ethanol", 92.408, 0.001), ("95% abv", "ethanol", 92.408, 0.001),
        ("95,0 %vol", "ethanol", 92.408, 0.001),
        ("95 % alcohol by volume", "ethanol", 92.408, 0.001), ("40% alc/vol", "ethanol", 33.300, 0.001),
        ("96 % v/v ethanol", "ethanol", 93.839, 0.001), ("190 US proof", "ethanol", 92.418, 0.001),
        ("US 190 proof", "ethanol", 92.418, 0.001), ("190 proof (US)", "ethanol", 92.418, 0.001),
        ("151° proof US", "ethanol", 68.42, 0.01),
        # proof spirit: 49.28 mass%, recalled
        ("100 UK proof", "ethanol", 49.28, 0.02),
        ("92.4 % mass", "ethanol", 92.4, 1e-9), ("92.4 % w/w", "ethanol", 92.4, 1e-9),
        ("92.4 wt% alcohol", "ethanol", 92.4, 1e-9),
        ("100 % ethanol", "ethanol", 100.0, 1e-9), ("0 % alcohol", "ethanol", 0.0, 1e-9),
        # a pharmacopoeia product sheet: 70 % (V/V) is about 62.8 % (m/m)
        ("70 % IPA", "propan-2-ol", 62.8, 0.1), ("70 % isopropyl alcohol", "propan-2-ol", 62.8, 0.1),
        ("91 % isopropanol", "propan-2-ol", 87.6, 0.1), ("91 % 2-propanol", "propan-2-ol", 87.6, 0.1),
        ("91 % mass isopropanol", "propan-2-ol", 91.0, 1e-9), ("isopropanol 91 %", "propan-2-ol", 87.6, 0.1),
        ("2 parts sugar to 1 part water", "sucrose", 200 / 3, 1e-9), ("2:1 syrup", "sucrose", 200 / 3, 1e-9),
        ("1 part water to 2 parts sugar", "sucrose", 200 / 3, 1e-9),
        ("2 parts sugar, 1 part water", "sucrose", 200 / 3, 1e-9),
        ("2:1 sugar to water", "sucrose", 200 / 3, 1e-9), ("1:1 water to sugar", "sucrose", 50.0, 1e-9),
        ("1:5 syrup", "sucrose", 100 / 6, 1e-9),
        ("1.5:1 syrup", "sucrose", 60.0, 1e-9), ("3 parts sugar and 2 parts water by weight", "sucrose", 60.0, 1e-9),
        ("66 °Brix", "sucrose", 66.0, 1e-9), ("65 brix", "sucrose", 65.0, 1e-9),
        ("65,5 bx sugar", "sucrose", 65.5, 1e-9),
        ("1:1 glycerin and water", "glycerol", 50.0, 1e-9), ("50/50 glycerin water", "glycerol", 50.0, 1e-9),
        ("99.5 % glycerol", "glycerol", 99.5, 1e-9), ("99,5 % vegetable glycerine", "glycerol", 99.5, 1e-9),
        ("70 % sorbitol", "sorbitol", 70.0, 1e-9), ("70 % sorbitol syrup", "sorbitol", 70.0, 1e-9),
        ("50 % NaOH", "sodium hydroxide", 50.0, 1e-9), ("NaOH 50 percent solution", "sodium hydroxide", 50.0, 1e-9),
        ("90 % KOH", "potassium hydroxide", 90.0, 1e-9), ("32 % caustic soda", "sodium hydroxide", 32.0, 1e-9),
        ("97-99 % NaOH flakes", "sodium hydroxide", 98.0, 1e-9), ("min. 99 % glycerol", "glycerol", 99.5, 1e-9),
        ("50 % 1,2-propanediol", "propylene glycol", 50.0, 1e-9),
        ("60 % sodium lactate", "sodium lactate", 60.0, 1e-9),
    ],
)  # fmt: skip
def test_as_people_say_it(text: str, substance: str, percent: float, tolerance: float) -> None:
    strength = parse_strength(text)
    assert strength.substance == substance
    assert 100.0 * strength.fraction.value == pytest.approx(percent, abs=tolerance)
    assert strength.low <= strength.fraction.value <= strength.high
    assert math.fsum(strength.mass_fractions.values()) == pytest.approx(1.0, abs=1e-12)
    assert substance in strength.working


def test_ions_of_lye_are_in_the_ratio_of_their_masses() -> None:
    """NaOH: 22.990 + 17.007 g/mol (IUPAC)."""
    shares = parse_strength("50 % NaOH").mass_fractions
    assert shares["sodium"] == pytest.approx(0.5 * 22.98977 / 39.99677, rel=1e-6)
    assert shares["hydroxide"] == pytest.approx(0.5 * 17.007 / 39.99677, rel=1e-6)
    assert shares["water"] == 0.5


@pytest.mark.parametrize(
    ("text", "hint", "choices"),
    [
        ("190 proof", None, ("190 US proof", "190 UK proof")),
        ("100 proof", "ethanol", ("100 US proof", "100 UK proof")),
        ("95 %", None, ("95 % vol", "95 % mass")), ("95 %", "spirit", ("95 % vol", "95 % mass")),
        ("95-96 % ethanol", None, ("95-96 % vol ethanol", "95-96 % mass ethanol")),
        ("50 % lye", None, ("50 % NaOH", "50 % KOH")),
        ("70 % rubbing alcohol", None, ("70 % vol isopropanol", "70 % vol ethanol")),
    ],
)  # fmt: skip
def test_what_the_trade_reads_in_two_ways_is_asked(text: str, hint: str | None, choices: tuple[str, ...]) -> None:
    with pytest.raises(Ambiguous) as asked:
        parse_strength(text, hint)
    assert asked.value.choices == choices
    assert asked.value.why
    for choice in choices:
        try:
            parse_strength(choice, hint)
        except BadInput as refused:
            assert "US proof” meant" in str(refused), choice


def test_the_region_settles_which_proof_is_meant() -> None:
    assert parse_strength("100 proof", region="US").fraction.value == pytest.approx(0.42483, abs=1e-5)
    assert parse_strength("100 proof", region="UK").fraction.value == pytest.approx(0.49270, abs=1e-5)
    assert parse_strength("100 US proof", region="UK").fraction.value == pytest.approx(0.42483, abs=1e-5)


@pytest.mark.parametrize(
    ("text", "hint", "substance"),
    [
        ("91 %", "isopropanol", "propan-2-ol"), ("91 %", "propan_2_ol", "propan-2-ol"),
        ("99.5 %", "glycerol", "glycerol"),
        ("2:1", "sucrose", "sucrose"), ("50 %", "sodium_hydroxide", "sodium hydroxide"),
        ("92 % mass", "ethanol", "ethanol"),
        ("91 % isopropanol", "ethanol", "propan-2-ol"), ("85 %", "triethanolamine", "triethanolamine"),
    ],
)  # fmt: skip
def test_a_hint_stands_in_where_the_text_names_nothing(text: str, hint: str, substance: str) -> None:
    assert parse_strength(text, hint).substance == substance


def test_every_species_has_a_name_that_works_as_a_hint() -> None:
    species = {entry.id for entry in PLAIN}
    for substance in SUBSTANCES:
        assert set(substance.pure) <= species
        assert math.fsum(substance.pure.values()) == pytest.approx(1.0)
        assert parse_strength("10 % mass", substance.name).substance == substance.name
        for species_id in substance.pure:
            if len(substance.pure) == 1:
                assert parse_strength("10 % mass", species_id).substance == substance.name


def test_an_unknown_hint_offers_the_nearest() -> None:
    with pytest.raises(UnknownName) as unknown:
        parse_strength("50 %", "glycerole")
    assert "glycerol" in unknown.value.nearest


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("105 % NaOH", "100 is pure"), ("210 US proof", "200 is pure"), ("190 UK proof", "“190 US proof” meant"),
        ("110 °Brix", "100 is pure"), ("-5 % vol", "less than nothing"), ("50 % vol glycerol", "by volume"),
        ("50 % w/v NaOH", "grams in a volume"), ("95 % vol w/w", "volume and of mass"),
        ("96-95 % vol", "from high to low"),
        ("denatured alcohol 95 %", "does not say what"), ("95 % foo", "“foo”"), ("50 % NaOH KOH", "names"),
        ("", "does not say"),
        ("strong", "does not say"), ("99.5", "does not say"), ("2:1", "what is mixed"),
        ("0:0 syrup", "holds nothing"),
        ("2 cups sugar to 1 cup water", "by volume"), ("1 part alcohol to 1 part water", "measured or weighed"),
        ("1 part sugar to 1 part glycerol", "two substances"), ("100 proof glycerol", "Proof is of ethanol"),
        ("50 brix glycerol", "Brix is of sugar"), ("x" * 5000, "does not say"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_with_a_way_out(text: str, said: str) -> None:
    with pytest.raises(BadInput, match=said) as refused:
        parse_strength(text)
    assert refused.value.remedy
    assert len(str(refused.value)) < 400


def codes(text: str, hint: str | None = None) -> set[str]:
    return {remark.code for remark in parse_strength(text, hint).remarks}


def test_custom_and_assumption_are_said() -> None:
    assert codes("91 % isopropanol") == {"read-by-volume"}
    assert codes("91 % vol isopropanol") == codes("91 % mass isopropanol") == set()
    assert codes("92.4 % mass") == {"substance-assumed"}
    assert codes("92.4 % mass", "ethanol") == codes("92.4 % mass alcohol") == codes("95 % vol") == set()
    assert "by custom" in parse_strength("2:1 syrup").working
    assert "by custom" not in parse_strength("2 parts sugar to 1 part water").working


@pytest.mark.parametrize(
    ("text", "level"),
    [("66 °Brix", None), ("67.5 °Brix", "note"), ("72 °Brix", "caution"), ("10:1 syrup", "caution"),
    ("1:5 syrup", None),
     ("100 % sugar", None)],
)  # fmt: skip
def test_a_syrup_that_can_crystallise_is_minded(text: str, level: str | None) -> None:
    """Saturation at 20 °C is 67.09 mass% (Antokolskaya 1964) or 66.7 (Bubník & Kadlec 1995)."""
    assert [remark.level for remark in parse_strength(text).remarks] == ([] if level is None else [level])


@pytest.mark.parametrize(
    ("text", "minded"), [("50 % NaOH", False), ("60 % NaOH", True), ("98 % NaOH", False), ("60 % KOH", True)]
)
def test_a_lye_that_does_not_stay_dissolved_is_minded(text: str, minded: bool) -> None:
    assert ("lye-saturated" in codes(text)) is minded


def test_the_doubt_is_that_of_the_pharmacopoeia_or_of_the_last_digit() -> None:
    """USP 32: retail isopropanol of 91 % holds 91 to 93 % by volume, of 70 % 68 to 72 %."""
    azeotropic = parse_strength("91 % isopropanol")
    low, high = (mixture.propan_2_ol_mass_fraction_from_volume_fraction(v) for v in (0.91, 0.93))
    assert (azeotropic.low, azeotropic.high) == pytest.approx((low, high))
    assert (parse_strength("92.4 % mass").low, parse_strength("92.4 % mass").high) == pytest.approx((0.9235, 0.9245))
    assert (parse_strength("50 % NaOH").low, parse_strength("50 % NaOH").high) == pytest.approx((0.495, 0.505))
    assert (parse_strength("97-99 % NaOH").low, parse_strength("97-99 % NaOH").high) == pytest.approx((0.97, 0.99))
    assert (parse_strength("min. 99.5 % glycerol").low, parse_strength("≥ 99.5 % glycerol").high) == pytest.approx(
        (0.995, 1.0)
    )
    label = parse_strength("96.0 % vol")
    assert mixture.abv_from_ethanol_mass_fraction(label.high) == pytest.approx(0.963, abs=1e-9)


def test_a_strength_makes_a_doubt_that_keeps_mass() -> None:
    strength = parse_strength("97-99 % NaOH")
    doubt = Doubt("lye", "purity", strength.direction, strength.fraction)
    top = {species: share + doubt.direction[species] for species, share in strength.mass_fractions.items()}
    assert top == pytest.approx(strength.at(0.99))


@given(
    percent=st.floats(0.0, 100.0),
    name=st.sampled_from(["% vol", "% mass", "% vol isopropanol", "% mass glycerol", "°Brix"]),
)
def test_any_strength_closes_and_lies_in_its_own_range(percent: float, name: str) -> None:
    strength = parse_strength(f"{percent:.3f} {name}")
    assert math.fsum(strength.mass_fractions.values()) == pytest.approx(1.0, abs=1e-12)
    assert math.fsum(strength.direction.values()) == pytest.approx(0.0, abs=1e-12)
    assert 0.0 <= strength.low <= strength.fraction.value <= strength.high <= 1.0


@given(
    stronger=st.tuples(st.floats(0.0, 99.0), st.floats(0.01, 1.0)),
    name=st.sampled_from(["US proof", "% vol", "% vol IPA"]),
)
def test_a_higher_figure_is_a_stronger_spirit(stronger: tuple[float, float], name: str) -> None:
    weak, more = stronger
    assert (
        parse_strength(f"{weak:.4f} {name}").fraction.value < parse_strength(f"{weak + more:.4f} {name}").fraction.value
    )


@given(text=st.text(alphabet="0123456789.,%:-/ abvprofsugartwehnkiyxl°≥", max_size=60))
def test_whatever_is_typed_is_understood_asked_or_refused(text: str) -> None:
    try:
        strength = parse_strength(text)
    except Ambiguous as asked:
        assert len(asked.choices) >= 2
    except BadInput as refused:
        assert refused.remedy
    else:
        assert math.fsum(strength.mass_fractions.values()) == pytest.approx(1.0)


@pytest.mark.parametrize("text", [", " * 100 + "1", "1 " + "a " * 99, "1 to " * 40, "-" * 200, "1:" * 100, "% " * 100])
def test_a_long_muddle_is_refused_at_once(text: str) -> None:
    start = time.perf_counter()
    with pytest.raises(BadInput):
        parse_strength(text)
    assert time.perf_counter() - start < 0.5
