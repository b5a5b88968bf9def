"""The packing problem solved by trying everything: slow, naive and independent of the core, for tiny cases."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

from service.planning.packing.problem import Problem

Vector = tuple[int, ...]


def all_given(problem: Problem, kind: int, hanging: int | None) -> set[Vector]:
    """Every vector of free slots that a tray's banks can give."""
    choices: list[list[tuple[int, int]]] = []
    for number, bank in enumerate(problem.kinds[kind].banks):
        in_use, used = (None, 0) if hanging is None else problem.hanging[hanging].banks[number]
        if in_use is None:
            choices.append(list(enumerate(bank)))
        else:
            choices.append([(in_use, bank[in_use] - used)])
    vectors = set()
    for setting in product(*choices):
        given = [0] * problem.slot_kinds
        for s, slots in setting:
            given[s] += slots
        vectors.add(tuple(given))
    return vectors


def mixes(problem: Problem) -> list[tuple[int, int, tuple[int, ...]]]:
    """(cost, height, new trays by kind) of every mix that the stack and the counts allow."""
    hung = [sum(1 for tray in problem.hanging if tray.kind == k) for k in range(len(problem.kinds))]
    room = problem.stack - sum(problem.kinds[tray.kind].pitch for tray in problem.hanging)
    if room < 0 or any(count > kind.most for count, kind in zip(hung, problem.kinds, strict=True)):
        return []
    found = []
    for counts in product(*(range(kind.most - count + 1) for count, kind in zip(hung, problem.kinds, strict=True))):
        height = sum(n * kind.pitch for n, kind in zip(counts, problem.kinds, strict=True))
        if height <= room:
            price = sum(n * (kind.price or 0) for n, kind in zip(counts, problem.kinds, strict=True))
            found.append((sum(counts) if problem.minimise == "trays" else price, height, counts))
    return sorted(found)


def sums(vectors: list[set[Vector]], most: Vector) -> set[Vector]:
    """All sums of one vector from each set, counted up to ``most``."""
    reached = {(0,) * len(most)}
    for options in vectors:
        reached = {
            tuple(min(m, a + b) for m, a, b in zip(most, total, given, strict=True))
            for total in reached
            for given in options
        }
    return reached


def largest_part(problem: Problem, item: int) -> int:
    """The most splices of an item that an empty tray of any kind takes, whatever room the closure has left."""
    wanted = problem.items[item]
    best = 0
    for kind, model in enumerate(problem.kinds):
        stored = wanted.storage[kind]
        if stored is None:
            continue
        part = wanted.size
        slots = max(given[wanted.slot_kind] for given in all_given(problem, kind, None))
        while part and (
            part * wanted.slots > slots
            or (model.storage is not None and part * stored > model.storage)
            or (model.ribbons is not None and part * wanted.ribbons > model.ribbons)
        ):
            part -= 1
        best = max(best, part)
    return best


def parts(size: int, trays: int) -> Iterator[tuple[int, ...]]:
    """Every way to share a size out over trays."""
    if trays == 0:
        if size == 0:
            yield ()
        return
    for first in range(size + 1):
        for rest in parts(size - first, trays - 1):
            yield (first, *rest)


def best_packing(problem: Problem) -> tuple[int, int, int, int] | None:
    """(cost, height, opened, pieces) of the best packing, None where nothing fits."""
    divisible = []
    for number, item in enumerate(problem.items):
        oversize = problem.split == "oversize" and item.size > largest_part(problem, number)
        divisible.append(item.loose or problem.split == "free" or oversize)
    best: tuple[int, int, int, int] | None = None
    for cost, height, counts in mixes(problem):
        if best is not None and (cost, height) > best[:2]:
            break
        rank = best_in_mix(problem, counts, divisible)
        if rank is not None and (best is None or (cost, height, *rank) < best):
            best = (cost, height, *rank)
    return best


