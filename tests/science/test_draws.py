"""Random draws against the worked examples of JCGM 101:2008 and EURACHEM A2, and their reproducibility."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.errors import BadInput
from kettleglass.science.draws import NORMAL_95, chance_error, draw_z, spread_of_z, stream

M = 1_000_000
SHAPES = ("rectangular", "triangular", "normal")


def test_the_sum_of_four_normals() -> None:
    """JCGM 101:2008 clause 9.2.2, Table 2: u 2.00, 95 % interval -3.92 to 3.92."""
    total = sum(NORMAL_95 * draw_z(1, f"X{i}", "normal", M) for i in range(4))
    low, high = np.quantile(total, (0.025, 0.975))
    assert (float(np.std(total)), low, high) == pytest.approx((2.0, -3.92, 3.92), abs=0.02)


def test_the_sum_of_four_rectangular_quantities() -> None:
    """JCGM 101:2008 clause 9.2.3, Table 3: u 2.00, but 95 % within -3.88 to 3.88, narrower than the GUM's."""
    total = sum(3**0.5 * draw_z(1, f"X{i}", "rectangular", M) for i in range(4))
    low, high = np.quantile(total, (0.025, 0.975))
    assert (float(np.std(total)), low, high) == pytest.approx((2.0, -3.88, 3.88), abs=0.02)


def test_mass_calibration() -> None:
    """JCGM 101:2008 clause 9.3, Tables 5 and 6 (results recalled): u 0.0754, first order only 0.0539."""
    reference = 100_000 + 0.050 * NORMAL_95 * draw_z(1, "mRc", "normal", M)
    added = 1.234 + 0.020 * NORMAL_95 * draw_z(1, "dmRc", "normal", M)
    air = 1.2 + 0.1 * draw_z(1, "ra", "rectangular", M)
    weight = 8000 + 1000 * draw_z(1, "rw", "rectangular", M)
    standard = 8000 + 50 * draw_z(1, "rR", "rectangular", M)
    difference = (reference + added) * (1 + (air - 1.2) * (1 / weight - 1 / standard)) - 100_000
    assert float(difference.mean()) == pytest.approx(1.2341, abs=0.0008)
    assert float(difference.std()) == pytest.approx(0.0754, abs=0.0004)
    assert (0.050**2 + 0.020**2) ** 0.5 == pytest.approx(0.0539, abs=0.0001)


def test_strength_of_a_sodium_hydroxide_solution() -> None:
    """EURACHEM/CITAC guide 2nd ed. (2000), example A2, Table A2.1: 0.10214 mol/L, u 0.00010."""
    inputs = {
        "rep": (1.0, 0.0005),
        "m": (0.3888, 0.00013),
        "p": (1.0, 0.00029),
        "M": (204.2212, 0.0038),
        "V": (18.64, 0.013),
    }
    x = {name: value + u * NORMAL_95 * draw_z(1, name, "normal", M) for name, (value, u) in inputs.items()}
    strength = 1000 * x["rep"] * x["m"] * x["p"] / (x["M"] * x["V"])
    assert float(strength.mean()) == pytest.approx(0.10214, abs=5e-6)
    assert float(strength.std()) == pytest.approx(0.00010, abs=5e-6)


@given(st.sampled_from(SHAPES), st.floats(-1.0, 1.0), st.floats(-1.0, 1.0))
def test_draws_have_the_spread_they_claim(shape: str, one: float, other: float) -> None:
    limits = (min(one, other), max(one, other))
    drawn = draw_z(3, "spread", shape, 4000, limits)
    assert float(drawn.std()) == pytest.approx(spread_of_z(shape, limits), rel=0.06, abs=1e-12)
    if shape != "normal":
        assert limits[0] <= drawn.min() and drawn.max() <= limits[1]


def test_a_stream_depends_on_its_name_and_seed_alone() -> None:
    first = stream(1, "coconut/saponification_value").random(5)
    stream(1, "something else").random(1000)
    assert np.array_equal(first, stream(1, "coconut/saponification_value").random(5))
    assert not np.array_equal(first, stream(2, "coconut/saponification_value").random(5))
    assert not np.array_equal(first, stream(1, "castor/saponification_value").random(5))
    assert first[0] == pytest.approx(0.7176851143736156, abs=1e-12), (
        "the stream of a name must never change between versions"
    )


def test_limits_the_wrong_way_round_are_refused() -> None:
    with pytest.raises(BadInput, match="wrong way round"):
        draw_z(1, "x", "rectangular", 10, (1.0, -1.0))


def test_monte_carlo_error_of_a_chance() -> None:
    """0.07 percentage points at 5 % and 100 000 draws."""
    assert chance_error(0.05, 100_000) == pytest.approx(0.0007, abs=2e-5)
