"""A splice record as a JSON-able document, and back."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from service.documents.numbers import plain
from service.domain.records import Loss, SpliceRecord

Document = dict[str, Any]


def record_to(record: SpliceRecord) -> Document:
    """Write a record, less the installation that it belongs to; what was not told is left out."""
    document: Document = {
        "splice": record.splice,
        "form": record.form,
        "fibres": record.fibres,
        "remakes": record.remakes,
    }
    if record.remakes_after_shrinking is not None:
        document["remakes_after_shrinking"] = record.remakes_after_shrinking
    document["measurements"] = [_loss_to(loss) for loss in record.measurements]
    if record.who:
        document["who"] = record.who
    if record.note:
        document["note"] = record.note
    document["when"] = f"{record.when.astimezone(UTC):%Y-%m-%dT%H:%M:%S.%f}Z"
    return document


def record_from(installation: str, document: Mapping[str, Any]) -> SpliceRecord:
    """Read a record of an installation from a schema-valid document."""
    return SpliceRecord(
        installation=installation,
        splice=document["splice"],
        form=document["form"],
        fibres=document["fibres"],
        remakes=document["remakes"],
        when=datetime.fromisoformat(document["when"]),
        who=document.get("who", ""),
        note=document.get("note", ""),
        remakes_after_shrinking=document.get("remakes_after_shrinking"),
        measurements=tuple(Loss(**{"fibre": None, **loss}) for loss in document.get("measurements", ())),
    )


def _loss_to(loss: Loss) -> Document:
    members = {name: value for name, value in loss._asdict().items() if value is not None}
    return {**members, "loss_db": plain(loss.loss_db)}
