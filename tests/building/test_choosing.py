"""Few kinds of closure for a takeoff: what is judged, what is chosen, and that planning keeps to it."""

from __future__ import annotations

import tracemalloc
from collections.abc import Iterator
from decimal import Decimal
from itertools import combinations
from typing import Any

import orjson
import pytest

from service.building.choosing import choose_closures
from service.building.demands import judge_demand, plan_demand
from service.building.equals import canonical
from service.building.offers import APART, offer_written, offers_read
from service.documents.closure_kinds import kinds_from, kinds_to
from service.domain.takeoff import Judged
from service.planning.closure_kinds import Offer
from service.planning.plan import check_fit
from tests.building.renamed_points import CATALOGUE, POINTS


def request_of(point: dict[str, Any], *closures: str) -> bytes:
    """A canonical request that leaves the closure open, or names some."""
    open_ = {name: value for name, value in point.items() if name != "closures"}
    return canonical({**open_, "closures": list(closures)} if closures else open_, 0).request


FREE = [request_of(point) for point in POINTS[:8]]
JUDGED = [
    Judged(number, judge_demand(CATALOGUE, number, request).closures, points=number)
    for number, request in enumerate(FREE, start=1)
]


@pytest.mark.parametrize(
    "offer", [Offer("a", 0), Offer("a", 3, Decimal("118.50"), "EUR"), Offer("b.c-d", 1, Decimal("0.10"), "SEK")]
)
def test_an_offer_is_read_as_it_was_written(offer: Offer) -> None:
    """The price to the last digit, or none."""
    assert offers_read({offer.closure: offer_written(offer)}) == (offer,)


def test_a_demand_is_judged_as_a_fit_check_judges_it() -> None:
    """Every closure that takes it, with the price of closure and trays."""
    from service.documents.request import request_from

    check = check_fit(request_from(orjson.loads(FREE[4])), CATALOGUE)
    fitting = {each.closure: each.price for each in check.candidates if each.fits}
    assert {offer.closure: offer.price for offer in offers_read(JUDGED[4].closures)} == fitting


@pytest.mark.parametrize("most", [1, 2, 3])
def test_the_choice_is_the_best_of_all_sets(most: int) -> None:
    """Against every set of so many closures: fewest splice points left out, then the least total."""
    offers = [(each.points, {offer.closure: offer.price for offer in offers_read(each.closures)}) for each in JUDGED]

    def outcome(chosen: tuple[str, ...]) -> tuple[int, Decimal]:
        unserved, total = 0, Decimal(0)
        for points, prices in offers:
            served = [price for code in chosen if (price := prices.get(code)) is not None]
            unserved += 0 if served else points
            total += points * min(served) if served else 0
        return unserved, total

    best = min(outcome(chosen) for chosen in combinations(sorted(CATALOGUE.closures), most))
    choice = choose_closures(CATALOGUE, most, JUDGED)
    assert len(choice.closures) <= most and outcome(choice.closures) == best
    assert choice.document["chosen"]["optimal"]


def test_a_choice_is_read_as_it_was_written() -> None:
    """What is kept with the takeoff is what the plot is drawn from."""
    document = choose_closures(CATALOGUE, 2, JUDGED).document
    assert kinds_to(kinds_from(document)) == document


def test_choosing_for_a_large_build_takes_no_more_memory_than_for_a_small_one() -> None:
    """Demands that cost the same everywhere are counted and not kept: thirty thousand as well as three hundred."""
    codes = sorted(CATALOGUE.closures)

    def judged(demands: int) -> Iterator[Judged]:
        for number in range(1, demands + 1):
            prices = {code: f"{place + number % 7} {place + number % 7}0.50 EUR" for place, code in enumerate(codes, 1)}
            yield Judged(number, prices, points=2)

    def peak(demands: int) -> int:
        tracemalloc.start()
        try:
            assert choose_closures(CATALOGUE, 2, judged(demands)).document["points"] == 2 * demands
            return tracemalloc.get_traced_memory()[1]
        finally:
            tracemalloc.stop()

    assert peak(30_000) < peak(300) + 500_000


def test_planning_keeps_to_the_choice() -> None:
    """Of the closures chosen the one that would be taken is taken; where none was named by the point, it is refused."""
    chosen = ("dome-24", "dome-72")
    plan = plan_demand(CATALOGUE, 1, FREE[5], chosen)
    assert plan.closure in chosen
    assert plan_demand(CATALOGUE, 1, request_of(POINTS[5], "dome-12", "dome-72"), chosen).closure == "dome-72"
    refused = plan_demand(CATALOGUE, 1, request_of(POINTS[5], "dome-12"), chosen)
    assert refused.fits is None and [fault.code for fault in refused.faults] == ["not_chosen"]


def test_what_hangs_already_has_no_part_in_the_choice() -> None:
    """Its closure is there, whatever is chosen; what is refused has none either."""
    hanging = next(point for point in POINTS if point.get("existing_trays"))
    request = canonical(hanging, 0).request
    assert judge_demand(CATALOGUE, 1, request).closures == APART
    assert plan_demand(CATALOGUE, 1, request, ("hub-288",)).closure == hanging["closures"][0]
    faulty = request_of({**POINTS[0], "joints": [{**POINTS[0]["joints"][0], "from": {"cable": "x", "fibres": "1"}}]})
    assert judge_demand(CATALOGUE, 1, faulty).closures == APART
    assert choose_closures(CATALOGUE, 1, [Judged(1, APART, points=5)]).document["points"] == 0
