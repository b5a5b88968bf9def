"""What a splice record cannot mean."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from service.domain.faults import Fault
from service.domain.records import SpliceRecord


def faults_of_records(records: Iterable[SpliceRecord], pointer: str = "") -> tuple[Fault, ...]:
    """All faults of records that were sent together, each with its place under ``pointer``."""
    found: list[Fault] = []
    seen: set[tuple[str, int]] = set()
    for place, record in enumerate(records):
        here = f"{pointer}/{place}"
        if (record.installation, record.splice) in seen:
            found.append(Fault(f"{here}/splice", "duplicate", f"splice {record.splice} stands here twice"))
        seen.add((record.installation, record.splice))
        found += _faults(record, here)
    return tuple(found)


def _faults(record: SpliceRecord, here: str) -> Iterator[Fault]:
    if record.remakes_after_shrinking is not None and record.remakes_after_shrinking > record.remakes:
        detail = "remakes after shrinking are among all remakes: at most as many"
        yield Fault(f"{here}/remakes_after_shrinking", "range", detail)
    if record.form == "single" and record.fibres != 1:
        yield Fault(f"{here}/fibres", "range", "a splice made fibre by fibre joins one fibre")
    if record.form != "single" and record.fibres < 2:
        yield Fault(f"{here}/fibres", "range", "a ribbon has two fibres at least")
    for place, loss in enumerate(record.measurements):
        there = f"{here}/measurements/{place}"
        if loss.fibre is not None and not 1 <= loss.fibre <= record.fibres:
            yield Fault(f"{there}/fibre", "range", f"the splice joins {record.fibres} fibres, counted from 1")
        if loss.kind == "estimated" and loss.direction is not None:
            yield Fault(f"{there}/direction", "conflict", "an estimate is of the splicer and has no direction")
        if loss.kind == "measured" and loss.wavelength_nm is None:
            yield Fault(f"{there}/wavelength_nm", "required", "a measurement is made at a wavelength")
