"""Splice records as callers send them and are told of them."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, date, datetime
from typing import Any

from service.documents.numbers import plain
from service.domain.records import Loss, SpliceRecord
from service.domain.rework import SpliceForm

Document = dict[str, Any]


def record_said(
    document: Mapping[str, Any],
    about: Mapping[str, Any],
    installation: str,
    form: SpliceForm,
    fibres: int,
    now: datetime,
) -> SpliceRecord:
    """Read one record from a schema-valid document; ``about`` is what was said of all of them together.

    A record without a day is of today; of a day that is named its beginning is kept (UTC).
    """
    on = document.get("on", about.get("on"))
    return SpliceRecord(
        installation=installation,
        splice=document["splice"],
        form=form,
        fibres=fibres,
        remakes=document["remakes"],
        when=now if on is None else _beginning(date.fromisoformat(on)),
        who=document.get("by", about.get("by", "")),
        note=document.get("note", ""),
        remakes_after_shrinking=document.get("remakes_after_shrinking"),
        measurements=tuple(Loss(**{"fibre": None, **loss}) for loss in document.get("losses", ())),
    )


def record_told(number: int, record: SpliceRecord) -> Document:
    """Write a record as it is listed; ``number`` counts the records of its splice from 1."""
    document: Document = {
        "splice": record.splice,
        "number": number,
        "form": record.form,
        "fibres": record.fibres,
        "remakes": record.remakes,
    }
    if record.remakes_after_shrinking is not None:
        document["remakes_after_shrinking"] = record.remakes_after_shrinking
    document["losses"] = [_loss_to(loss) for loss in record.measurements]
    document["on"] = record.when.astimezone(UTC).date().isoformat()
    document["by"] = record.who
    document["note"] = record.note
    return document


def _loss_to(loss: Loss) -> Document:
    members = {name: value for name, value in loss._asdict().items() if value is not None}
    return {**members, "loss_db": plain(loss.loss_db)}


def _beginning(day: date) -> datetime:
    return datetime(day.year, day.month, day.day, tzinfo=UTC)
