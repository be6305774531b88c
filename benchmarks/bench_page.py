"""A keystroke on the recipe page against the same recipe computed without any page, in one run.

Run: python benchmarks/bench_page.py [keystrokes]. Each turn changes one amount, computes the recipe as a library
would, then sends the whole form as the browser does and reads the fragment; both in this process, over the real server
code (ASGI), with the draft kept in SQLite. Prints milliseconds (p50, p95). Budgets: the fragment takes the compute and
at most 10 ms more (medians), and at most 40 ms p95.
"""

from __future__ import annotations

import asyncio
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path
from urllib.parse import urlencode

from kettleglass.cook.preview import preview
from kettleglass.recipe.exchange import read_recipe
from kettleglass.recipe.recipe import Amount, Recipe
from kettleglass.settings import Settings
from kettleglass.web.app import create_app
from kettleglass.web.forms import typed_of
from kettleglass.workshop import list_recipes, load_recipe

FORM = [(b"host", b"127.0.0.1"), (b"content-type", b"application/x-www-form-urlencoded"), (b"hx-request", b"true")]
SHOWN = {"ui.width": "wide", "ui.glass": "wide"}
"""What the browser says of the figures on a desk."""
MORE_MS, MOST_MS = 10.0, 40.0


def percentile(values: list[float], share: float) -> float:
    """The value below which that share of them lies."""
    return sorted(values)[min(len(values) - 1, int(share * len(values)))]


async def answered(app: object, path: str, fields: dict[str, str]) -> int:
    """Bytes of the answer to a form posted to `path`; raises when it is not 200."""
    body = urlencode(fields).encode()
    seen = {"status": 0, "bytes": 0}

    async def receive() -> dict[str, object]:
        return {"type": "http.request", "body": body, "more_body": False}

    async def send(message: dict[str, object]) -> None:
        seen["status"] = message.get("status", seen["status"])  # type: ignore[assignment]
        seen["bytes"] += len(message.get("body", b""))  # type: ignore[arg-type]

    scope = {
        "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": "POST", "scheme": "http",
        "path": path, "raw_path": path.encode(), "query_string": b"", "root_path": "", "server": ("127.0.0.1", 80),
        "client": ("127.0.0.1", 1), "headers": [*FORM, (b"content-length", str(len(body)).encode())], "state": {},
    }  # fmt: skip
    await app(scope, receive, send)  # type: ignore[operator]
    if seen["status"] != 200:
        raise SystemExit(f"The page answered {seen['status']}.")
    return seen["bytes"]


def heavier(recipe: Recipe, grams: float) -> Recipe:
    """The recipe with another mass of its first line."""
    first = replace(recipe.lines[0], amount=Amount(grams))
    return replace(recipe, lines=(first, *recipe.lines[1:]))


async def run(keystrokes: int) -> tuple[list[float], list[float], int]:
    """Milliseconds of the compute alone and of the fragment, one each a keystroke, and the bytes of a fragment."""
    with tempfile.TemporaryDirectory() as folder:
        app = create_app(Settings(home=Path(folder)))
        desk = app.state.desk
        desk.warm_up()
        book, shelf = desk.book(invented=True), desk.shelf(invented=True)
        saved = load_recipe(book, next(one.id for one in list_recipes(book) if one.name == "Demo clear base"))
        recipe = read_recipe(saved.text).recipe
        assert recipe is not None
        typed = typed_of(recipe)
        first = next(name for name in typed if name.startswith("line.") and name.endswith(".amount"))
        alone, fragment, size = [], [], 0
        for turn in range(keystrokes + 5):
            start = time.perf_counter()
            preview(heavier(recipe, 300.0 + turn / 10), shelf.find)
            middle = time.perf_counter()
            size = await answered(
                app,
                f"/recipes/{saved.id}/live",
                {**typed, first: f"{200 + turn / 10} g", "ui.typed": str(turn), **SHOWN},
            )
            if turn >= 5:
                alone.append(1000 * (middle - start))
                fragment.append(1000 * (time.perf_counter() - middle))
        desk.close()
    return alone, fragment, size


def main() -> None:
    """Print the two times and whether the budgets hold."""
    keystrokes = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    alone, fragment, size = asyncio.run(run(keystrokes))
    for name, values in (("compute alone", alone), ("page fragment", fragment)):
        print(f"{name:16} p50 {percentile(values, 0.5):6.1f} ms   p95 {percentile(values, 0.95):6.1f} ms")
    more = percentile(fragment, 0.5) - percentile(alone, 0.5)
    print(f"the page adds    {more:.1f} ms (at most {MORE_MS:g}); fragment p95 {percentile(fragment, 0.95):.1f} ms"
          f" (at most {MOST_MS:g}); {size / 1000:.0f} kB")  # fmt: skip
    if more > MORE_MS or percentile(fragment, 0.95) > MOST_MS:
        raise SystemExit(1)


if __name__ == "__main__":
    main()