def best_in_mix(problem: Problem, counts: tuple[int, ...], divisible: list[bool]) -> tuple[int, int] | None:
    """(opened, pieces) of the best packing with these new trays."""
    trays: list[tuple[int, int | None]] = [(tray.kind, n) for n, tray in enumerate(problem.hanging)]
    trays += [(k, None) for k, n in enumerate(counts) for _ in range(n)]
    given = [all_given(problem, kind, hanging) for kind, hanging in trays]
    used = [[0] * problem.slot_kinds for _ in trays]
    stored = [0 if h is None else problem.hanging[h].storage_used for _, h in trays]
    ribbons = [0 if h is None else problem.hanging[h].ribbons_used for _, h in trays]
    labels = [[] if h is None or problem.hanging[h].label is None else [problem.hanging[h].label] for _, h in trays]
    held = [0] * len(trays)
    reserve = (*problem.reserve, *[0] * (problem.slot_kinds - len(problem.reserve)))
    known: dict[tuple[Vector, ...], bool] = {}
    best: list[tuple[int, int] | None] = [None]

    def kept() -> bool:
        key = tuple(tuple(row) for row in used)
        if key not in known:
            free = [
                {tuple(g - u for g, u in zip(vector, row, strict=True)) for vector in options
                 if all(g >= u for g, u in zip(vector, row, strict=True))}
                for options, row in zip(given, used, strict=True)
            ]  # fmt: skip
            known[key] = reserve_kept(problem, counts, free, reserve)
        return known[key]

    def place(number: int, pieces: int) -> None:
        if number == len(problem.items):
            opened = sum(1 for (_, h), n in zip(trays, held, strict=True) if h is not None and n)
            if (best[0] is None or (opened, pieces) < best[0]) and kept():
                best[0] = (opened, pieces)
            return
        item = problem.items[number]
        if divisible[number]:
            ways: Iterator[tuple[int, ...]] = parts(item.size, len(trays))
        else:
            ways = (tuple(item.size if t == at else 0 for t in range(len(trays))) for at in range(len(trays)))
        for way in ways:
            if not all(fits(item, t, part) for t, part in enumerate(way) if part):
                continue
            for t, part in enumerate(way):
                lay(item, t, part, 1)
            place(number + 1, pieces + (0 if item.loose else sum(1 for part in way if part)))
            for t, part in enumerate(way):
                lay(item, t, part, -1)

    def fits(item, t: int, part: int) -> bool:
        kind = problem.kinds[trays[t][0]]
        storage = item.storage[trays[t][0]]
        if storage is None or (item.label is not None and any(label != item.label for label in labels[t])):
            return False
        if kind.storage is not None and stored[t] + part * storage > kind.storage:
            return False
        if kind.ribbons is not None and ribbons[t] + part * item.ribbons > kind.ribbons:
            return False
        row = list(used[t])
        row[item.slot_kind] += part * item.slots
        return any(all(u <= g for u, g in zip(row, vector, strict=True)) for vector in given[t])

    def lay(item, t: int, part: int, sign: int) -> None:
        if part:
            used[t][item.slot_kind] += sign * part * item.slots
            stored[t] += sign * part * (item.storage[trays[t][0]] or 0)
            ribbons[t] += sign * part * item.ribbons
            held[t] += sign
            if item.label is not None:
                if sign > 0:
                    labels[t].append(item.label)
                else:
                    labels[t].pop()

    place(0, 0)
    return best[0]


def reserve_kept(problem: Problem, counts: tuple[int, ...], free: list[set[Vector]], reserve: Vector) -> bool:
    """Whether the reserve is kept and the spare trays can be added, trying every set of later trays."""
    totals = sums(free, reserve)
    if problem.reserve_in == "trays" and reserve not in totals:
        return False
    hung = [sum(1 for tray in problem.hanging if tray.kind == k) for k in range(len(problem.kinds))]
    room = problem.stack - sum(problem.kinds[tray.kind].pitch for tray in problem.hanging)
    room -= sum(n * kind.pitch for n, kind in zip(counts, problem.kinds, strict=True))
    ranges = [range(k.most - h - n + 1) for k, h, n in zip(problem.kinds, hung, counts, strict=True)]
    for later in product(*ranges):
        if sum(later) < problem.spare_trays:
            continue
        if sum(n * kind.pitch for n, kind in zip(later, problem.kinds, strict=True)) > room:
            continue
        if problem.reserve_in == "trays":
            return True
        added = [all_given(problem, k, None) for k, n in enumerate(later) for _ in range(n)]
        if reserve in sums([totals, *added], reserve):
            return True
    return False
