"""Cheap rules that lay items into trays one after another: good packings quickly, without proof."""

from __future__ import annotations

from collections.abc import Sequence

from service.planning.packing.budget import Budget, OutOfNodesError
from service.planning.packing.case import CUT, LOOSE, UNLIMITED, WHOLE, Case
from service.planning.packing.coverage import cover_banks, groups_of, less, set_trays
from service.planning.packing.drafts import CLOSING_NODES, Draft, OpenTray, closed, trays_for
from service.planning.packing.mixes import Mix
from service.planning.packing.offered import MANY, Offered
from service.planning.packing.settings import Vector

SHARES = 10_000
"""Into how many parts a tray's slots are divided where items of different slot kinds are compared."""


def fitted(
    case: Case,
    weight: int,
    mix: Mix,
    trays: list[OpenTray],
    order: Sequence[int],
    hanging: Sequence[int],
    best: bool,
    stuck: list[int] | None = None,
) -> Draft | None:
    """Lay the items into the trays in the given order, each into the tightest (or first) tray that takes it.

    Items that may be cut go whole where a tray takes them, else in the largest pieces that fit. Loose items come last
    and fill what is left. Only the hanging trays named are used. None where an item finds no place; it is then added
    to ``stuck``.
    """
    allowed = [tray for tray in trays if tray.hanging < 0 or tray.hanging in hanging]
    loose: list[int] = []
    apart = any(alike.label is not None for alike in case.likenesses)
    offered, looked_at = None, allowed
    if len(allowed) > MANY:
        offered = Offered(allowed, _all_take_slots(case))
        looked_at = offered.trays
    for item in order:
        if case.cut_of[item] == LOOSE:
            loose.append(item)
            continue
        alike = case.likenesses[case.alike_of[item]]
        left = case.sizes[item]
        while left:
            chosen: OpenTray | None = None
            chosen_rank = 0
            widest: OpenTray | None = None
            widest_room = 0
            for tray in looked_at:
                room = tray.room(alike)
                if room >= left:
                    if not best and not apart:
                        chosen = tray
                        break
                    rank = room if best else 0
                    if apart and alike.label is not None and tray.label != alike.label:
                        rank += UNLIMITED
                    if chosen is None or rank < chosen_rank:
                        chosen, chosen_rank = tray, rank
                elif room > widest_room:
                    widest, widest_room = tray, room
            if chosen is not None:
                chosen.put(alike, item, left)
                if offered is not None:
                    offered.laid(chosen)
                break
            if case.cut_of[item] == WHOLE or widest is None:
                if stuck is not None:
                    stuck.append(item)
                return None
            widest.put(alike, item, widest_room)
            if offered is not None:
                offered.laid(widest)
            left -= widest_room
    for item in loose:
        alike = case.likenesses[case.alike_of[item]]
        left = case.sizes[item]
        for tray in sorted(allowed, key=lambda tray: not tray.pieces):
            part = min(left, tray.room(alike))
            if part > 0:
                tray.put(alike, item, part)
                left -= part
            if not left:
                break
        if left:
            if stuck is not None:
                stuck.append(item)
            return None
    return closed(case, weight, mix, trays)


def _all_take_slots(case: Case) -> bool:
    """Whether every item that is not loose takes slots."""
    kinds = {alike for alike, cut in zip(case.alike_of, case.cut_of, strict=True) if cut != LOOSE}
    return all(case.likenesses[alike].slots for alike in kinds)


def persuaded(case: Case, weight: int, mix: Mix, order: Sequence[int], rounds: int, budget: Budget) -> Draft | None:
    """A packing into this mix found by trying again and again, each time with the item that found no place put earlier.

    (Known as squeaky wheel optimisation.) Trays are set beforehand in every other round.
    """
    allowed = [n for b in case.berths for n in b.hanging]
    fixed = preset(case, mix) if case.columns > 1 else None
    place = {item: number for number, item in enumerate(order)}
    label_of = [case.likenesses[alike].label for alike in case.alike_of]
    members: dict[int, list[int]] = {}
    for item in order:
        label = label_of[item]
        if label is not None:
            members.setdefault(label, []).append(item)
    step = max(2, len(order) // 5)
    for number in range(rounds):
        budget.spend(1 + len(order) * sum(mix) // 64)
        current = sorted(order, key=lambda item: (place[item], item))
        trays = trays_for(case, mix)
        if fixed is not None and number % 2 == 0:
            for tray, given in zip(trays, fixed, strict=True):
                tray.options = (given,)
        stuck: list[int] = []
        draft = fitted(case, weight, mix, trays, current, allowed, True, stuck)
        if draft is not None:
            return draft
        if not stuck:
            continue
        item = stuck[0]
        label = label_of[item]
        # Every third time the whole label moves up, so that its trays are chosen while there is choice.
        for other in members[label] if label is not None and number % 3 == 2 else (item,):
            place[other] -= step + number % 3
    return None


def preset(case: Case, mix: Mix) -> list[Vector] | None:
    """Settings of all trays of a mix that give the slots that are needed; None where none were found."""
    empty = [case.berths[tray.berth] for tray in trays_for(case, mix)]
    groups, settled_slots = groups_of([(berth, 1) for berth in empty], case.columns)
    wanted = less(case.used if case.in_stack else case.needed, settled_slots)
    try:
        chosen = cover_banks(groups, wanted, Budget(CLOSING_NODES))
    except OutOfNodesError:
        return None
    return None if chosen is None else set_trays(empty, chosen)


def orders_of(case: Case) -> list[list[int]]:
    """Orders in which to try the items: as the cable brings them, then the largest first (labelled ones before)."""
    items = [item for item, size in enumerate(case.sizes) if size]
    share = [max((given[c] for b in case.berths for given in b.settings), default=1) or 1 for c in range(case.columns)]

    def hardness(item: int) -> int:
        alike = case.likenesses[case.alike_of[item]]
        return case.sizes[item] * alike.slots * SHARES // share[alike.column]

    largest = sorted(items, key=lambda item: (-hardness(item), item))
    orders = [items, largest]
    if any(alike.label is not None for alike in case.likenesses):
        totals: dict[int | None, int] = {}
        for item in items:
            label = case.likenesses[case.alike_of[item]].label
            totals[label] = totals.get(label, 0) + hardness(item)

        def by_label(item: int) -> tuple[bool, int, int, int, int]:
            label = case.likenesses[case.alike_of[item]].label
            return (label is None, -totals[label], -1 if label is None else label, -hardness(item), item)

        orders.append(sorted(items, key=by_label))
    return orders


def tried(
    case: Case,
    weight: int,
    mix: Mix,
    orders: Sequence[Sequence[int]],
    hanging: Sequence[int] | None = None,
) -> Draft | None:
    """The first packing into this mix that cheap rules find with no more pieces than items, else the best one."""
    found: Draft | None = None
    allowed = [n for b in case.berths for n in b.hanging] if hanging is None else hanging
    fewest = sum(1 for size, cut in zip(case.sizes, case.cut_of, strict=True) if size and cut != LOOSE)
    fixed = preset(case, mix) if case.columns > 1 else None
    for number, order in enumerate(orders):
        for settled in (True, False) if fixed is not None else (False,):
            trays = trays_for(case, mix)
            if settled and fixed is not None:
                for tray, given in zip(trays, fixed, strict=True):
                    tray.options = (given,)
            draft = fitted(case, weight, mix, trays, order, allowed, number > 0)
            if draft is not None:
                if CUT not in case.cut_of or draft.pieces <= fewest:
                    return draft
                if found is None or draft.rank < found.rank:
                    found = draft
    return found
