"""Every figure in both themes, and the style sheet that gives the screen its colours."""

from __future__ import annotations

import re
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import pytest
from drawn import tree

from kettleglass.paper import (
    PRINT,
    SCREEN,
    Base,
    Blend,
    Boils,
    BoilsAt,
    Distribution,
    Drawing,
    FlashAt,
    Layer,
    Part,
    Share,
    SharesAt,
    Step,
    Theme,
    ThisPot,
    Window,
    boiling_gauge,
    chance_of_free_alkali,
    composition_strip,
    cook_timeline,
    shares_of_doubt,
    sight_glass,
    ternary_map,
    window_rows,
)

TOKENS = (Path(__file__).parents[2] / "frontend" / "src" / "css" / "tokens.css").read_text(encoding="utf-8")
PARTS = [Part("Soap", 420, "soap"), Part("Ethanol", 140, "alcohol"), Part("Water", 170, "water")]
POTS = Distribution.of([n / 100 for n in range(-30, 31)])
FIGURES: dict[str, Callable[[Theme], Drawing]] = {
    "glass": lambda theme: sight_glass([Layer("Fats", 400, "soap"), Layer("Lye", 160, "water")], 560, theme=theme),
    "strip": lambda theme: composition_strip(PARTS, theme=theme),
    "chance": lambda theme: chance_of_free_alkali(POTS, limit_percent=0.05, nominal_percent=0, theme=theme),
    "windows": lambda theme: window_rows([Window("Soap", 45, (41, 48), "inside", later=(50, None))], theme=theme),
    "map": lambda theme: ternary_map(
        [Base("charge I", Blend(43, 25, 31), clear=True), Base("laundry", Blend(68, 30, 2), clear=False)],
        ThisPot(Blend(45, 18, 37), (Blend(44, 18, 38), Blend(46, 19, 35), Blend(45, 17, 38)), Blend(55, 12, 33)),
        theme=theme,
    ),
    "gauge": lambda theme: boiling_gauge(
        Boils("this pot", 80, 83, 86), Boils("premix", 79, 81, 82), (77, 82), 26, theme=theme
    ),
    "cook": lambda theme: cook_timeline(
        [Step("Paste", 0, 30, 80, covered=True), Step("Hold", 30, 60, 88, covered=False)],
        boils=[BoilsAt(30, 85, 86, 89), BoilsAt(60, 86, 87, 90)],
        flash=[FlashAt(30, 26), FlashAt(60, 27)],
        shares=[SharesAt(30, 15, 15, 15, 29), SharesAt(60, 12, 14, 15, 28)],
        hold_c=(77, 82),
        theme=theme,
    ),
    "shares": lambda theme: shares_of_doubt([Share("Coconut", 0.6)], theme=theme),
}


def colours(svg: str) -> set[str]:
    painted = {
        value for found in tree(svg).iter() for name, value in found.attrib.items() if name in {"fill", "stroke"}
    }
    return painted - {"none"}


@pytest.mark.parametrize("name", FIGURES)
def test_paper_knows_no_variables_and_the_screen_no_literal_colours(name: str) -> None:
    assert all(colour.startswith("var(--") for colour in colours(FIGURES[name](SCREEN).svg))
    assert all(re.fullmatch("#[0-9a-f]{6}", colour) for colour in colours(FIGURES[name](PRINT).svg))
    assert 'font-family="Inter"' in FIGURES[name](PRINT).svg


@pytest.mark.parametrize("name", FIGURES)
def test_a_figure_tells_its_name_and_has_a_table(name: str) -> None:
    drawing = FIGURES[name](SCREEN)
    assert drawing.table.rows
    assert f'id="{name}-name"' in drawing.svg


def _blocks() -> list[dict[str, str]]:
    """The colours of light, of dark when told, and of dark when the screen asks for it."""
    blocks = [dict(re.findall(r"--([a-z-]+):\s*(#[0-9a-f]{6})", block)) for block in TOKENS.split(":root")[1:]]
    assert len(blocks) == 3
    return blocks


def test_the_style_sheet_gives_every_variable_in_light_and_dark() -> None:
    light, *dark = _blocks()
    wanted = {getattr(SCREEN, name)[6:-1] for name in SCREEN.__slots__ if name != "font"}
    assert wanted <= set(light)
    assert all(set(block) == set(light) for block in dark)
    assert all(one == other for one, other in pairwise(dark))


def _luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.2 defines it."""
    parts = [int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    high, low = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_contrast_is_measured_as_the_standard_says() -> None:
    """WCAG 2.2: black on white is 21 to 1, a colour on itself 1 to 1."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#8a4f00", "#8a4f00") == 1.0


@pytest.mark.parametrize("number", [0, 1])
def test_text_and_marks_can_be_seen(number: int) -> None:
    """WCAG 2.2, 1.4.3: text 4.5 to 1; 1.4.11: marks that say something 3 to 1. Light and dark."""
    colour = _blocks()[number]
    for ground in ("ground", "face", "well"):
        assert all(contrast(colour[text], colour[ground]) >= 4.5 for text in ("ink", "quiet", "amber", "red"))
    for ground in ("ground", "face"):
        assert all(contrast(colour[mark], colour[ground]) >= 3.0 for mark in ("tick", "glass-line"))
    assert contrast(colour["on-fill"], colour["amber"]) >= 4.5
    assert contrast(colour["red"], colour["red-wash"]) >= 4.5
    assert contrast(colour["ink"], colour["band"]) >= 4.5


def test_text_on_paper_can_be_read() -> None:
    """WCAG 2.2, as above."""
    assert all(contrast(text, PRINT.face) >= 4.5 for text in (PRINT.ink, PRINT.quiet, PRINT.amber, PRINT.red))
    assert all(contrast(mark, PRINT.face) >= 3.0 for mark in (PRINT.tick, PRINT.glass_line, PRINT.red_fill))
