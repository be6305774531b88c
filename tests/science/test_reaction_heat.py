"""Heat of saponification and of free acid meeting lye: published figures, and sums over the pot."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.errors import BadInput
from kettleglass.science import pot as pots_of
from kettleglass.science.basis import Array, Basis, basis_for
from kettleglass.science.heat.reaction import (
    NEUTRALISATION_J_MOL,
    SAPONIFICATION_J_MOL,
    free_acid_at_once,
    neutralisation_heat_j,
    rise_k,
    saponification_heat_j,
    step_heat_j,
)
from kettleglass.science.heat.warming import Band
from kettleglass.science.pot import ROW
from tests.strategies import neutral_pot, pots

Case = tuple[Basis, Array]


def test_a_kilogram_of_fat_releases_what_handbooks_say() -> None:
    """65 kcal/kg of fat (soap handbooks, from memory); 225 kJ/kg by the ethyl acetate analogue."""
    heat = saponification_heat_j(3.0 * 1000.0 / 870.0)
    assert heat.likely / 1000.0 == pytest.approx(225.0, abs=3.0)
    assert heat.high / 1000.0 == pytest.approx(65.0 * 4.184, abs=5.0)


def test_saponification_by_heats_of_formation() -> None:
    """Ethyl acetate and OH- to acetate and ethanol: -479.3, -230.0, -486.0, -288.3 kJ/mol (NBS tables, memory)."""
    assert SAPONIFICATION_J_MOL.likely / 1000.0 == pytest.approx(-479.3 - 230.0 + 486.0 + 288.3, abs=0.1)


def test_neutralisation_by_heats_of_formation() -> None:
    """Liquid acetic acid and OH- to acetate and water: -484.3, -230.0, -486.0, -285.8 kJ/mol (NBS tables, memory)."""
    assert NEUTRALISATION_J_MOL.likely / 1000.0 == pytest.approx(-484.3 - 230.0 + 486.0 + 285.8, abs=0.6)


def test_splitting_the_ester_takes_little_of_it() -> None:
    """Coops, Adriaanse & Dekker 1965: acid + methanol to ester releases 3.8 kJ/mol (heats of combustion)."""
    assert SAPONIFICATION_J_MOL.low <= NEUTRALISATION_J_MOL.likely - 3_800.0 + 2_000.0 < SAPONIFICATION_J_MOL.likely


def test_a_four_kilogram_pot_with_one_of_fat_rises_by_some_twenty_kelvin() -> None:
    rise = rise_k(saponification_heat_j(3.0 * 1000.0 / 870.0), 4000.0 * 2.9)
    assert rise.likely == pytest.approx(20.0, abs=2.0)
    assert rise.low < rise.likely < rise.high


def test_heat_lost_meanwhile_does_not_warm() -> None:
    heat = Band(1000.0, 1000.0, 1000.0)
    assert rise_k(heat, 100.0, lost_share=Band(0.0, 0.2, 0.5)) == pytest.approx((5.0, 8.0, 10.0))
    with pytest.raises(BadInput, match="0 to 1"):
        rise_k(heat, 100.0, lost_share=Band(0.5, 0.2, 0.0))
    with pytest.raises(BadInput, match="heat capacity"):
        rise_k(heat, 0.0)


@given(st.floats(0.0, 50.0), st.floats(0.0, 1.0))
def test_melting_takes_heat_but_never_cools(acid_mol: float, solid: float) -> None:
    molten, flakes = neutralisation_heat_j(acid_mol), neutralisation_heat_j(acid_mol, solid_mol=solid * acid_mol)
    assert 0.0 <= flakes.low <= flakes.likely <= flakes.high == molten.high
    assert flakes.likely <= molten.likely


def test_more_solid_acid_than_there_is_is_refused() -> None:
    with pytest.raises(BadInput, match="More acid"):
        neutralisation_heat_j(1.0, solid_mol=1.1)
    with pytest.raises(BadInput, match="free acid"):
        neutralisation_heat_j(-1.0)
    with pytest.raises(BadInput, match="ester"):
        saponification_heat_j(float("nan"))


@given(pots(), st.floats(0.0, 1.0))
def test_steps_add_up(case: Case, completeness: float) -> None:
    """All at once releases as much as first the acids and then the esters."""
    basis, pot = case
    acids = step_heat_j(basis, pot, 0.0)
    esters = step_heat_j(basis, pots_of.react(basis, pot, 0.0), completeness)
    together = step_heat_j(basis, pot, completeness)
    assert together.likely == pytest.approx(acids.likely + esters.likely, rel=1e-6, abs=1e-3)


@given(pots(), st.floats(0.1, 10.0))
def test_scaling_a_pot_scales_its_heat(case: Case, factor: float) -> None:
    basis, pot = case
    assert step_heat_j(basis, factor * pot).likely == pytest.approx(factor * step_heat_j(basis, pot).likely, rel=1e-9)


STEARIC_G = 284.48
"""Grams in a mole of stearic acid."""


def stearic_pot(hydroxide_mol: float) -> Case:
    basis = basis_for(["18:0", "18:1n-9"])
    amounts = {"acid.18:0": STEARIC_G, "acyl.18:1n-9": 600.0, "water": 300.0}
    return basis, neutral_pot(basis, amounts, {"sodium": hydroxide_mol})


def test_free_acid_takes_lye_at_once_and_fat_does_not() -> None:
    basis, pot = stearic_pot(3.0)
    met = free_acid_at_once(basis, pot, 3000.0, start_c=75.0)
    assert met.acid_mol == pytest.approx(1.0, rel=1e-4)
    assert met.heat_j.likely == pytest.approx(57_000.0, rel=1e-3)
    assert met.rise_k.likely == pytest.approx(19.0, rel=1e-3)
    assert met.reached_c.likely == pytest.approx(94.0, abs=0.1)
    assert met.soap_g == pytest.approx(STEARIC_G - 1.008 + 22.98977, abs=0.01)
    assert step_heat_j(basis, pot).likely > met.heat_j.likely


def test_lye_that_does_not_reach_limits_what_happens_at_once() -> None:
    basis, pot = stearic_pot(0.25)
    met = free_acid_at_once(basis, pot, 3000.0, start_c=75.0, solid_mol=1.0)
    assert met.acid_mol == pytest.approx(0.25, rel=1e-3)
    assert met.heat_j.likely == pytest.approx(0.25 * 2_000.0, rel=1e-2)


def test_without_free_acid_nothing_happens_at_once() -> None:
    basis, pot = stearic_pot(1.0)
    pot[basis.row("acid.18:0")] = 0.0
    met = free_acid_at_once(basis, pot, 3000.0, start_c=70.0)
    assert met.acid_mol == met.soap_g == met.heat_j.high == 0.0
    assert met.reached_c == pytest.approx((70.0, 70.0, 70.0))


def test_citric_acid_takes_lye_before_fatty_acid() -> None:
    basis, pot = stearic_pot(1.0)
    pot[ROW["citric_acid"]] = 192.12 / 3.0
    assert free_acid_at_once(basis, pot, 3000.0, start_c=70.0).acid_mol == pytest.approx(0.0, abs=1e-3)
