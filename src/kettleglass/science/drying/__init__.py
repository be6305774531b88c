"""Drying: laws, the forecast that averages over them, lost pieces, readiness, and pieces that are wrapped."""

from __future__ import annotations

from kettleglass.science.drying.forecast import Forecast, LossPrior, Scale, forecast
from kettleglass.science.drying.lost_piece import LostPiece, as_it_is_now, lost_piece
from kettleglass.science.drying.readiness import SETTLED, WRAP, chances, holds_from, judged
from kettleglass.science.drying.wrapped import Wrapped, wrapped

__all__ = [
    "SETTLED", "WRAP", "Forecast", "LossPrior", "LostPiece", "Scale", "Wrapped", "as_it_is_now", "chances", "forecast",
    "holds_from", "judged", "lost_piece", "wrapped",
]  # fmt: skip
