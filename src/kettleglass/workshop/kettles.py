"""The verbs of weighed kettles: what a kettle lost in a step of a cook, kept for what it teaches about the place.

An entry is the document of `kettleglass.cook.weighed`; one that cannot be read is named and teaches nothing. An
impossible weighing is kept like any other.
"""

from __future__ import annotations

from dataclasses import dataclass

from kettleglass.cook.weighed import KettleWeighing, weighing_from_dict
from kettleglass.errors import Finding, KettleglassError
from kettleglass.workshop import changes
from kettleglass.workshop.changes import Latest
from kettleglass.workshop.notebook import Notebook

KETTLE_WEIGHING = "kettle_weighing"


@dataclass(frozen=True, slots=True)
class KeptWeighing:
    """A kettle weighing with its id and version in the book."""

    entry: Latest
    weighing: KettleWeighing


@dataclass(frozen=True, slots=True)
class KettleBook:
    """All kept kettle weighings, oldest first; `unread` names those that cannot be used."""

    kept: tuple[KeptWeighing, ...] = ()
    unread: tuple[Finding, ...] = ()

    def of(self, kettle: str, place: str) -> tuple[KeptWeighing, ...]:
        """Those of one kettle in one place; names count without case and outer blanks."""
        wanted = (_folded(kettle), _folded(place))
        return tuple(one for one in self.kept if (_folded(one.weighing.kettle), _folded(one.weighing.place)) == wanted)


def _folded(name: str) -> str:
    return " ".join(name.casefold().split())


def keep_kettle_weighing(notebook: Notebook, weighing: KettleWeighing) -> KeptWeighing:
    """The weighing as now kept in the book."""
    with notebook.transaction() as tx:
        which = tx.new_id()
        body = weighing.as_dict() | {"name": f"{weighing.kettle}, {weighing.place}"}
        changes.append(tx, KETTLE_WEIGHING, which, "save", body, expected_version=0)
        return KeptWeighing(changes.latest(tx, KETTLE_WEIGHING, which), weighing)


def remove_kettle_weighing(notebook: Notebook, weighing_id: str) -> Latest:
    """The weighing, now out of the list and no longer learnt from; its history stays. Raises `NoSuchEntry`."""
    with notebook.transaction() as tx:
        changes.append(tx, KETTLE_WEIGHING, weighing_id, "remove", None, expected_version=None)
        return changes.latest(tx, KETTLE_WEIGHING, weighing_id)


def kettle_weighings(notebook: Notebook) -> KettleBook:
    """Every kettle weighing of the book."""
    with notebook.reading() as view:
        entries = changes.all_latest(view, KETTLE_WEIGHING)
    kept, unread = [], []
    for entry in reversed(entries):
        content = {key: value for key, value in entry.content.items() if key != "name"}
        try:
            kept.append(KeptWeighing(entry, weighing_from_dict(content)))
        except KettleglassError as error:
            said = f"A weighing of “{entry.name}” cannot be used: {error.what}"
            unread.append(Finding("caution", "weighing-unread", said, error.remedy))
    return KettleBook(tuple(kept), tuple(unread))


def kettles_version(notebook: Notebook) -> str:
    """Names every kettle weighing of the book with its version; empty where there is none."""
    with notebook.reading() as view:
        entries = changes.all_latest(view, KETTLE_WEIGHING)
    return " ".join(f"{entry.id}@{entry.version}" for entry in entries)
