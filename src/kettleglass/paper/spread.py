"""Labels side by side: moved just enough that none lies upon another."""

from __future__ import annotations

from collections.abc import Sequence


def spread(
    wanted: Sequence[float], widths: Sequence[float], *, low: float, high: float, gap: float
) -> list[float] | None:
    """Left edges of labels in order, as near as can be to the wanted ones; None when they cannot all stand in a row.

    Labels that would collide move together as one block about their common middle, so none is favoured.
    """
    if sum(widths) + gap * max(len(widths) - 1, 0) > high - low + 1e-6:
        return None
    blocks: list[tuple[float, int, float]] = []
    for want, width in zip(wanted, widths, strict=True):
        block = (want, 1, width)
        while blocks and _start(blocks[-1], low, high) + blocks[-1][2] + gap > _start(block, low, high):
            block = _merged(blocks.pop(), block, gap)
        blocks.append(block)
    return _edges(blocks, widths, low, high, gap)


def _start(block: tuple[float, int, float], low: float, high: float) -> float:
    return min(max(block[0] / block[1], low), high - block[2])


def _merged(left: tuple[float, int, float], right: tuple[float, int, float], gap: float) -> tuple[float, int, float]:
    """One block of two; the sum of wanted edges is kept as measured from the block's own left edge."""
    shift = left[2] + gap
    return left[0] + right[0] - shift * right[1], left[1] + right[1], left[2] + gap + right[2]


def _edges(
    blocks: list[tuple[float, int, float]], widths: Sequence[float], low: float, high: float, gap: float
) -> list[float]:
    edges: list[float] = []
    left_over = list(widths)
    for block in blocks:
        at = _start(block, low, high)
        for width in left_over[: block[1]]:
            edges.append(at)
            at += width + gap
        del left_over[: block[1]]
    return edges
