"""An order as plain text for a screen."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from service.domain.order import Order, OrderLine, OrderSource
from service.sheets.layout import columns, counted, items, quantity, section

_WIDTH = 118
_HEAD = ("item", "needed", "in boxes", "from stock", "to buy", "packs", "price", "what")


def order_text(order: Order) -> str:
    """The order's head, its lines with their totals, spares, sources and remarks, ending in a line break."""
    lines = [f"Order {order.id}  {order.name}".rstrip(), f"{order.state}, made {order.created:%Y-%m-%d %H:%M} UTC"]
    for word, text in (("supplier", order.supplier), ("deliver to", order.deliver_to), ("reference", order.reference)):
        if text is not None:
            lines.append(f"{word}: {text}")
    rows = [_HEAD, *(_cells(line) for line in order.lines)]
    lines += section("Items", columns(rows, right=range(1, 7), width=_WIDTH))
    totals = [(total.currency, f"{total.price:,.2f}", counted(total.lines, "line")) for total in order.totals]
    lines += section("Total", columns(totals, right=(1,)))
    spares = [("sleeve", "splices", "spares, pooled", "spares, each plan its own"), *_spares(order)]
    lines += section("Spares", columns(spares, right=(1, 2)) if len(spares) > 1 else [])
    lines += section("From", columns([_source(source) for source in order.sources], width=_WIDTH))
    lines += section("Remarks", items(order.notes))
    return "\n".join(lines) + "\n"


def _cells(line: OrderLine) -> tuple[str, ...]:
    packs = f"{line.packs:,}" if line.pack_of == 1 else f"{line.packs:,} of {line.pack_of:,}"
    price = "" if line.price is None else f"{line.price:,.2f} {line.currency}"
    figures = (line.quantity, line.included, line.from_stock, line.to_buy)
    return (line.item, *(_told(figure) for figure in figures), packs, price, f"{line.title} ({line.unit})")


def _told(figure: Decimal) -> str:
    return quantity(figure) if figure else "-"


def _spares(order: Order) -> Iterator[tuple[str, ...]]:
    for line in order.lines:
        if line.spares is not None:
            yield line.item, f"{line.spares.splices:,}", f"{line.spares.pooled:,}", f"{line.spares.separate:,}"


def _source(source: OrderSource) -> tuple[str, ...]:
    left_out = [
        f"{count} {word}" for count, word in ((source.unfit, "not fitting"), (source.faulty, "faulty")) if count
    ]
    points = counted(source.points, "splice point") + (f", left out: {', '.join(left_out)}" if left_out else "")
    return source.kind, source.id, points, source.name
