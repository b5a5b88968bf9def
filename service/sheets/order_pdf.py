"""An order on paper, for a supplier: who orders what, in packs, with prices and sums."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from service.domain.order import Order, OrderLine
from service.sheets.figures import money_text, quantity_text
from service.sheets.order_facts import STATES, day_of
from service.sheets.pdf_page import FONT, MISSING, a4_pages, shown, written

if TYPE_CHECKING:
    from fpdf import FPDF

_HEADS = ("No.", "Item", "Title", "Packs", "Pack of", "In all", "A pack", "Price")
_WIDTHS = (9, 27, 47, 13, 15, 21, 17, 25)
_ADVICE = (
    "Quantities are worked out from splice plans and stock as they were when the order was made. They advise and "
    "warrant nothing: whoever places the order checks them first."
)


def order_pdf(order: Order) -> bytes:
    """The lines with packs to buy, as A4 pages; the head of the table is on every page."""
    title = shown(f"Order: {order.name}" if order.name else f"Order {order.id}")
    pages = a4_pages(title, shown(f"Order {order.id}"), order.created)
    pages.set_font(FONT, "B", 16)
    pages.multi_cell(0, 7, title, align="L", new_x="LMARGIN", new_y="NEXT")
    pages.ln(3)
    _facts(pages, order)
    bought = [line for line in order.lines if line.packs > 0]
    if bought:
        _table(pages, bought)
        _sums(pages, order)
    else:
        pages.set_font(FONT, "B", 10)
        pages.cell(0, 8, "Nothing is to be bought: stock and boxes cover it all.", new_x="LMARGIN", new_y="NEXT")
    _remarks(pages, [*order.notes, _ADVICE], _texts(order))
    return written(pages)


def _facts(pages: FPDF, order: Order) -> None:
    told = [
        ("Number", order.id),
        ("Date", day_of(order.created)),
        ("State", STATES[order.state]),
        ("Reference", order.reference),
        ("Supplier", order.supplier),
        ("Deliver to", order.deliver_to),
    ]
    for head, text in told:
        if not text:
            continue
        pages.set_font(FONT, "B", 9)
        pages.cell(28, 5, head)
        pages.set_font(FONT, "", 9)
        pages.multi_cell(0, 5, shown(text), align="L", new_x="LMARGIN", new_y="NEXT")
    pages.ln(3)


def _table(pages: FPDF, lines: list[OrderLine]) -> None:
    from fpdf.enums import TableBordersLayout
    from fpdf.fonts import FontFace

    pages.set_font(FONT, "", 8.5)
    aligned = ("RIGHT", "LEFT", "LEFT", "RIGHT", "RIGHT", "RIGHT", "RIGHT", "RIGHT")
    with pages.table(
        col_widths=_WIDTHS,
        text_align=aligned,
        borders_layout=TableBordersLayout.HORIZONTAL_LINES,
        headings_style=FontFace(emphasis="BOLD", fill_color=(232, 232, 232)),
        line_height=4.6,
        padding=(0.6, 1),
    ) as table:
        table.row(_HEADS)
        for number, line in enumerate(lines, 1):
            table.row(tuple(_cells(number, line)))
    pages.ln(2)


def _cells(number: int, line: OrderLine) -> Iterator[str]:
    yield str(number)
    yield shown(line.item)
    yield shown(line.title)
    yield f"{line.packs:,}"
    yield f"{line.pack_of:,}"
    yield shown(f"{quantity_text(line.to_buy + line.surplus)} {line.unit}")
    yield "" if line.pack_price is None else money_text(line.pack_price)
    yield "no price" if line.price is None else shown(f"{money_text(line.price)} {line.currency or ''}".rstrip())


def _sums(pages: FPDF, order: Order) -> None:
    pages.set_font(FONT, "B", 10)
    for total in order.totals:
        pages.cell(
            0, 6, shown(f"Sum {money_text(total.price)} {total.currency}"), align="R", new_x="LMARGIN", new_y="NEXT"
        )
    if order.unpriced:
        pages.set_font(FONT, "", 9)
        are = "line has no price and is" if order.unpriced == 1 else "lines have no price and are"
        pages.cell(0, 5, f"{order.unpriced} {are} in no sum.", align="R", new_x="LMARGIN", new_y="NEXT")


def _remarks(pages: FPDF, remarks: list[str], texts: Iterator[str]) -> None:
    if any(MISSING in shown(text) and MISSING not in text for text in texts):
        remarks = [*remarks, f"Letters that cannot be printed here stand as {MISSING}."]
    pages.ln(3)
    pages.set_font(FONT, "", 8.5)
    for remark in remarks:
        pages.multi_cell(0, 4.4, shown(remark), align="L", new_x="LMARGIN", new_y="NEXT")
        pages.ln(1)


def _texts(order: Order) -> Iterator[str]:
    yield from (order.name, order.reference or "", order.supplier or "", order.deliver_to or "", *order.notes)
    for line in order.lines:
        yield from (line.item, line.title, line.unit)
