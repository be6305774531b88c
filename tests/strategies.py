"""Random but possible pots, one noun a strategy; shared by all law tests."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st

from kettleglass.science.basis import Array, Basis, basis_for
from kettleglass.science.pot import ROW
from kettleglass.science.species import ATOMIC_WEIGHT

ACIDS = ("8:0", "12:0", "16:0", "18:0", "18:1n-9", "18:1-OH")
grams = st.floats(0.0, 500.0, allow_nan=False).map(lambda g: 0.0 if g < 1e-3 else g)


def neutral_pot(basis: Basis, amounts: dict[str, float], moles: dict[str, float]) -> Array:
    """A pot (S,) from grams of neutral species, and moles of salts such as ``sodium hydroxide``."""
    pot = basis.zeros()
    for species_id, mass_g in amounts.items():
        pot[basis.row(species_id)] += mass_g
    for cation, anions in (("sodium", 1), ("potassium", 1)):
        amount = moles.get(cation, 0.0)
        pot[ROW[cation]] += amount * ATOMIC_WEIGHT["Na" if cation == "sodium" else "K"]
        pot[ROW["hydroxide"]] += anions * amount * 17.007
    return pot


@st.composite
def pots(draw: st.DrawFn, *, amine: bool = True) -> tuple[Basis, Array]:
    """A neutral pot of fats, free acids, lye, weak acids, triethanolamine and solvents."""
    basis = basis_for(ACIDS)
    names = [f"acyl.{a}" for a in ACIDS] + [f"acid.{a}" for a in ACIDS]
    names += ["bound_glycerol", "bound_alcohol", "unsaponifiable", "water", "ethanol", "glycerol", "sucrose",
              "citric_acid", "lactic_acid", "acyl.residue", "acid.residue"]  # fmt: skip
    if amine:
        names.append("triethanolamine")
    amounts = {name: draw(grams) for name in draw(st.lists(st.sampled_from(names), unique=True))}
    lye = {
        cation: draw(st.floats(0.0, 5.0))
        for cation in draw(st.lists(st.sampled_from(["sodium", "potassium"]), unique=True))
    }
    return basis, neutral_pot(basis, amounts, lye)


@st.composite
def many_pots(draw: st.DrawFn) -> tuple[Basis, Array]:
    """Two to five pots side by side, (S, N)."""
    drawn = [draw(pots()) for _ in range(draw(st.integers(2, 5)))]
    return drawn[0][0], np.column_stack([pot for _, pot in drawn])
