"""What one request may cause is bounded, however many closures the catalogue has."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from service.domain.catalogue import Catalogue
from service.domain.faults import Refused
from service.planning import effort, ranking
from service.planning.judge import Verdict, judge
from service.planning.packing import NODE_LIMIT
from service.planning.plan import check_fit, plan_splice_point
from tests.planning.test_plan import backbone
from tests.small_catalogue import small_catalogue

CATALOGUE = small_catalogue()


def with_copies(count: int) -> Catalogue:
    """The small catalogue with so many closures more, each as its dome."""
    dome = CATALOGUE.closures["dome-48"]
    copies = {f"x{place}": replace(dome, code=f"x{place}") for place in range(count)}
    return replace(CATALOGUE, closures={**CATALOGUE.closures, **copies})


@pytest.mark.parametrize("asked", [plan_splice_point, check_fit])
def test_very_many_splices_are_not_judged_in_very_many_closures(monkeypatch: pytest.MonkeyPatch, asked: Any) -> None:
    """28 splices count as 78: 800 allow ten closures; the catalogue has more, so some are to be named."""
    monkeypatch.setattr(effort, "JUDGED_MOST", 800)
    many = with_copies(10)
    with pytest.raises(Refused) as refused:
        asked(replace(backbone(), closures=()), many)
    (fault,) = refused.value.faults
    assert (fault.pointer, fault.code) == ("/closures", "too_many")
    assert fault.detail.startswith("28 splices are judged in at most 10 closures at a time, not in ")
    assert asked(replace(backbone(), closures=tuple(sorted(many.closures))[:10]), many).fits


def test_the_bounds_leave_room_for_a_catalogue() -> None:
    """Fifty splices in any catalogue that may be stored, the most splices of a request in a hundred; one always."""
    assert effort.closures_most(50) >= 5_000
    assert effort.closures_most(10_000) == 100
    assert effort.closures_most(10**9) == 1


def test_closures_share_the_steps_of_a_search(monkeypatch: pytest.MonkeyPatch) -> None:
    """Sixteen may take all that one may; what comes after them has a few left, and what is told of it stays true."""
    given: list[int] = []

    def hungry(*arguments: Any, nodes_most: int, **more: Any) -> Verdict:
        given.append(nodes_most)
        verdict = judge(*arguments, nodes_most=nodes_most, **more)
        packing = verdict.packing
        return verdict if packing is None else replace(verdict, packing=replace(packing, nodes=nodes_most))

    monkeypatch.setattr(ranking, "judge", hungry)
    plan = plan_splice_point(replace(backbone(), closures=tuple(f"x{place}" for place in range(20))), with_copies(20))
    assert given == [NODE_LIMIT] * 16 + [effort.NODES_LEAST] * 4
    assert plan.fits and plan.proof is not None and plan.proof.trays == 3
