"""The clock of this machine, and ids: 11 characters, in order of making, safe in a web address."""

from __future__ import annotations

import secrets
import threading
from collections.abc import Callable
from datetime import UTC, datetime

Clock = Callable[[], datetime]
IdSource = Callable[[], str]

# Digits and letters in ASCII order without i, l, o and u, which people misread or mistype.
_ALPHABET = "0123456789abcdefghjkmnpqrstvwxyz"
_EPOCH_S = 1_577_836_800  # 2020-01-01T00:00:00Z
_RANDOM_BITS = 20
_LENGTH = 11  # 55 bits: 35 for the seconds (about a thousand years), 20 at random


def utc_now() -> datetime:
    """The present moment in UTC, from the clock of this machine."""
    return datetime.now(UTC)


class Ids:
    """Makes ids that sort in the order of making, even when the clock jumps back. Thread-safe.

    `clock` gives the seconds, `random_bits(k)` an integer of k random bits; within one second ids
    count upwards from a random start, so two programs on one book do not collide.
    """

    def __init__(self, clock: Clock, random_bits: Callable[[int], int] = secrets.randbits) -> None:
        self._clock, self._random_bits = clock, random_bits
        self._lock, self._last = threading.Lock(), 0

    def __call__(self) -> str:
        """A new id."""
        seconds = max(int(self._clock().timestamp()) - _EPOCH_S, 0)
        with self._lock:
            self._last = max(self._last + 1, (seconds << _RANDOM_BITS) | self._random_bits(_RANDOM_BITS))
            return _written(self._last)


def _written(number: int) -> str:
    return "".join(_ALPHABET[(number >> (5 * place)) & 31] for place in reversed(range(_LENGTH)))
