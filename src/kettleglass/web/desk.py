"""What all requests share: the settings, the two books, the shelves, and what was worked out a moment ago."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from pathlib import Path
from threading import Lock, RLock
from typing import TypeVar, cast

from kettleglass.cook.around import Learnt
from kettleglass.cook.weighed import learnt_from
from kettleglass.recipe.published import published_bars
from kettleglass.recipe.recipe import Recipe
from kettleglass.settings import OWN_BOOK, Settings
from kettleglass.web.invented import invent
from kettleglass.web.shelf import Shelf, shelf_of, version_of
from kettleglass.workshop import Clock, Notebook, Restored, restore_book, utc_now
from kettleglass.workshop.kettles import kettle_weighings, kettles_version

INVENTED_BOOK = "invented.db"
_WORKED = 48
Made = TypeVar("Made")


class Recent:
    """Remembers the last few things that were made, by key; safe between threads."""

    def __init__(self, most: int) -> None:
        self._most, self._lock = most, Lock()
        self._kept: OrderedDict[Hashable, object] = OrderedDict()

    def get(self, key: Hashable, make: Callable[[], Made]) -> Made:
        """What is remembered under the key, or what `make` gives, which is remembered from then on."""
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                return cast(Made, self._kept[key])
        made = make()
        with self._lock:
            self._kept[key] = made
            while len(self._kept) > self._most:
                self._kept.popitem(last=False)
        return made


class Desk:
    """The settings, the books (opened when first asked for) and what was worked out lately."""

    def __init__(self, settings: Settings, *, clock: Clock = utc_now) -> None:
        self.settings, self.clock = settings, clock
        self.worked = Recent(_WORKED)
        self._books: dict[str, Notebook] = {}
        self._newest_typed: dict[tuple[str, str], int] = {}
        self._lock = RLock()

    @property
    def own_begun(self) -> bool:
        """Whether the maker has a workshop of their own."""
        return OWN_BOOK in self._books or (self.settings.home / OWN_BOOK).exists()

    def book(self, *, invented: bool) -> Notebook:
        """The invented workshop's book, or the maker's own; made when there is none. Raises `StoreTrouble`."""
        path = self.book_path(invented=invented)
        name = path.name
        with self._lock:
            if name not in self._books:
                path.parent.mkdir(parents=True, exist_ok=True)
                self._books[name] = Notebook.open(path, clock=self.clock, who="")
                if invented:
                    invent(self._books[name])
            return self._books[name]

    def book_path(self, *, invented: bool) -> Path:
        """The file of one of the books."""
        return self.settings.home / (INVENTED_BOOK if invented else OWN_BOOK)

    def put_in_place(self, copy: Path, *, invented: bool) -> Restored:
        """Put a copy in the place of one of the books, which is closed for it and opened anew when next asked for.

        What was worked out from the former book is forgotten. Raises as `restore_book`.
        """
        path = self.book_path(invented=invented)
        with self._lock:
            open_now = self._books.pop(path.name, None)
            if open_now is not None:
                open_now.close()
            try:
                return restore_book(path, copy, clock=self.clock)
            finally:
                self.worked = Recent(_WORKED)  # not emptied: who is just working something out may still add to it
                self._newest_typed.clear()

    def shelf(self, *, invented: bool) -> Shelf:
        """The catalogue with the materials and lots of one of the workshops, as they are now."""
        book = self.book(invented=invented)
        version = self.worked.get(("shelf version", invented, book.position()), lambda: version_of(book))
        return self.worked.get(("shelf", invented, version), lambda: shelf_of(book, version))

    def learnt(self, recipe: Recipe, *, invented: bool, without: str = "") -> Learnt:
        """What the weighings of this recipe's kettle in its place have taught in one of the workshops.

        `without` is the id of one that shall not count.
        """
        book = self.book(invented=invented)
        version = self.worked.get(("kettles version", invented, book.position()), lambda: kettles_version(book))
        if not version:
            return Learnt()
        kept = self.worked.get(("kettles", invented, version), lambda: kettle_weighings(book))
        of_this = [one for one in kept.of(recipe.kettle.name, recipe.place.name) if one.entry.id != without]
        which = tuple(one.entry.id for one in of_this)
        return self.worked.get(
            ("learnt", invented, version, which), lambda: learnt_from(one.weighing for one in of_this)
        )

    def is_newest(self, book: Notebook, key: str, typed_at: int) -> bool:
        """Whether nothing later was typed under this key of a book; requests may overtake each other."""
        where = (str(book.path), key)
        with self._lock:
            if typed_at < self._newest_typed.get(where, 0):
                return False
            self._newest_typed[where] = typed_at
            return True

    def warm_up(self) -> None:
        """Make what the first page needs, so that nobody waits for it."""
        self.shelf(invented=not self.own_begun)
        published_bars()

    def close(self) -> None:
        """Close the books."""
        with self._lock:
            for book in self._books.values():
                book.close()
            self._books.clear()
