"""A file brought into the catalogue: worked out on what was read, and put only if that still stands."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from service.api.importing.cell_problems import cells_refused, not_told_twice
from service.api.importing.merging import Merged, merged
from service.api.importing.tables import catalogue_tables
from service.api.spec import Spec
from service.domain.catalogue import KINDS
from service.domain.faults import Refused
from service.sheets.tabular.reading import TablesRead
from service.store import (
    AnyRevision,
    Busy,
    CatalogueChange,
    Expectation,
    IdempotencyKey,
    Revision,
    Stale,
    Store,
    StoredAnswer,
)
from service.store.preconditions import hold

_TRIES = 3
_MEMBERS_SAID_ELSEWHERE = ("revision",)


@dataclass(frozen=True, slots=True)
class Imported:
    """What a file changes, and the members in which each changed entry differs; ``checked``: nothing was stored."""

    change: CatalogueChange
    differences: dict[str, list[str]]
    names: frozenset[str]
    checked: bool

    def document(self) -> dict[str, Any]:
        """The same as a document: of the file's own entries alone, in counts by section and by name."""
        told = {
            word: [name for name in getattr(self.change, word) if name in self.names]
            for word in ("added", "changed", "unchanged", "retired")
        }
        sections = []
        for kind in KINDS:
            counts = {word: sum(name.startswith(f"{kind}/") for name in names) for word, names in told.items()}
            if any(counts.values()):
                sections.append({"section": kind, **counts})
        differences = [{"entry": name, "members": members} for name, members in sorted(self.differences.items())]
        return {
            "checked": self.checked,
            "revision": self.change.revision,
            "sections": sections,
            **told,
            "differences": differences,
        }


Keyed = Callable[[Imported], IdempotencyKey | None]


def import_catalogue(
    store: Store, spec: Spec, read: TablesRead, expect: Expectation | None, check: bool, keyed: Keyed
) -> Imported | StoredAnswer:
    """Add and change entries as the file says, all of them or none; ``check``: tell what would change.

    ``expect`` is what the caller expects of the catalogue, None: nothing. Where somebody changes the catalogue between
    reading and putting, it is worked out anew. Raises the 422 problem, ``Stale``, and ``Busy`` after several such.
    """
    tables = catalogue_tables(spec)
    for _ in range(_TRIES):
        standing, revision = store.catalogue_document()
        hold(expect or AnyRevision(), revision, "The catalogue")
        whole = merged(tables, read, standing)
        faults = [*read.faults, *not_told_twice(whole.schema_faults(spec), read.faults)]
        if faults:
            raise cells_refused(faults)
        differences = _differences(whole, standing)

        def imported(change: CatalogueChange, differences: Any = differences, whole: Merged = whole) -> Imported:
            changed = {name: differences.get(name, []) for name in change.changed if name in whole.names}
            return Imported(change, changed, whole.names, check)

        try:
            if check:
                return imported(store.try_catalogue(whole.document, Revision(revision)))
            done = store.put_catalogue_once(whole.document, Revision(revision), lambda change: keyed(imported(change)))
        except Stale:
            if isinstance(expect, Revision):
                raise
            continue
        except Refused as refusal:
            raise _refused(refusal, whole) from None
        return done if isinstance(done, StoredAnswer) else imported(done)
    raise Busy("The catalogue was changed again and again while the file was worked on; send it again.")


def _refused(refusal: Refused, whole: Merged) -> Exception:
    cells, others = [], []
    for fault in refusal.faults:
        cell = whole.cell(fault)
        if cell is not None:
            cells.append(cell)
        else:
            _, kind, place, *_ = [*fault.pointer.split("/"), "", ""]
            code = whole.document[kind][int(place)]["code"]
            others.append({"pointer": "", "code": fault.code, "detail": f"{kind}/{code}: {fault.detail}"})
    return cells_refused(cells, others)


def _differences(whole: Merged, standing: dict[str, Any]) -> dict[str, list[str]]:
    """The members in which entries of the file differ from those that stand."""
    found = {}
    for (kind, place), entry in whole.entries.items():
        if place >= len(standing[kind]):
            continue
        old, new = standing[kind][place], whole.document[kind][place]
        names = (old.keys() | new.keys()) - set(_MEMBERS_SAID_ELSEWHERE)
        found[f"{kind}/{entry.key}"] = sorted(name for name in names if old.get(name) != new.get(name))
    return found
