"""Stored plans are opened, put before the sceptic's check, and planned again from the catalogue as it was."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import orjson

from service.cli.recompute import comes_out_the_same
from service.store import Store
from service.verifying import verify
from tests.faults.held_afterwards import hung

EVERY = 20
"""Of plans that say the same but for their name, the first is computed again, and then every so many."""


def unreadable(store: Store, takeoffs: Iterable[str] = ()) -> list[str]:
    """What does not open, is not verified or comes out otherwise: plans, those of takeoffs, hung closures."""
    sceptic = _Sceptic()
    found = [f"plan {id}: {fault}" for id in store.plan_ids() for fault in sceptic.of_plan(store, id)]
    for takeoff in takeoffs:
        for each in store.takeoffs.answers(takeoff):
            found += [f"takeoff {takeoff}, {each.number}: {fault}" for fault in sceptic.of_answer(each.answer)]
    found += [f"installation {id} lies empty" for id in hung(store) if not store.installations.get(id).contents.splices]
    return found


class _Sceptic:
    """Looks at answers; those that are equal but for their names are checked once."""

    def __init__(self) -> None:
        self._known: dict[bytes, list[str]] = {}
        self._seen = 0

    def of_answer(self, answer: bytes) -> list[str]:
        document = orjson.loads(answer)
        same = orjson.dumps({**document, "name": ""})
        if same not in self._known:
            report = verify(document)
            unproven = [] if report.bound == "re-proved" else ["the bound is not re-proved"]
            self._known[same] = [*map(str, report.breaches), *unproven]
        return self._known[same]

    def of_plan(self, store: Store, id: str) -> Iterator[str]:
        plan, known = store.plan(id), len(self._known)
        yield from self.of_answer(plan.answer)
        self._seen += 1
        if (len(self._known) > known or self._seen % EVERY == 0) and not comes_out_the_same(store, plan):
            yield "it comes out otherwise when it is planned again"
