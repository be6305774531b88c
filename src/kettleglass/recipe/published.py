"""Published soaps with complete amounts, as pots: what they hold, what came of them, and which lie nearest.

Every ingredient of a published charge is mapped to species in the table itself (column ``parts``); fats and
commercial acids take the catalogue's figures. Fats react with the lye stage by stage, as in a recipe. Only worked
compositions with every amount are used; partial ones and claimed ranges are listed by `left_out` with the reason.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, cast, get_args

import numpy as np

from kettleglass.errors import BadInput, UnknownName
from kettleglass.materials import Material
from kettleglass.materials.catalogue import load_catalogue
from kettleglass.materials.figure import Known
from kettleglass.materials.tables import read_table
from kettleglass.recipe.reading_order import least_known
from kettleglass.recipe.recipe import STAGES
from kettleglass.science import pot as pots
from kettleglass.science.basis import Array, Basis, acids_in, basis_for
from kettleglass.science.descriptors import CLARITY, clarity_of_one, window_quantities
from kettleglass.science.species import PLAIN, RESIDUE, fatty_acid
