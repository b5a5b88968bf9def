"""From the problem as it is put to the case that is solved: alike splices and alike trays are brought together."""

from __future__ import annotations

from collections.abc import Sequence

from service.planning.packing.case import CUT, LOOSE, UNLIMITED, WHOLE, Berth, Case, Likeness
from service.planning.packing.problem import HangingTray, Item, Problem
from service.planning.packing.settings import Vector, banks_with_choice, settings_of


def in_reach(limit: int | None, loads: Sequence[tuple[int, int, int, int]], settings: Sequence[Vector]) -> int | None:
    """The limit, or None where no filling of the tray can pass it.

    ``loads`` are (column, slots a splice, splices, load a splice) of the items that may lie in the tray.
    """
    if limit is None:
        return None
    if sum(count * load for _, _, count, load in loads) <= limit:
        return None
    heaviest = [0] * len(settings[0])
    without_slots = 0
    for column, slots, count, load in loads:
        if slots:
            heaviest[column] = max(heaviest[column], load)
        else:
            without_slots += count * load
    worst = max(sum(g * h for g, h in zip(given, heaviest, strict=True)) for given in settings)
    return None if worst + without_slots <= limit else limit


def most_in_empty(berth: Berth, column: int, slots: int, storage: int | None, ribbons: int, label: int | None) -> int:
    """How many equal splices an empty tray of the berth takes; 0 where they may not lie there."""
    if storage is None or (label is not None and berth.label is not None and label != berth.label):
        return 0
    most = UNLIMITED
    if slots:
        most = max(given[column] for given in berth.settings) // slots
    if storage and berth.storage is not None:
        most = min(most, berth.storage // storage)
    if ribbons and berth.ribbons is not None:
        most = min(most, berth.ribbons // ribbons)
    return most


def most_in_any_kind(problem: Problem, item: Item) -> int:
    """How many splices of an item the empty tray that takes most of it holds, whatever room the closure has left.

    An item that is larger is oversize. Kinds of which none can be added any more count as well.
    """
    most = 0
    for kind, stored in zip(problem.kinds, item.storage, strict=True):
        if stored is None:
            continue
        takes = UNLIMITED
        if item.slots:
            takes = sum([bank[item.slot_kind] for bank in kind.banks if item.slot_kind < len(bank)]) // item.slots
        if stored and kind.storage is not None:
            takes = min(takes, kind.storage // stored)
        if item.ribbons and kind.ribbons is not None:
            takes = min(takes, kind.ribbons // item.ribbons)
        most = max(most, takes)
    return most


def read(problem: Problem) -> Case:
    """Make the case of a problem. Raises ValueError where the price is to be least and a tray kind has none."""
    items = problem.items
    reserve = [*problem.reserve, *[0] * (problem.slot_kinds - len(problem.reserve))]
    wanted = {s for s, slots in enumerate(reserve) if slots > 0}
    wanted.update(item.slot_kind for item in items if item.slots and item.size)
    relevant = tuple(sorted(wanted)) or (0,)
    column_of = {s: column for column, s in enumerate(relevant)}
    distinct = {item.label for item in items} | {tray.label for tray in problem.hanging}
    apart = len(distinct - {None}) > 1

    impossible = ""
    counts = [0] * len(problem.kinds)
    room = problem.stack
    for tray in problem.hanging:
        counts[tray.kind] += 1
        room -= problem.kinds[tray.kind].pitch
    if room < 0 or any(count > kind.most for count, kind in zip(counts, problem.kinds, strict=True)):
        impossible = "the hanging trays alone pass the stack or the most of their kind"

    different = {
        (column_of.get(item.slot_kind, 0) if item.slots else 0, item.slots, item.storage, item.ribbons): 0
        for item in items
        if item.size
    }
    for item in items:
        if item.size:
            column = column_of.get(item.slot_kind, 0) if item.slots else 0
            different[column, item.slots, item.storage, item.ribbons] += item.size

    def berth(number: int, hanging: Sequence[int], state: HangingTray | None, most: int) -> Berth:
        kind = problem.kinds[number]
        pairs = settings_of(kind.banks, None if state is None else state.banks, relevant)
        settings = tuple(vector for vector, _ in pairs)
        settled, free_banks = banks_with_choice(kind.banks, None if state is None else state.banks, relevant)
        storage, ribbons = kind.storage, kind.ribbons
        if state is not None:
            storage = None if storage is None else max(0, storage - state.storage_used)
            ribbons = None if ribbons is None else max(0, ribbons - state.ribbons_used)
        if storage is not None:
            loads = [(c, n, size, stored) for (c, n, by_kind, _), size in different.items()
                     if (stored := by_kind[number]) is not None]  # fmt: skip
            storage = in_reach(storage, loads, settings)
        if ribbons is not None:
            ribbons = in_reach(ribbons, [(c, n, size, ends) for (c, n, _, ends), size in different.items()], settings)
        cost = 0
        if state is None:
            if problem.minimise == "price" and kind.price is None:
                raise ValueError("every tray kind needs a price where the price is to be least")
            cost = 1 if problem.minimise == "trays" else kind.price or 0
        return Berth(
            kind=number,
            settings=settings,
            banks=tuple(setting for _, setting in pairs),
            storage=storage,
            ribbons=ribbons,
            label=state.label if state is not None and apart else None,
            hanging=tuple(hanging),
            most=most,
            pitch=kind.pitch if state is None else 0,
            weight=cost * (problem.stack + 1) + kind.pitch if state is None else 0,
            settled=settled,
            free_banks=free_banks,
        )

    berths: list[Berth] = []
    states: dict[HangingTray, list[int]] = {}
    for number, tray in enumerate(problem.hanging):
        states.setdefault(tray, []).append(number)
    for state, numbers in states.items():
        berths.append(berth(state.kind, numbers, state, len(numbers)))
    bought_from = len(berths)
    # Mixes of equal weight are listed with few trays of the first berths first: so the dearer kinds come first.
    priced = all(kind.price is not None for kind in problem.kinds)
    order = sorted(range(len(problem.kinds)), key=lambda n: ((problem.kinds[n].price or 0) if priced else 0, n))
    for number in reversed(order):
        kind = problem.kinds[number]
        most = kind.most - counts[number]
        if most > 0 and kind.pitch <= room:
            most = min(most, room // kind.pitch) if kind.pitch else most
            berths.append(berth(number, (), None, most))

    likenesses, alike_of = likenesses_of(items, berths, column_of, apart)
    cut_of: list[int] = []
    used = [0] * len(relevant)
    for item, alike in zip(items, alike_of, strict=True):
        most_anywhere = likenesses[alike].most_anywhere
        if item.slots and item.size:
            used[column_of[item.slot_kind]] += item.size * item.slots
        if item.size and most_anywhere == 0:
            impossible = impossible or "an item lies in no tray, not even one splice of it"
        if item.loose:
            cut_of.append(LOOSE)
        elif item.size > 1 and (
            problem.split == "free"
            or (
                # No tray that is there takes more than an empty one does; that is at hand and asked first.
                problem.split == "oversize"
                and item.size > most_anywhere
                and item.size > most_in_any_kind(problem, item)
            )
        ):
            cut_of.append(CUT)
        else:
            cut_of.append(WHOLE)
            if item.size > most_anywhere:
                impossible = impossible or "an item that may not be split is larger than any tray there is room for"
    return Case(
        columns=len(relevant),
        slot_kinds=relevant,
        berths=tuple(berths),
        bought_from=bought_from,
        likenesses=tuple(likenesses),
        alike_of=tuple(alike_of),
        cut_of=tuple(cut_of),
        sizes=tuple(item.size for item in items),
        used=tuple(used),
        needed=tuple(u + (reserve[s] if s < len(reserve) else 0) for u, s in zip(used, relevant, strict=True)),
        in_stack=problem.reserve_in == "stack" and any(slots > 0 for slots in reserve),
        spare=problem.spare_trays,
        room=room,
        height_unit=problem.stack + 1,
        impossible=impossible,
    )


def likenesses_of(
    items: Sequence[Item], berths: Sequence[Berth], column_of: dict[int, int], apart: bool
) -> tuple[list[Likeness], list[int]]:
    """Bring the items' splices together where they are alike; gives them, and each item's number among them."""
    kinds = [berth.kind for berth in berths]
    stores = [berth.storage is not None for berth in berths]
    ribbons_matter = any(berth.ribbons is not None for berth in berths)
    numbers: dict[tuple[int, int, tuple[int | None, ...], int, int | None], int] = {}
    seen: dict[tuple[int, int, tuple[int | None, ...], int, int | None], int] = {}
    likenesses: list[Likeness] = []
    alike_of: list[int] = []
    for item in items:
        raw = (item.slot_kind, item.slots, item.storage, item.ribbons, item.label)
        number = seen.get(raw)
        if number is None:
            by_kind = item.storage
            storage = tuple([by_kind[k] if s or by_kind[k] is None else 0 for k, s in zip(kinds, stores, strict=True)])
            column = column_of.get(item.slot_kind, 0) if item.slots else 0
            key = (column, item.slots, storage, item.ribbons if ribbons_matter else 0, item.label if apart else None)
            number = numbers.get(key)
            if number is None:
                most = tuple(
                    [most_in_empty(b, key[0], key[1], s, key[3], key[4]) for b, s in zip(berths, storage, strict=True)]
                )
                number = numbers[key] = len(likenesses)
                likenesses.append(Likeness(*key, most, max(most, default=0)))
            seen[raw] = number
        alike_of.append(number)
    return likenesses, alike_of
