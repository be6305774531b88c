"""What is said of drying pieces, in one object that page, command and JSON read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from kettleglass.batch.expected import ExpectedLoss
from kettleglass.batch.weights import WeightLog
from kettleglass.errors import Finding
from kettleglass.science.drying.forecast import Forecast, LossPrior
from kettleglass.science.drying.lost_piece import LostPiece
from kettleglass.science.drying.readiness import Chances, Plan
from kettleglass.science.drying.wrapped import Wrapped
from kettleglass.science.heat.warming import Band


@dataclass(frozen=True, slots=True, eq=False)
class DryingForecast:
    """All that is said of drying pieces. Weights are those of all pieces together; bands are the central 90 %.

    `lost_g` is what has left since the first weighing; what broke off does not count. `ready` is rule B (less than
    0.3 % leaves in the next 14 days), `settled` rule A (less than 0.5 % is still to leave); `ready_from_day` and
    `settled_from_day` say from which day of the log each should hold. What cannot be said yet is None. `question` is
    a fall that a lost piece would explain. `rising` (takes up water) and `scattered` (readings that contradict each
    other) say why nothing is called ready. `odd` are the places of odd readings in the log. `message` says all that
    matters in a few plain sentences.
    """

    log: WeightLog
    prior: LossPrior
    expected: ExpectedLoss | None
    lost_g: float
    plan: Plan
    plateau_g: Band | None = None
    left_g: Band | None = None
    next_14_days_g: Band | None = None
    ready_from_day: Band | None = None
    settled_from_day: Band | None = None
    chances: Chances | None = None
    ready: bool = False
    settled: bool = False
    rising: bool = False
    scattered: bool = False
    odd: tuple[int, ...] = ()
    question: LostPiece | None = None
    law_chance: Mapping[str, float] | None = None
    slow_chance: float = 0.0
    made: Forecast | None = None
    held: Wrapped | None = None
    findings: tuple[Finding, ...] = ()
    message: str = ""

    @property
    def sound_g(self) -> tuple[float, ...]:
        """The readings in g that do not look odd; all of them where none would be left."""
        every = self.log.weighings
        return tuple(one.weight_g for place, one in enumerate(every) if place not in self.odd) or tuple(
            one.weight_g for one in every
        )

    @property
    def start_g(self) -> float:
        """The first reading that does not look odd, in g."""
        return self.sound_g[0] if self.log.weighings else 0.0

    @property
    def today(self) -> float:
        """The day of the last weighing, by the log."""
        return self.log.weighings[-1].day if self.log.weighings else 0.0

    @property
    def now_g(self) -> float:
        """The last reading that does not look odd, in g."""
        return self.sound_g[-1] if self.log.weighings else 0.0

    @property
    def lost_fraction(self) -> float:
        """What has left, as a share of the first weight."""
        return self.lost_g / self.start_g if self.start_g > 0.0 else 0.0
