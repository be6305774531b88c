"""What to mind about the figures themselves: provisional ones, and remarks that come with a material."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from kettleglass.errors import Finding
from kettleglass.recipe.work import Worked


def provisional(worked: Worked) -> Iterator[Finding]:
    """Lye figures that nobody has seen in their source."""
    names = [material.name for _, material, _ in worked.in_use if "saponification_value" in material.provisional]
    if names:
        one = len(names) == 1
        yield Finding(
            "note",
            "from-memory",
            f"The saponification value{'' if one else 's'} of {and_list(names)} {'is' if one else 'are'} known"
            " from memory only.",
            "Use your lot's certificate, and confirm before you print a label.",
            "fats",
        )


def and_list(names: Sequence[str]) -> str:
    """Names as people list them: “a”, “a and b”, “a, b and c”."""
    return " and ".join(filter(None, (", ".join(names[:-1]), names[-1]))) if names else ""


def of_materials(worked: Worked) -> Iterator[Finding]:
    """Remarks that materials bring with them (browning sugars, figures that disagree, clouding scents)."""
    seen = set()
    for line, material, _ in worked.in_use:
        for remark in material.remarks:
            if (remark.code, material.id) not in seen:
                seen.add((remark.code, material.id))
                yield Finding(remark.level, remark.code, remark.text, remark.advice, line.key, remark.source)


def from_weights(worked: Worked) -> Iterator[Finding]:
    """What had to be said while solving and rounding, and lines that were left out."""
    yield from worked.left_out
    yield from worked.weights.findings
