"""Recipe files as accidents make them: never a crash, never a lost text, always a sentence on what to do."""

import random
import re
import time
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from kettleglass.recipe.exchange import SECTIONS, FieldRule, ReadResult, Section, read_recipe, write_recipe

ROOT = Path(__file__).parents[2]
EXAMPLES = [path.read_text("utf-8") for path in sorted((ROOT / "examples").glob("*.toml"))]
VALID = EXAMPLES[0]
fuzz = settings(max_examples=300, deadline=None, derandomize=True)  # derandomised: every run draws the same


def looked_at(text: str | bytes) -> ReadResult:
    """What reading gives, after checking what must hold for any text whatever."""
    result = read_recipe(text)
    assert result.text == (text if isinstance(text, str) else text.decode("utf-8", "replace"))
    if result.recipe is None:
        assert any(finding.level == "danger" for finding in result.findings)
    else:
        assert read_recipe(write_recipe(result.recipe)).recipe is not None
    for finding in result.findings:
        assert finding.text.strip()
        assert finding.advice.strip()
        at = re.match(r"line (\d+)", finding.where)
        assert at is None or 1 <= int(at[1]) <= result.text.count("\n") + 1
        assert len(finding.text) + len(finding.advice) + len(finding.where) < 1500
    assert len(result.findings) <= 51
    return result


@fuzz
@given(st.text(max_size=300))
@example("")
@example("\x00")
@example("\ufeff")
@example("\ud800")
@example("=")
@example("[")
@example("schema = 1")
@example("recipe = 1")
@example("schema = 1\nline = 3\nrecipe = []")
@example("schema = 1\n[recipe]\nname = 'a'\n[line]\nkey = 'x'")
@example("schema = nan")
@example("schema = 1979-05-27")
def test_any_text(text: str) -> None:
    looked_at(text)


@fuzz
@given(st.binary(max_size=300))
def test_any_bytes(data: bytes) -> None:
    looked_at(data)


SCRAPS = (
    '"', "'", "=", "[", "]", "[[line]]", "[recipe]", "{", "}", ",", "\n", "\x00", "\r", "\t", "%", "-", "1e999",
    "nan", "inf",
    "-inf", "9" * 400, "0x" + "f" * 50, "½", "−5", "1979-05-27", '"""', "#", ".", "a.b.c", "\\u0000", "\U0001fae7",
    "solve",
    "key = ", "amount = ", "null", "true", "schema = 2",
)  # fmt: skip


@fuzz
@given(st.sampled_from(EXAMPLES), st.integers(0, 2**32))
def test_files_with_slips(text: str, number: int) -> None:
    """Up to four slips: something put in, cut out, doubled, or turned round."""
    chance = random.Random(number)
    for _ in range(chance.randint(1, 4)):
        start = chance.randrange(len(text) + 1)
        end = min(len(text), start + chance.choice([0, 1, 1, 3, 20]))
        middle = chance.choice([chance.choice(SCRAPS), "", text[start:end] * 2, text[start:end][::-1]])
        text = text[:start] + middle + text[end:]
    looked_at(text)


VALUES = st.one_of(
    st.sampled_from([
        "1e400", "-1e400", "inf", "nan", "9" * 5000, "0x" + "f" * 9000, "true", "[]", "{}", "[[[]]]", '""', '" "',
        '"%"',
        '"nan g"', '"inf %"', '"1e999 g"', '"-1 g"', '"1:0"', '"0:0"', '"1:1e-300"', '"99999999999999999999 kg"',
        '"1 lb lb"', '"½ g"', '"١٢ g"', '"1\\u0000 g"', '"\\u0000"', "1979-05-27T07:32:00Z", "07:32:00", '"١٢ %"',
        '"²"', '"1²"',
    ]),
    st.text(max_size=20).map(lambda text: '"' + "".join(f"\\U{ord(c):08X}" for c in text) + '"'),
    st.integers().map(str), st.floats().map(str),
)  # fmt: skip


