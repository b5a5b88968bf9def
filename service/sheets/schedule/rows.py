"""The rows of a schedule: every new splice of a plan, tray by tray, bank by bank, slot by slot."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from service.domain.dossier import Dossier
from service.domain.plan import PlacedSplice, PlannedTray
from service.domain.splices import RibbonEnd
from service.sheets.schedule.ends import EndFacts, end_facts


@dataclass(frozen=True, slots=True)
class ScheduleRow:
    """A splice in its slot. ``number`` counts the rows from 1; ``slot_kind`` is what its bank is set to."""

    number: int
    tray: int
    tray_model: str
    new_tray: bool
    bank: int
    slot: int
    slot_kind: str
    sleeve: str
    fibres: int
    from_: EndFacts
    to: EndFacts
    bundle: int
    keep_apart: str | None


def schedule_rows(dossier: Dossier) -> Iterator[ScheduleRow]:
    """The rows in the order in which the trays are filled; none where the plan does not fit."""
    number = 0
    for tray in sorted(dossier.plan.trays, key=lambda tray: tray.position):
        for splice in sorted(tray.splices, key=lambda splice: (splice.bank, splice.slot)):
            number += 1
            yield _row(number, tray, splice, dossier)


def _row(number: int, tray: PlannedTray, splice: PlacedSplice, dossier: Dossier) -> ScheduleRow:
    def facts(end: RibbonEnd) -> EndFacts:
        return end_facts(end, dossier.cable(end.cable), splice.fibres)

    slot_kind = next(bank.slot_kind for bank in tray.banks if bank.bank == splice.bank)
    return ScheduleRow(
        number,
        tray.position,
        tray.tray,
        tray.new,
        splice.bank,
        splice.slot,
        slot_kind or "",
        splice.sleeve,
        splice.fibres,
        facts(splice.from_),
        facts(splice.to),
        splice.bundle,
        tray.keep_apart,
    )
