"""An order drafted from stored plans and takeoffs: read, added up, priced by the catalogue as it is now."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from service.building.order_sources import summed_plan, summed_takeoff
from service.documents.catalogue import entry_from
from service.domain.catalogue import Closure, MaterialRule, Sleeve, Tray
from service.domain.faults import Fault, Refused
from service.domain.order import Item, OrderRequest, OrderSource
from service.planning.orders.goods import Goods, goods_of
from service.planning.orders.making import Draft, Heading
from service.planning.orders.needs import Sources, confidence_of, needs_of
from service.planning.orders.relearning import relearned
from service.planning.orders.settling import check_goods
from service.planning.orders.summing import SourceSum
from service.store import SECTIONS, NotFound, Snapshot, Store


@dataclass(frozen=True, slots=True)
class Making:
    """The id that an order is to have, when it is made, and by which version of the service."""

    id: str
    created: datetime
    version: str


def drafted(store: Store, asked: OrderRequest, making: Making) -> Draft:
    """Draft what is asked for; nothing is stored or held yet.

    Raises ``Refused`` with a pointer to each plan or takeoff that cannot be ordered, and ``Unfinished`` for a takeoff
    that has not been planned to its end.
    """
    sources: Sources = _sources(store, asked)
    if asked.rework == "recorded":
        sources = relearned(sources, store.records.tallies())
    confidence = confidence_of(sources, asked.confidence)
    needs = needs_of(sources, confidence)
    if not needs:
        raise Refused([Fault("", "empty", "There is nothing to order: name plans or takeoffs that need something.")])
    snapshot = store.snapshot()
    goods = _goods(store, snapshot, (need.item for need in needs))
    check_goods(needs, goods)
    heading = Heading(
        id=making.id,
        created=making.created,
        name=asked.name,
        confidence=confidence,
        catalogue_revision=snapshot.catalogue_revision,
        version=making.version,
        again=asked.again,
        recorded=asked.rework == "recorded",
        supplier=asked.supplier,
        deliver_to=asked.deliver_to,
        reference=asked.reference,
    )
    return Draft(heading, sources, needs, goods)


def _sources(store: Store, asked: OrderRequest) -> list[tuple[OrderSource, SourceSum]]:
    sources: list[tuple[OrderSource, SourceSum]] = []
    faults: list[Fault] = []
    for index, plan in enumerate(asked.plans):
        try:
            sources.append(summed_plan(store, plan, f"/plans/{index}"))
        except Refused as refusal:
            faults += refusal.faults
    for index, takeoff in enumerate(asked.takeoffs):
        try:
            sources.append(summed_takeoff(store, takeoff, f"/takeoffs/{index}", asked.strict))
        except Refused as refusal:
            faults += refusal.faults
    if faults:
        raise Refused(faults)
    return sources


def _goods(store: Store, snapshot: Snapshot, items: Iterable[Item]) -> dict[Item, Goods]:
    goods = {}
    for item in items:
        section = SECTIONS[item.kind]
        entry = getattr(snapshot, section).get(item.code)
        retired = entry is None
        if retired:
            # A snapshot has no entries that are retired; what plans used is on record still.
            try:
                entry = entry_from(section, store.entry(section, item.code).document)
            except NotFound:
                continue
        assert isinstance(entry, Closure | Tray | Sleeve | MaterialRule)
        goods[item] = goods_of(entry, retired)
    return goods
