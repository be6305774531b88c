"""What stands in a field: text as people write it to the value meant, and the value back to text.

A written value reads back as exactly the same number: digits in full, shares shifted as decimals.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import cast

from kettleglass.errors import Ambiguous, BadInput, KettleglassError, UnknownName
from kettleglass.recipe.exchange.schema import FieldRule, Kind
from kettleglass.recipe.hardness import parse_hardness
from kettleglass.recipe.lyewater import (
    fraction_of_percent,
    lye_water_text,
    percent_of_fraction,
    plain_number,
    read_lye_water,
)
from kettleglass.recipe.recipe import SOLVE, Amount, By, LyeWater
from kettleglass.units import parse_mass, parse_number, parse_volume

_OUNCE_G = 28.349523125
_PERCENT = re.compile(r"(?P<number>[^%]*[\d½¼¾])\s*(?:%|percent|per cent)\s*(?P<of>.*)")
_OF: dict[str, By] = {
    "fats": "% of fats", "fat": "% of fats", "oils": "% of fats", "oil": "% of fats", "oil weight": "% of fats",
    "whole": "% of whole", "whole batch": "% of whole", "batch": "% of whole", "total": "% of whole",
    "soap": "% of soap", "anhydrous soap": "% of soap", "dry soap": "% of soap",
}  # fmt: skip
_LENGTHS_MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "inch": 25.4, "inches": 25.4, '"': 25.4, "″": 25.4, "ft": 304.8}
_TIMES_MIN = {"s": 1 / 60, "sec": 1 / 60, "second": 1 / 60, "seconds": 1 / 60, "min": 1.0, "minute": 1.0, "minutes": 1.0,
              "h": 60.0, "hour": 60.0, "hours": 60.0, "d": 1440.0, "day": 1440.0, "days": 1440.0}  # fmt: skip
_PART = re.compile(r"\s*([-+−]?[\d.,½¼¾/ ]*[\d½¼¾])\s*([^\d\s.,½¼¾/+−-]+)\s*(?:and|,)?")