@fuzz
@given(st.sampled_from([(section, rule) for section in SECTIONS for rule in section.rules]), VALUES)
def test_any_value_in_any_field(field: tuple[Section, FieldRule], value: str) -> None:
    """Alone below its heading, and in the place of the field in a file that is sound otherwise."""
    section, rule = field
    entry = f"{rule.name} = {value}"
    looked_at(f"schema = 1\n{section.header}\n{entry}\n")
    before, heading, after = VALID.partition(f"{section.header}\n")
    own, blank, rest = after.partition("\n\n")
    kept = [row for row in own.split("\n") if not row.startswith(f"{rule.name} = ")]
    looked_at("\n".join([before + section.header, entry, *kept]) + blank + rest if heading else f"{VALID}\n{entry}\n")


@pytest.mark.parametrize("text", [
    "a = " + "[" * 20_000 + "]" * 20_000,
    "a = " + "{b=" * 20_000 + "1" + "}" * 20_000,
    "a" + ".a" * 400_000 + " = 1",
    "a" + " . a" * 200_000 + " = 1",
    "[" + "a." * 400_000 + "a]",
    "x = {" + "a." * 400_000 + "a = 1}",
    "x = [{" + "'a'." * 150_000 + "a = 1}]",
    "\n".join(f"[{'.'.join(str(i) for i in range(n))}]" for n in range(1, 15)),
    '"' * 900_000,
    "'" * 900_000,
    "[" * 900_000,
    "=" * 900_000,
    "\\" * 900_000,
    'a = "' + "\\n" * 400_000 + '"',
    'a = """' + "\n" * 900_000,
    "a = " + "9" * 900_000,
    "a = 0x" + "f" * 900_000,
    "a = 1" + "_1" * 400_000,
    "schema = " + "9" * 4200,
    "schema = 0x" + "f" * 100_000,
    "".join(f"k{n} = 1\n" for n in range(60_000)),
    "schema = 1\n[recipe]\nname = 'x'\n" + "".join(f"k{n} = 1\n" for n in range(60_000)),
    "schema = 1\n[recipe]\nname = 'x'\n" + "[[line]]\n" * 90_000,
    "schema = 1\n[recipe]\nname = 'x'\n" + "[[line]]\nnaem = 1\n" * 500,
    "schema = 1\n[recipe]\nname = 'x'\n" + "[[lines]]\nkey = 1\n" * 40_000,
    "schema = 1\n[recipe]\nname = '" + "x" * 900_000 + "'",
    "schema = 1\n[recipe]\nname = 'x'\n" + "k" * 900_000 + " = 1",
    "schema = 1\n[recipe]\nname = 'x'\npurpose = '" + "bar" * 300_000 + "'",
    "schema = 1\n[recipe]\nname = 'x'\n[alkali]\nlye_water = '1" + " 1" * 400_000 + "'",
    "schema = 1\n[recipe]\nname = 'x'\n[[line]]\nkey = '" + "k" * 900_000 + "'",
    "schema = 1\n[recipe]\nname = 'x'\nnote = '''" + "\n[recipe]" * 90_000 + "'''",
    "[" + " " * 900_000,
    "a" + " " * 900_000,
    "a = " + ", " * 400_000,
    "{," * 400_000,
], ids=lambda text: text[:12] + "…" + text[-6:] + str(len(text)))  # fmt: skip
def test_large_and_deep_files_end_soon(text: str) -> None:
    """Far below the times that quadratic work would take on a megabyte."""
    started = time.perf_counter()
    looked_at(text)
    assert time.perf_counter() - started < 10.0


def test_a_deep_but_allowed_table_is_kept() -> None:
    result = looked_at(
        VALID + "\n[[line]]\nkey = 'z'\nmaterial = 'm'\namount = '1 g'\nstage = 'finish'\nx = [[[[{a.b.c = [1]}]]]]\n"
    )
    assert result.recipe is not None
    assert result.recipe.extras == {"line": {"z": {"x": [[[[{"a": {"b": {"c": [1]}}}]]]]}}}


def test_a_table_one_step_too_deep_is_refused() -> None:
    for depth, allowed in ((14, True), (17, False)):
        result = looked_at(VALID.replace("schema = 1", "schema = 1\nx = " + "[" * depth + "1" + "]" * depth))
        assert (result.recipe is not None) is allowed


def test_not_a_number_is_kept_where_it_does_not_count() -> None:
    result = looked_at(VALID.replace("[recipe]", "[recipe]\nodd = [nan, inf, -inf, -0.0]"))
    assert result.recipe is not None
    assert "odd = [nan, inf, -inf, -0.0]" in write_recipe(result.recipe)
