"""Water and its vapour alone: saturation pressure and boiling point, far beyond the range of a pot."""

from __future__ import annotations

import math
from collections.abc import Callable

from kettleglass.science.correlation import within

SOURCE = "Wagner & Pruss, J. Phys. Chem. Ref. Data 22 (1993) 783, eq. 1; coefficients recalled, checked at three points"
LOWEST_C, HIGHEST_C = 0.0, 200.0
_CRITICAL_K, _CRITICAL_PA = 647.096, 22.064e6
_TERMS = (
    (-7.85951783, 1.0), (1.84408259, 1.5), (-11.7866497, 3.0),
    (22.6807411, 3.5), (-15.9618719, 4.0), (1.80122502, 7.5),
)  # fmt: skip
LEAST_PA, MOST_PA = 50_000.0, 110_000.0
"""Air pressures at which people cook: some 5 500 m up to below the sea."""


def water_pressure_pa(temperature_c: float) -> float:
    """Saturation pressure of water in Pa, 0 to 200 °C (Wagner & Pruss 1993, within 0.02 % there).

    Raises `OutOfRange`. Example (IAPWS steam tables): 101.4 kPa at 100 °C.
    """
    kelvin = float(within("The temperature", temperature_c, LOWEST_C, HIGHEST_C, unit="°C", source=SOURCE)) + 273.15
    tau = 1.0 - kelvin / _CRITICAL_K
    return _CRITICAL_PA * math.exp(_CRITICAL_K / kelvin * sum(a * tau**power for a, power in _TERMS))


def boiling_water_c(pressure_pa: float = 101_325.0) -> float:
    """Boiling point of water in °C at an air pressure of 50 to 110 kPa. Raises `OutOfRange`.

    Example (IAPWS): 99.974 °C at 101.325 kPa.
    """
    return where_reached(water_pressure_pa, air_pressure_pa(pressure_pa), 60.0, 130.0)


def air_pressure_pa(pressure_pa: float) -> float:
    """The pressure as given, once it is known to be one of 50 to 110 kPa; raises `OutOfRange`."""
    return float(within("The air pressure", pressure_pa, LEAST_PA, MOST_PA, unit="Pa"))


def where_reached(rising: Callable[[float], float], value: float, low: float, high: float) -> float:
    """Where a rising function reaches `value`, between `low` and `high` (that end where it lies beyond), by halving."""
    for _ in range(50):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if rising(middle) < value else (low, middle)
    return 0.5 * (low + high)
