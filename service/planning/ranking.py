"""Every candidate judged, and which of those that fit is taken."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from service.domain.catalogue import Catalogue
from service.domain.request import PlanRequest
from service.domain.splices import Work
from service.planning.effort import NODES_IN_ALL, NODES_LEAST
from service.planning.express_room import CablesByTag
from service.planning.judge import Verdict, judge, price_of
from service.planning.packing import NODE_LIMIT
from service.planning.stowage import Stowage


def judge_all(
    request: PlanRequest,
    work: Work,
    catalogue: Catalogue,
    stowage: Stowage,
    cables: CablesByTag,
    nodes: int | None = None,
) -> Sequence[Verdict]:
    """Judge every candidate, the one to take first: by price of closure and trays where all that
    fit have one, else by price of the closure alone, else by outer volume, then fewest trays, then code.

    Those that do not fit follow, the one with the fewest binding limits first. ``nodes``: see ``judge``. All together
    take no more steps than ``NODES_IN_ALL``, but for the few that each one may always take.
    """
    codes = request.closures or tuple(sorted(catalogue.closures))
    verdicts, left = [], NODES_IN_ALL
    for code in codes:
        most = max(min(NODE_LIMIT, left), NODES_LEAST)
        verdict = judge(catalogue.closures[code], request, work, catalogue, stowage, cables, nodes, nodes_most=most)
        left -= verdict.packing.nodes if verdict.packing is not None else 0
        verdicts.append(verdict)
    fitting = [verdict for verdict in verdicts if verdict.fits]
    prices = _comparable([verdict.price for verdict in fitting]) or _comparable(
        [price_of(verdict.closure) for verdict in fitting]
    )

    def rank(place: int) -> tuple[object, ...]:
        verdict = fitting[place]
        outer = verdict.closure.outer_mm3
        trays = len(verdict.packing.trays) if verdict.packing is not None else 0
        tail = (outer is None, outer or 0.0, trays, verdict.closure.code)
        return (prices[place], *tail) if prices else tail

    rest = [verdict for verdict in verdicts if not verdict.fits]
    rest.sort(key=lambda verdict: (len(verdict.reasons), -verdict.closure.stack_mm, verdict.closure.code))
    return [fitting[place] for place in sorted(range(len(fitting)), key=rank)] + rest


def _comparable(prices: Sequence[tuple[Decimal, str] | None]) -> list[Decimal] | None:
    """The amounts, where every one is known and all are in one currency."""
    known = [price for price in prices if price is not None]
    if len(known) < len(prices) or len({currency for _, currency in known}) != 1:
        return None
    return [amount for amount, _ in known]
