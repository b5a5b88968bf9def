"""The plan's claim to be the least possible, shown again by arithmetic of its own where that can be done."""

from __future__ import annotations

from collections import Counter

from service.verifying.claims import Claims
from service.verifying.facts import Facts
from service.verifying.fragments import pieces_at_least
from service.verifying.measures import Measure, Work, measures_of, most_of_kind, work_of
from service.verifying.mixes import Refuter, some_hanging
from service.verifying.vessels import most_in_one

_CHOICES = 200


def reproved(facts: Facts, claims: Claims) -> tuple[bool, list[str]]:
    """Whether every bound of the proof could be shown again, and on what each rests, in words."""
    work = work_of(facts)
    measures = measures_of(work)
    results = [
        _cost_and_height(facts, work, measures, claims),
        _opened(work, measures, claims),
        _pieces(facts, work, claims),
    ]
    return all(shown for shown, _ in results), [text for _, text in results]


def _cost_and_height(facts: Facts, work: Work, measures: list[Measure], claims: Claims) -> tuple[bool, str]:
    """No mix that costs less than the bound, or as much and is lower, holds the work."""
    what = "new trays" if facts.minimise == "trays" else "price of the new trays"
    if not claims.cost_bound and not claims.height_bound:
        return True, f"{what} and height: nothing less than nothing is possible"
    everything = tuple(range(len(facts.hanging)))
    cheaper = Refuter(work, measures, everything)
    shown = cheaper.all_ruled_out(claims.cost_bound - 1, facts.stack)
    if shown and claims.height_bound:
        lower = Refuter(work, measures, everything, said=cheaper.said)
        shown = lower.all_ruled_out(claims.cost, claims.height_bound - 1)
    if not shown:
        return False, f"{what} and height: rests on the planner's own search, which is not repeated here"
    return True, f"{what} and height: no lighter mix holds the work, by {_said(cheaper.said)}"


def _opened(work: Work, measures: list[Measure], claims: Claims) -> tuple[bool, str]:
    """With fewer hanging trays opened, no mix as light as the plan's holds the work."""
    if not claims.opened_bound:
        return True, "hanging trays opened: nothing less than none is possible"
    said: Counter[str] = Counter()
    for number, usable in enumerate(some_hanging(work.hanging, claims.opened_bound - 1)):
        refuter = Refuter(work, measures, usable, with_reserve=False, said=said)
        if number >= _CHOICES or not refuter.all_ruled_out(claims.cost, claims.height):
            return False, "hanging trays opened: rests on the planner's own search, which is not repeated here"
    return True, f"hanging trays opened: fewer cannot hold the work, by {_said(said)}"


def _pieces(facts: Facts, work: Work, claims: Claims) -> tuple[bool, str]:
    """A bundle is one piece at least, more where no tray takes all of it, and more where the trays are nearly full."""
    least = sum(-(-bundle.size // max(most_in_one(facts, bundle), 1)) for bundle in facts.bundles)
    if claims.pieces_bound <= least:
        return True, f"pieces: {least} at least, by the size of each bundle and the most that one tray takes of it"
    among = _by_groups(facts, work, claims)
    if among is not None and claims.pieces_bound <= among:
        return True, f"pieces: {among} at least, since so few trays are filled only by dividing bundles"
    return False, "pieces: rests on the planner's own search, which is not repeated here"


def _by_groups(facts: Facts, work: Work, claims: Claims) -> int | None:
    """Pieces by how bundles and trays hang together, where all bundles lie in slots of one kind."""
    kinds = {bundle.slot_kind for bundle in facts.bundles}
    if len(kinds) != 1:
        return None
    (kind,) = kinds
    slots = max((most_of_kind(vessel, facts.bundles, kind or "") for vessel in work.vessels), default=0)
    return pieces_at_least([bundle.size for bundle in facts.bundles], slots, claims.opened + _most_new(work, claims))


def _most_new(work: Work, claims: Claims) -> int:
    """The most new trays that a mix as light as the plan's can have."""
    models = [work.facts.models[code] for code in work.new]
    most = sum(model.most for model in models)
    pitch = min((model.pitch for model in models), default=0)
    price = min((model.price or 0 for model in models), default=0) if work.facts.minimise == "price" else 1
    if pitch:
        most = min(most, claims.height // pitch)
    if price:
        most = min(most, claims.cost // price)
    return most


def _said(said: Counter[str]) -> str:
    names = [name for name, _ in said.most_common()]
    return ", ".join(names) if names else "the stack alone"
