"""A small order for the sheets, invented, with text that would make mischief as a formula, and its splice points."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from decimal import Decimal

from service.domain.order import Item, Order, OrderLine, OrderSource, OrderTotal, PooledSpares, ReworkGroup, Share
from service.sheets.rows import ItemRow, PointRow

MISCHIEF = '=HYPERLINK("http://example.invalid","free")'
CREATED = datetime(2026, 11, 25, 9, 30, 15, 123456, tzinfo=UTC)
D = Decimal

LINES = (
    OrderLine(
        "closure", "dome-48", "Dome for 48, grey", "piece", D(14), D(0), D(2), D(12), 1, 12, D(0), D("118.50"),
        D("1422.00"), "EUR", shares=(Share("plan", "p-1", D(2), D(0)), Share("takeoff", "t-1", D(12), D(0))),
    ),
    OrderLine(
        "sleeve", "rs-12", "Ribbon sleeve, 12 fibres", "piece", D(310), D(0), D(0), D(310), 10, 31, D(0), D("20.00"),
        D("620.00"), "EUR", spares=PooledSpares(288, 22, 48, 0.95, (ReworkGroup(288, 0.05),)),
        shares=(Share("plan", "p-1", D(28), D(0)), Share("takeoff", "t-1", D(308), D(0))),
    ),
    OrderLine(
        "material", "blade", MISCHIEF, "piece", D("0.576"), D(0), D(0), D("0.576"), 1, 1, D("0.424"), D("60.00"),
        D("60.00"), "USD", shares=(Share("takeoff", "t-1", D("0.576"), D(0)),),
    ),
    OrderLine(
        "material", "seal-20", "Ülke seal, 14–20 mm", "piece", D(28), D(24), D(0), D(4), 2, 2, D(0),
        shares=(Share("plan", "p-1", D(4), D(4)), Share("takeoff", "t-1", D(24), D(20))),
    ),
    OrderLine(
        "material", "wipe", "Wipe", "box", D(3), D(0), D(3), D(0), 1, 0, D(0), D("5.00"), D("0.00"), "EUR",
        retired=True, shares=(Share("plan", "p-1", D(3), D(0)),),
    ),
)  # fmt: skip

ORDER = Order(
    id="0193-7f",
    created=CREATED,
    name="Ferrow Lane, phase 2",
    state="draft",
    revision=1,
    confidence=0.95,
    catalogue_revision=7,
    version="0.1.0",
    sources=(OrderSource("plan", "p-1", "Handhole 7"), OrderSource("takeoff", "t-1", "Phase 2", 12, 1, 2)),
    lines=LINES,
    totals=(OrderTotal("EUR", D("2042.00"), 3), OrderTotal("USD", D("60.00"), 1)),
    unpriced=1,
    supplier="-Kabel & Muffe Łódź, 漢字",
    deliver_to="Yard 4\nFerrow Lane",
    reference="+4711",
    notes=("The rework rates of sleeve rs-12 differ between plans.",),
)

ITEMS = (
    ItemRow("closure", "dome-48", "Dome for 48", "piece", 3, D(3), D(0), 3, D("355.50"), "EUR"),
    ItemRow("sleeve", "rs-12", "Ribbon sleeve", "piece", 3, D(84), D(0), 9, D("180.00"), "EUR"),
    ItemRow("material", "blade", MISCHIEF, "piece", 2, D("0.048"), D(0), 2, D("120.00"), "USD"),
    ItemRow("material", "seal-20", "Seal", "piece", 3, D(12), D(12), 0),
)


def points(number: int = 3) -> Iterator[PointRow]:
    """So many splice points with what each needs; the third of three has no blade."""
    for place in range(1, number + 1):
        wants = {Item("closure", "dome-48"): D(1), Item("sleeve", "rs-12"): D(28), Item("material", "seal-20"): D(4)}
        prices = {"EUR": D("178.50")}
        if place % 3:
            wants[Item("material", "blade")] = D("0.024")
            prices["USD"] = D("60.00")
        yield PointRow(place, MISCHIEF if place == 2 else f"Handhole {place}", "dome-48", wants, prices)
