"""Writes to the book given as argument until it is killed, from two threads; says each entry once it is kept."""

from __future__ import annotations

import random
import sys
import threading

from kettleglass.workshop import Notebook, keep_draft, save_recipe, undo_recipe, utc_now


def write(book: Notebook, seed: int) -> None:
    rng, recipe, key = random.Random(seed), None, f"page-{seed}"
    for number in range(1_000_000):
        text = f"{seed}/{number} " + "x" * rng.choice((1, 300, 30_000))
        recipe = save_recipe(
            book, recipe.id if recipe else None, text, f"recipe {seed}", recipe.version if recipe else 0
        )
        sys.stdout.write(f"recipe {recipe.id} {recipe.version} {text.split()[0]}\n")
        if rng.random() < 0.2 and recipe.version > 1:
            recipe = undo_recipe(book, recipe.id, recipe.version)
        if rng.random() < 0.3:
            draft = keep_draft(book, key, text)
            sys.stdout.write(f"draft {key} {draft.number} -\n")
        sys.stdout.flush()


if __name__ == "__main__":
    opened = Notebook.open(sys.argv[1], clock=utc_now, who="Ada")
    for seed in (int(sys.argv[2]), int(sys.argv[2]) + 1):
        threading.Thread(target=write, args=(opened, seed)).start()
