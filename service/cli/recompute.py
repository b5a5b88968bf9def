"""``recompute``: plan stored requests again from the catalogue as it was, and compare byte for byte."""

from __future__ import annotations

import argparse

import orjson

from service import __version__
from service.cli.answers import answer_bytes, answered
from service.cli.failures import CommandError
from service.cli.opening import chosen_url, opened
from service.documents.rework import tallies_of_plan
from service.domain.faults import Refused
from service.store import NotFound, Store, StoredPlan


def run(arguments: argparse.Namespace) -> int:
    """Recompute, one line for each plan that differs and one with the count."""
    same = different = 0
    with opened(chosen_url(arguments), team=arguments.team) as store:
        for plan_id in arguments.ids or store.plan_ids():
            stored = _fetched(store, plan_id)
            if comes_out_the_same(store, stored):
                same += 1
            else:
                different += 1
                made_by = "" if stored.version == __version__ else f" (made by version {stored.version})"
                print(f"{plan_id} differs{made_by}: {stored.name}")
    print(f"{same} the same byte for byte, {different} different")
    return 1 if different else 0


def _fetched(store: Store, plan_id: str) -> StoredPlan:
    try:
        return store.plan(plan_id)
    except NotFound as error:
        raise CommandError(f"{plan_id}: {error}") from error


def comes_out_the_same(store: Store, stored: StoredPlan) -> bool:
    """Whether a stored plan comes out the same, byte for byte, when it is planned again.

    A request that is refused today was not when it was stored, so it counts as different.
    """
    # What splice records had taught then stands in the answer, and nowhere else.
    recorded = tallies_of_plan(orjson.loads(stored.answer))
    try:
        again = answered(stored.request, store.catalogue_of(stored), recorded)
    except Refused:
        return False
    return answer_bytes(again.plan) == stored.answer
