"""The examples of ``openapi.yaml`` that the service itself makes from the other examples.

``python -m tests.contract.made_examples`` writes them anew between their two marks; a test compares them.
"""

from __future__ import annotations

import json
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import yaml

from service.documents.asks import asks_from
from service.documents.catalogue import catalogue_from
from service.documents.order import order_to
from service.documents.plan import fit_check_to, plan_to
from service.documents.request import request_from
from service.domain.catalogue import Catalogue
from service.domain.order import Item, Order, OrderSource
from service.planning.orders.goods import goods_of
from service.planning.orders.making import Draft, Heading
from service.planning.orders.needs import needs_of
from service.planning.orders.summing import SourceSum
from service.planning.plan import check_fit, plan_splice_point
from tests.contract.made_installations import made_installations
from tests.contract.made_takeoffs import made_takeoffs

SPEC = Path(__file__).resolve().parents[2] / "openapi.yaml"
START, END = (
    "    # Made from the examples above by the service itself.\n",
    "    # So far the ones made by the service.\n",
)
ORDERED = Heading(
    id="7c1d2b0f4e5a4c7f9b3a6d8e1f20c4b5",
    created=datetime(2026, 3, 2, 9, 40, tzinfo=UTC),
    name="Ferrow Lane, first lot",
    confidence=0.99,
    catalogue_revision=1,
    version="0.2.0",
    supplier="Harbour Splice Supplies",
    deliver_to="Depot Ferrowmouth",
    reference="F-2026-014",
)
STORED = {"id": "5f0c3a9be1d24c0c8a7d6e5f4b3a2910", "created": "2026-03-02T09:30:00.000000Z"}


def made_examples(document: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """The examples by name, made from the small catalogue and the two requests among the document's examples."""
    examples = document["components"]["examples"]
    catalogue = catalogue_from(examples["smallCatalogue"]["value"])
    handhole = request_from(examples["handholeRequest"]["value"])
    mid_span = request_from(examples["midSpanRequest"]["value"])
    return {
        "handholePlan": {
            "summary": "Three cables in a handhole.",
            "value": plan_to(plan_splice_point(handhole, catalogue)),
        },
        "storedMidSpanPlan": {
            "summary": "Two ribbons of a cable that passes through.",
            "value": {**STORED, **plan_to(plan_splice_point(mid_span, catalogue))},
        },
        "handholeOrder": {
            "summary": "What the plan of a handhole needs, some sleeves of it from stock.",
            "value": order_to(_order(plan_to(plan_splice_point(handhole, catalogue)), catalogue)),
        },
        **made_takeoffs(document),
        **made_installations(document),
        "handholeFitCheck": {
            "summary": "Three cables in a handhole.",
            "value": fit_check_to(check_fit(handhole, catalogue)),
        },
    }


def _order(plan: dict[str, Any], catalogue: Catalogue) -> Order:
    summed = SourceSum("/plans/0")
    summed.add(asks_from(plan))
    sources = [(OrderSource("plan", STORED["id"], plan["name"]), summed)]
    needs = needs_of(sources, ORDERED.confidence)
    goods = {need.item: goods_of(getattr(catalogue, f"{need.item.kind}s")[need.item.code]) for need in needs}
    return Draft(ORDERED, sources, needs, goods).settled({Item("sleeve", "rs-12"): Decimal(20)})


def _written(examples: dict[str, dict[str, Any]]) -> str:
    lines = []
    for name, example in examples.items():
        lines += [f"    {name}:", f"      summary: {example['summary']}", "      value:"]
        for member, value in example["value"].items():
            if isinstance(value, list) and value and isinstance(value[0], dict):
                lines.append(f"        {member}:")
                lines += [f"          - {json.dumps(each, ensure_ascii=False)}" for each in value]
            else:
                lines.append(f"        {member}: {json.dumps(value, ensure_ascii=False)}")
    return "\n".join(lines) + "\n"


def main() -> None:
    """Write the made examples into the description."""
    text = SPEC.read_text(encoding="utf-8")
    before, rest = text.split(START)
    after = rest.split(END)[1]
    made = _written(made_examples(yaml.safe_load(text)))
    SPEC.write_text(before + START + made + END + after, encoding="utf-8")


if __name__ == "__main__":
    main()
