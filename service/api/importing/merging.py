"""Entries out of a file, laid over the catalogue that there is: what comes of it, and its faults as cells."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from service.api.explaining import explained, own_errors
from service.api.spec import Spec
from service.domain.faults import Fault
from service.sheets.tabular.described import SCHEMAS
from service.sheets.tabular.entries import Document, Entry
from service.sheets.tabular.reading import TablesRead
from service.sheets.tabular.rows import CellFault
from service.sheets.tabular.shape import Table


@dataclass(slots=True)
class Merged:
    """The whole catalogue with a file's entries in it; ``entries`` are those, by section and place in the document."""

    tables: Mapping[str, Table]
    document: dict[str, list[Document]]
    entries: dict[tuple[str, int], Entry] = field(default_factory=dict)

    @property
    def names(self) -> frozenset[str]:
        """The entries that the file speaks of, as ``"kind/code"``."""
        return frozenset(f"{kind}/{entry.key}" for (kind, _), entry in self.entries.items())

    def cell(self, fault: Fault) -> CellFault | None:
        """A fault of the document as one of the file; None where it is of an entry that the file does not speak of."""
        _, kind, place, *way = [*fault.pointer.split("/"), "", ""][: max(3, fault.pointer.count("/") + 1)]
        entry = self.entries.get((kind, int(place) if place.isdigit() else -1))
        if entry is None:
            return None
        pointer = "".join(f"/{part}" for part in way)
        return entry.fault(self.tables[kind], pointer, fault.code, fault.detail)

    def schema_faults(self, spec: Spec) -> Iterator[CellFault]:
        """What the published schemas refuse of the file's entries."""
        for (kind, place), entry in self.entries.items():
            document = self.document[kind][place]
            for fault in schema_faults(spec, SCHEMAS[kind], document):
                yield entry.fault(self.tables[kind], fault.pointer, fault.code, fault.detail)


def merged(tables: Mapping[str, Table], read: TablesRead, standing: Mapping[str, Iterable[Document]]) -> Merged:
    """Lay what was read over what stands; what the file does not speak of stays as it is."""
    document = {kind: list(entries) for kind, entries in standing.items()}
    whole = Merged(tables, document)
    for kind, entries in read.entries.items():
        places = {entry["code"]: place for place, entry in enumerate(document[kind])}
        for code, entry in entries.items():
            place = places.get(code)
            if place is None:
                place = len(document[kind])
                document[kind].append(entry.over(tables[kind]))
            else:
                document[kind][place] = entry.over(tables[kind], document[kind][place])
            whole.entries[kind, place] = entry
    return whole


def schema_faults(spec: Spec, schema: str, document: Any) -> list[Fault]:
    """What a published schema refuses of a document; the compiled one has the verdict."""
    validator = spec.validator(schema)
    if validator.is_valid(document):
        return []
    return explained(schema, document) or own_errors(validator, document)
