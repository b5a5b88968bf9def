"""The sheets of a plan, a takeoff and an order: the one place that knows which there are."""

from __future__ import annotations

from typing import NamedTuple

from flask import current_app


class Sheet(NamedTuple):
    """A sheet's address and what it is called."""

    href: str
    text: str


_PLAN = (
    ("sheet.pdf", "Sheet for the crew, PDF"),
    ("schedule.csv", "Splice schedule, CSV"),
    ("materials.csv", "Materials, CSV"),
    ("plan.xlsx", "Workbook, XLSX"),
    ("drawing.svg", "Drawing, SVG"),
)
_TAKEOFF = (("materials.csv", "Materials, CSV"), ("materials.xlsx", "Materials, XLSX"))
_ORDER = (("order.pdf", "Order, PDF"), ("order.csv", "Order, CSV"), ("order.xlsx", "Order, XLSX"))


def plan_sheets(plan_id: str) -> list[Sheet]:
    """The sheets of a plan."""
    return _served("plans", plan_id, _PLAN)


def takeoff_sheets(takeoff_id: str) -> list[Sheet]:
    """The sheets of a finished takeoff."""
    return _served("takeoffs", takeoff_id, _TAKEOFF)


def order_sheets(order_id: str) -> list[Sheet]:
    """The sheets of an order."""
    return _served("orders", order_id, _ORDER)


def drawing_of(plan_id: str) -> str | None:
    """The address of a plan's drawing; None where this server draws none."""
    return f"/v1/plans/{plan_id}/drawing.svg" if "/v1/plans/<id>/drawing.svg" in _rules() else None


def _served(kind: str, id: str, sheets: tuple[tuple[str, str], ...]) -> list[Sheet]:
    rules = _rules()
    return [Sheet(f"/v1/{kind}/{id}/{name}", text) for name, text in sheets if f"/v1/{kind}/<id>/{name}" in rules]


def _rules() -> set[str]:
    return {rule.rule for rule in current_app.url_map.iter_rules()}
