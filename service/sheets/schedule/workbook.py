"""A plan as a workbook: what it comes to, the splices to work from and fill in, their losses, slack, materials."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from service.domain.dossier import Dossier
from service.domain.plan import Plan
from service.sheets.figures import trimmed
from service.sheets.order_facts import day_of
from service.sheets.schedule import filled
from service.sheets.schedule.ends import EndFacts
from service.sheets.schedule.rows import ScheduleRow, schedule_rows
from service.sheets.schedule.text_csv import span, span_of_colours
from service.sheets.sums import price_sums
from service.sheets.workbook import Book, Cell, Column, Filled

_WHERE = (Column("No.", 6), *(Column(name, 6) for name in filled.PLACE))
_END = (("cable", 10), ("tube", 16), ("ribbon", 8), ("fibres", 9), ("fibre colours", 24))
_SPLICES = (
    *_WHERE,
    Column("Slot kind", 12),
    Column("Sleeve", 12),
    Column("Fibres", 7),
    *(Column(f"From {name}", width) for name, width in _END),
    *(Column(f"To {name}", width) for name, width in _END),
    Column("Kept apart for", 12),
    Column(filled.REMAKES, 11, filled=Filled("whole", 0, 999)),
    Column(filled.AFTER_SHRINKING, 10, filled=Filled("whole", 0, 999)),
    Column(filled.BY, 14, filled=Filled("text")),
    Column(filled.ON, 12, filled=Filled("day")),
    Column(filled.NOTE, 24, filled=Filled("text")),
)
_LOSSES = (
    *_WHERE,
    Column(filled.POSITION, 9),
    Column("Colour", 18),
    Column("From cable", 10),
    Column("From fibre", 8),
    Column("To cable", 10),
    Column("To fibre", 8),
    Column(filled.WAVELENGTH, 13, filled=Filled("whole", 800, 1700)),
    *(Column(name, 12, filled=Filled("number", -20, 60)) for name in filled.FILLED_ON_LOSSES[1:]),
)
_WAVELENGTH = 1550
_SLACK = tuple(
    Column(head, width)
    for head, width in (
        ("Cable", 10),
        ("Sheath opening mm", 12),
        ("Window mm", 12),
        ("Stored a side mm", 12),
        ("Turns a side", 11),
        ("Remakes left", 11),
        ("Slack outside m", 12),
    )
)
_MATERIALS = (
    Column("Kind", 10),
    Column("Item", 18),
    Column("Title", 44),
    Column("Unit", 9),
    Column("Quantity"),
    Column("In the box"),
    Column("Packs", 9),
    Column("Price", 14, True),
    Column("Currency", 11),
    Column("Because", 60),
)


def plan_xlsx(dossier: Dossier) -> bytes:
    """The workbook of a stored plan; a plan that does not fit has its reasons in place of splices and materials."""
    plan = dossier.plan
    book = Book(f"Plan: {plan.name}" if plan.name else "Plan", dossier.created)
    _front(book, dossier)
    if plan.fits:
        rows = list(schedule_rows(dossier))
        _splices(book, rows)
        _losses(book, rows)
        _slack(book, plan)
        _materials(book, plan)
    return book.finish()


def _front(book: Book, dossier: Dossier) -> None:
    plan = dossier.plan
    sheet = book.sheet(filled.PLAN, (Column("Plan", 22), Column(plan.name or dossier.id, 90)))
    closure = plan.closure and dossier.catalogue.closures.get(plan.closure)
    told: list[tuple[str, str | None]] = [
        (filled.NUMBER, dossier.id),
        ("Planned", day_of(dossier.created)),
        ("Verdict", "fits" if plan.fits else "does not fit"),
        ("Closure", f"{plan.closure}, {closure.title}" if closure else plan.closure),
        ("Splices", str(plan.splices)),
        ("Address", dossier.link),
    ]
    if plan.fits:
        new = sum(tray.new for tray in plan.trays)
        number = str(len(plan.trays))
        told.append(("Trays", f"{number}, {new} of them new" if new < len(plan.trays) else number))
    for head, value in told:
        if value is not None:
            sheet.row([head, value])
    for use in plan.ports:
        sheet.row([f"Port {use.port}", ", ".join(dict.fromkeys(use.cables))])
    texts: list[tuple[str, Sequence[str]]] = [
        ("Reason", [reason.text for reason in plan.reasons]),
        ("Remedy", [remedy.text for remedy in plan.remedies]),
        ("Note", plan.notes),
        ("Caution", plan.cautions),
    ]
    for head, lines in texts:
        for line in lines:
            sheet.row([head, line])


def _splices(book: Book, rows: Sequence[ScheduleRow]) -> None:
    sheet = book.sheet(filled.SPLICES, _SPLICES, beside=4)
    for row in rows:
        where = (row.number, row.tray, row.bank, row.slot, row.slot_kind, row.sleeve, row.fibres)
        sheet.row([*where, *_end(row.from_), *_end(row.to), row.keep_apart, *[None] * len(filled.FILLED_ON_SPLICES)])
    sheet.checked()


def _end(end: EndFacts) -> tuple[Cell, ...]:
    tube = None if end.tube is None else f"{end.tube}, {end.tube_colour}"
    ribbon: Cell = end.ribbon if end.half is None else f"{end.ribbon}{'ab'[end.half - 1]}"
    return _tag(end), tube, ribbon, span(end.fibres), span_of_colours(end) if end.positions else None


def _tag(end: EndFacts) -> str:
    return f"{end.cable}, outgoing" if end.leaves else end.cable


def _losses(book: Book, rows: Sequence[ScheduleRow]) -> None:
    """A row for each fibre; the wavelength stands there already, since nearly always it is this one."""
    sheet = book.sheet(filled.LOSSES, _LOSSES, beside=4)
    for row in rows:
        where = (row.number, row.tray, row.bank, row.slot)
        for place in range(row.fibres):
            one, other = (end.fibres[place] if place < len(end.fibres) else None for end in (row.from_, row.to))
            colours = row.from_.fibre_colours
            colour = colours[place] if place < len(colours) else None
            fibre = (place + 1, colour, _tag(row.from_), one, _tag(row.to), other)
            sheet.row([*where, *fibre, _WAVELENGTH, None, None, None])
    sheet.checked()


def _slack(book: Book, plan: Plan) -> None:
    sheet = book.sheet("Slack", _SLACK, beside=1)
    for slack in plan.slack:
        lengths = [_broken(length) for length in (slack.sheath_opening_mm, slack.window_mm, slack.stored_mm)]
        sheet.row([slack.cable, *lengths, slack.turns, slack.remakes_left, _broken(slack.slack_m)])


def _materials(book: Book, plan: Plan) -> None:
    sheet = book.sheet("Materials", _MATERIALS, beside=2)
    for line in plan.materials:
        quantities = (trimmed(line.quantity), trimmed(line.included), line.packs)
        head = (line.kind, line.material, line.title, line.unit)
        sheet.row([*head, *quantities, line.price, line.currency, line.because])
    price_sums(sheet, 2, 7, 8, ((line.price, line.currency) for line in plan.materials))


def _broken(length: float | None) -> Decimal | None:
    return None if length is None else trimmed(Decimal(str(length)))
