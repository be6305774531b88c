"""Random but possible recipes, unknown fields included; shared by the tests of recipe files."""

from __future__ import annotations

from hypothesis import strategies as st

from kettleglass.recipe.exchange import SECTIONS
from kettleglass.recipe.place import DRAUGHTS, HEATINGS, Place
from kettleglass.recipe.recipe import (
    BYS,
    LIMITS,
    LOOKS,
    METALS,
    PURPOSES,
    SIZES,
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

KNOWN = (
    {rule.name for section in SECTIONS for rule in section.rules} | {section.name for section in SECTIONS} | {"schema"}
)
words = st.text(max_size=30)
shares = st.floats(0.0, 1.0, allow_subnormal=False)
names = words.filter(lambda name: name not in KNOWN)

amounts = st.one_of(
    st.builds(Amount, st.floats(0.0, 1e9, allow_subnormal=False), st.sampled_from(["g", "mL"])),
    st.builds(
        Amount, st.floats(0.0, 1e4, allow_subnormal=False), st.sampled_from([by for by in BYS if by.startswith("%")])
    ),
    st.just(Amount(0.0, "solve")),
)
lye_waters = st.one_of(
    st.builds(LyeWater, st.floats(0.0, 100.0), st.just("ratio")),
    st.builds(LyeWater, st.floats(1e-6, 0.999999), st.just("strength")),
    st.builds(LyeWater, st.floats(0.0, 10.0), st.just("of fats")),
    st.builds(LyeWater, st.floats(0.0, 1e7), st.just("mass")),
)
lines = st.builds(
    Line, key=words.filter(str.strip), material_id=words, amount=amounts, stage=st.sampled_from(STAGES),
    lot_id=st.none() | words, share=st.none() | shares, note=words,
)  # fmt: skip
steps = st.builds(
    MethodStep, text=words, stage=st.sampled_from(STAGES), temperature_c=st.none() | st.floats(-50.0, 400.0),
    minutes=st.none() | st.floats(0.0, 1e6), covered=st.booleans(),
)  # fmt: skip
lengths = st.floats(0.0, 1e5)
moulds = st.builds(
    Mould, shape=st.sampled_from(["box", "cylinder", "cavities"]), length_mm=lengths, width_mm=lengths,
    height_mm=lengths,
    diameter_mm=lengths, cavities=st.integers(1, 10_000), volume_ml=lengths,
)  # fmt: skip
kettles = st.builds(
    Kettle, name=words, metal=st.sampled_from(METALS), inner_diameter_mm=st.none() | st.floats(10.0, 5000.0),
    height_mm=st.floats(10.0, 5000.0), head_room=st.floats(0.0, 0.9), mass_g=st.none() | st.floats(0.0, 2e6),
)  # fmt: skip
places = st.builds(
    Place, name=words, altitude_m=st.none() | st.floats(-430.0, 5500.0),
    pressure_hpa=st.none() | st.floats(500.0, 1100.0), room_c=st.floats(-10.0, 50.0),
    draught=st.sampled_from(DRAUGHTS), room_m3=st.none() | st.floats(1.0, 1e5),
    airflow_m3_h=st.none() | st.floats(0.0, 1e6), heating=st.sampled_from(HEATINGS),
    heater_w=st.none() | st.floats(1.0, 1e6),
)  # fmt: skip
scales = st.builds(
    WeighingScale, step_g=st.floats(1e-4, 1000.0), lye_step_g=st.none() | st.floats(1e-4, 1000.0),
    unit=st.sampled_from(["g", "lb oz"]),
)  # fmt: skip
certainties = st.builds(
    Certainty, free_alkali_limit_percent=st.floats(0.0, 10.0), target_chance=st.floats(0.0001, 0.9999),
    limits=st.sampled_from(LIMITS), draws=st.integers(100, 1_000_000), seed=st.integers(0, 2**63 - 1),
)  # fmt: skip
plain_values = st.one_of(
    words,
    st.booleans(),
    st.integers(-(2**63), 2**63 - 1),
    st.floats(allow_nan=False),
    st.dates(),
    st.times(),
    st.datetimes(),
)
extra_values = st.recursive(
    plain_values, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(words, inner, max_size=3), max_leaves=6
)
extra_tables = st.dictionaries(names, extra_values, min_size=1, max_size=3)


@st.composite
def extras_for(
    draw: st.DrawFn, recipe_lines: list[Line], method: list[MethodStep], mould: Mould | None
) -> dict[str, object]:
    """Unknown fields at the top, in single tables, and in lines and steps that exist."""
    extras: dict[str, object] = dict(draw(st.dictionaries(names, extra_values, max_size=2)))
    single = [s.name for s in SECTIONS if not s.repeated and (s.name != "mould" or mould is not None)]
    for name in draw(st.lists(st.sampled_from(single), unique=True, max_size=2)):
        extras[name] = draw(extra_tables)
    if recipe_lines and draw(st.booleans()):
        extras["line"] = {draw(st.sampled_from(recipe_lines)).key: draw(extra_tables)}
    if method and draw(st.booleans()):
        extras["method"] = {f"step {draw(st.integers(1, len(method)))}": draw(extra_tables)}
    return extras


@st.composite
def recipes(draw: st.DrawFn) -> Recipe:
    """A recipe in which every field may have any allowed value."""
    recipe_lines = draw(st.lists(lines, max_size=4, unique_by=lambda line: line.key))
    method, mould = draw(st.lists(steps, max_size=3)), draw(st.none() | moulds)
    return Recipe(
        name=draw(words), lines=tuple(recipe_lines), purpose=draw(st.sampled_from(PURPOSES)),
        look=draw(st.sampled_from(LOOKS)),
        alkali=draw(st.builds(AlkaliPlan, st.floats(-20.0, 60.0), st.sampled_from(["mole", "mass"]), lye_waters)),
        size=draw(st.builds(BatchSize, st.sampled_from(SIZES), st.floats(0.0, 1e8), words)),
        scale=draw(scales), kettle=draw(kettles), mould=mould, place=draw(places), method=tuple(method),
        losses=draw(st.builds(Losses, st.none() | shares, st.none() | shares)), certainty=draw(certainties),
        water_hardness_mg_l=draw(st.floats(0.0, 5000.0)),
        measured_free_alkali_percent=draw(st.none() | st.floats(-20.0, 20.0)),
        invented=draw(st.booleans()), note=draw(words), extras=draw(extras_for(recipe_lines, method, mould)),
    )  # fmt: skip
