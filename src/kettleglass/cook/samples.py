"""Tests on the hot pot: how each is done, and what each result means. None of them is done by mouth.

The cooled sample is of Thomssen (Soap-Making Manual, 1922, ch. III) and of Simmons & Appleton (The Handbook of Soap
Manufacture, 1908, ch. VI), who read the same clouded sample differently: both readings are given.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

THOMSSEN = "Thomssen 1922"
SIMMONS = "Simmons & Appleton 1908"
PRACTICE = "common practice, no source"
Verdict = Literal["go on", "wait", "mend"]


@dataclass(frozen=True, slots=True)
class Result:
    """What is seen, what it means, what to do, and who says so."""

    seen: str
    means: str
    do: str
    verdict: Verdict
    source: str


@dataclass(frozen=True, slots=True)
class SampleTest:
    """A test: `code` names it, `how` it is done, `results` what may come of it, `not_this` what it does not tell."""

    code: str
    name: str
    how: str
    results: tuple[Result, ...]
    not_this: str = ""


FREE_ALKALI = SampleTest(
    "free-alkali",
    "Free alkali: the gate before the solvents",
    "Dissolve a weighed sample in warm neutral alcohol (small, away from the pot, in a water bath) and put a drop of"
    " phenolphthalein to it; titrate with acid to a figure where the recipe asks for one.",
    (
        Result("stays colourless", "no free caustic that this would show", "Pass the gate.", "go on", SIMMONS),
        Result(
            "turns pink, less after another ten minutes", "saponification is not done yet",
            "Cover, hold it hot, stir, test again.", "wait", SIMMONS,
        ),
        Result(
            "stays pink, no less", "lye in excess",
            "Titrate, then work out the correction from the figure; add no solvents before.", "mend", SIMMONS,
        ),
    ),
    "pH does not measure free caustic: soap itself is alkaline. Never by mouth.",
)  # fmt: skip
FREE_FAT = SampleTest(
    "free-fat",
    "Free fat",
    "Stir a pea of paste into a glass of hot distilled water.",
    (
        Result("clear or evenly hazy, no drops", "no free fat to be seen", "Pass the gate.", "go on", PRACTICE),
        Result("oily drops, greasy to the glove", "not saponified through", "Cover, hold, stir, test again.", "wait",
               SIMMONS),
    ),
)  # fmt: skip
LUMPS = SampleTest(
    "lumps",
    "No lumps before the hold",
    "Lift the stirrer slowly over the whole bottom and wall; press what is thick against the wall.",
    (
        Result("runs off evenly", "dissolved", "Cover and begin the hold.", "go on", PRACTICE),
        Result("lumps, or dry soap on the wall", "they stay as white specks", "Scrape down, stir until none is left;"
               " only then let the hold begin.", "wait", THOMSSEN),
    ),
)  # fmt: skip
COOLED_SAMPLE = SampleTest(
    "cooled-sample",
    "Drop on a cold plate",
    "Let a thick drop, or a thimble full, cool through on a cold plate; look through it and press it.",
    (
        Result("clear and firm", "ready", "Go on.", "go on", f"{THOMSSEN}; {SIMMONS}"),
        Result("not clear", "too little alcohol, or it was lost", "Weigh the kettle and add back spirit.", "mend",
               THOMSSEN),
        Result("firm but opaque", "too little syrup", "Add syrup by small weighed portions.", "mend", SIMMONS),
        Result("soft but clear", "too much water", "Cut the lye water next time; boiling it down would drive off the"
               " alcohol first.", "mend", SIMMONS),
        Result("greasy, or soft and cloudy", "not saponified through", "Back to the hold, covered; test for free alkali"
               " again.", "wait", SIMMONS),
    ),
    "It tells of this drop, cooled in minutes; a bar that cools for hours can still cloud.",
)  # fmt: skip
FILM = SampleTest(
    "film",
    "Film after a rest",
    "Rest it covered for about ten minutes, lift the lid, and watch the surface.",
    (
        Result("a film forms", "mixed enough to pour, if the scale says that nothing is missing", "Skim, pour.",
               "go on", PRACTICE),
        Result("no film", "still too hot, or more alcohol and water than it can take up", "Rest it a little longer.",
               "wait", PRACTICE),
    ),
    "A film also means drying, so it alone proves nothing: ask the scale.",
)  # fmt: skip
DRYING = SampleTest(
    "drying",
    "Weight of the kettle",
    "Weigh kettle and contents, with the same lid as before, on a scale that can bear it; a kettle too heavy to lift"
    " keeps its scale beneath.",
    (
        Result("as planned", "what has left is what the recipe counts with", "Go on.", "go on", PRACTICE),
        Result("lighter than planned", "alcohol and water have left", "Add back what the weights say.", "mend",
               PRACTICE),
    ),
    "Another test than the film: the film tells how it sets, the weight tells what has left.",
)  # fmt: skip
SAMPLE_TESTS: dict[str, SampleTest] = {
    one.code: one for one in (FREE_ALKALI, FREE_FAT, LUMPS, COOLED_SAMPLE, FILM, DRYING)
}
"""Every test by its code."""
