"""Fields to recipe and back: nothing is lost, nothing raises, and what cannot be read counts as it last could."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.errors import BadInput
from kettleglass.recipe.place import DRAUGHTS, Place
from kettleglass.recipe.recipe import (
    LOOKS,
    PURPOSES,
    SOLVE,
    STAGES,
    AlkaliPlan,
    Amount,
    BatchSize,
    Certainty,
    Kettle,
    Line,
    Losses,
    LyeWater,
    MethodStep,
    Mould,
    Recipe,
    WeighingScale,
)
from kettleglass.recipe.starts import starting_recipe
from kettleglass.web.forms import edited, line_ids, read_form, typed_of
from kettleglass.web.forms.editing import NewLine, with_line
from kettleglass.web.forms.fields import mass_said, step_ids

numbers = st.floats(0.0, 1e6, allow_nan=False).map(lambda x: float(f"{x:.6g}"))
words = st.text(st.characters(exclude_categories=("Cs", "Cc")), min_size=1, max_size=20).filter(str.strip)
amounts = st.one_of(
    st.just(SOLVE),
    st.builds(Amount, numbers, st.sampled_from(["g", "mL"])),
    st.builds(
        Amount,
        st.floats(0.0, 100.0).map(lambda x: float(f"{x:.4g}")),
        st.sampled_from(["% of fats", "% of whole", "% of soap"]),
    ),
)


@st.composite
def lines(draw: st.DrawFn) -> tuple[Line, ...]:
    keys = draw(st.lists(words.map(str.strip), max_size=5, unique=True))
    made = []
    for key in keys:
        amount, stage = draw(amounts), draw(st.sampled_from(STAGES))
        if amount == SOLVE:
            stage = "lye"
        share = draw(st.none() | st.floats(0.0, 1.0).map(lambda x: float(f"{x:.3g}")))
        made.append(Line(key, draw(words).strip(), amount, stage, draw(st.none() | words.map(str.strip)), share))
    return tuple(made)


recipes = st.builds(
    Recipe,
    name=words,
    lines=lines(),
    purpose=st.sampled_from(PURPOSES),
    look=st.sampled_from(LOOKS),
    alkali=st.builds(
        AlkaliPlan,
        st.floats(-20, 60).map(lambda x: float(f"{x:.4g}")),
        st.sampled_from(["mole", "mass"]),
        st.builds(LyeWater, st.floats(0.9, 9).map(lambda x: float(f"{x:.4g}"))),
    ),
    size=st.one_of(st.just(BatchSize()), st.builds(BatchSize, st.sampled_from(["fats", "whole"]), numbers)),
    scale=st.builds(
        WeighingScale,
        st.sampled_from([0.1, 1.0, 3.5436903906]),
        st.none() | st.just(0.01),
        st.sampled_from(["g", "lb oz"]),
    ),
    kettle=st.builds(
        Kettle, words, st.sampled_from(["enamel", "glass"]), st.floats(20, 900), st.floats(20, 900), st.floats(0, 0.9)
    ),
    mould=st.none()
    | st.just(Mould("cavities", cavities=12, volume_ml=90.0))
    | st.just(Mould("box", 250.0, 80.0, 70.0)),
    method=st.lists(
        st.builds(
            MethodStep,
            words,
            st.sampled_from(STAGES),
            st.none() | st.just(77.0),
            st.none() | st.just(30.0),
            st.booleans(),
        ),
        max_size=3,
    ).map(tuple),
    losses=st.builds(Losses, st.none() | st.floats(0, 1), st.none() | st.floats(0, 1)),
    place=st.builds(
        Place,
        words,
        st.none() | st.floats(-400, 5000),
        st.none() | st.floats(500, 1100),
        st.floats(-10, 50),
        st.sampled_from(DRAUGHTS),
        st.none() | st.floats(1, 1e5),
        st.none() | st.floats(0, 1e6),
    ),
    certainty=st.builds(Certainty, st.floats(0.01, 1), st.floats(0.01, 0.5)),
    water_hardness_mg_l=st.floats(0, 4000),
    measured_free_alkali_percent=st.none() | st.floats(-2, 2),
    note=st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=40),
)


@given(recipes)
def test_every_recipe_comes_back_from_its_fields(recipe):
    typed = typed_of(recipe)
    read = read_form(typed, typed, recipe)
    assert read.faults == {}
    assert read.recipe == recipe


@given(
    st.dictionaries(
        st.sampled_from(
            [
                *typed_of(starting_recipe("bar", "tinted")),
                "line.9.amount",
                "line.9.key",
                "method.1.text",
                "mould.cavities",
            ]
        ),
        st.text(max_size=60),
    )
)
def test_whatever_is_typed_is_read_without_a_fault_of_ours(changes):
    base = starting_recipe("bar", "tinted")
    good = typed_of(base)
    read = read_form({**good, **changes}, good, base)
    assert isinstance(read.recipe, Recipe)
    assert set(read.faults) <= {*good, *changes} | {
        f"line.{n}.{f}" for n in range(12) for f in ("key", "material", "amount", "stage")
    } | {"method.1.text", "method.1.stage", "mould.shape"}
    again = read_form({**good, **changes}, read.good, base)
    assert again.recipe == read.recipe


def test_what_cannot_be_read_counts_as_it_last_could():
    base = starting_recipe("embed", "crystal clear")
    good = typed_of(base)
    first = read_form({**good, "alkali.superfat": "2,5 %"}, good, base)
    second = read_form({**good, "alkali.superfat": "2,5 % of"}, first.good, base)
    assert second.recipe.alkali.superfat_percent == 2.5
    assert second.faults["alkali.superfat"].meanwhile == "Meanwhile “2,5 %” counts."


def test_a_line_that_was_never_readable_is_left_out():
    base = starting_recipe("embed", "crystal clear")
    good = typed_of(base)
    typed = with_line(good, NewLine("tallow", "tallow", "fats")).typed
    new = line_ids(typed)[-1]
    read = read_form({**typed, f"line.{new}.amount": "lots"}, good, base)
    assert "tallow" not in [line.key for line in read.recipe.lines]
    assert read.faults[f"line.{new}.amount"].waiting is False
    assert read_form(typed, good, base).faults[f"line.{new}.amount"].waiting is True


def test_two_lines_of_one_key_are_told_apart():
    base = starting_recipe("embed", "crystal clear")
    good = typed_of(base)
    read = read_form({**good, "line.2.key": good["line.1.key"]}, good, base)
    keys = [line.key for line in read.recipe.lines]
    assert len(set(keys)) == len(keys)


@pytest.mark.parametrize(
    ("grams", "unit", "said"),
    [
        (200.0, "g", "200 g"),
        (28.349523125, "g", "1 oz"),
        (566.9904625, "g", "1 lb 4 oz"),
        (453.59237, "lb oz", "1 lb"),
        (226.796185, "lb oz", "8 oz"),
        (200.5, "lb oz", "200.5 g"),
        (0.0, "g", ""),
    ],
)
def test_a_mass_is_said_as_its_maker_would(grams, unit, said):
    assert mass_said(grams, unit) == said


@given(
    st.lists(
        st.sampled_from(["up:1", "down:1", "up:2", "down:3", "remove:2", "step-add", "step-up:1", "step-remove:1"]),
        max_size=12,
    )
)
def test_buttons_never_lose_a_line_that_was_not_removed(orders):
    typed = typed_of(starting_recipe("bar", "crystal clear"))
    for do in orders:
        before = set(line_ids(typed))
        try:
            edit = edited(typed, do, tuple)
        except BadInput:
            continue
        typed = edit.typed
        gone = before - set(line_ids(typed))
        assert gone == ({do.partition(":")[2]} if do.startswith("remove") else set())
        assert len(set(line_ids(typed))) == len(line_ids(typed))
        assert len(set(step_ids(typed))) == len(step_ids(typed))
        if edit.focus:
            assert edit.focus in typed


def test_a_removed_lines_number_does_not_come_back():
    typed = edited(typed_of(starting_recipe("bar", "crystal clear")), "remove:8", tuple).typed
    assert line_ids(with_line(typed, NewLine("palm", "palm again", "fats")).typed)[-1] != "8"
