"""What a tray can give: the choices of slot kind, bank by bank.

Vectors are tuples of free slots, one number a slot kind that matters to the problem at hand.
"""

from __future__ import annotations

from functools import lru_cache

Vector = tuple[int, ...]
Setting = tuple[int | None, ...]


def dominated(vector: Vector, others: list[Vector]) -> bool:
    """Whether one of ``others`` gives at least as much of everything."""
    return any(all(a <= b for a, b in zip(vector, other, strict=True)) for other in others)


@lru_cache(maxsize=4096)
def settings_of(
    banks: tuple[tuple[int, ...], ...],
    hanging: tuple[tuple[int | None, int], ...] | None,
    relevant: tuple[int, ...],
) -> tuple[tuple[Vector, Setting], ...]:
    """All settings of one tray that no other setting of it outdoes, each with the free slots it gives.

    ``banks[b][s]`` are the slots of bank ``b`` set to kind ``s``; ``hanging[b]`` is (kind, used) of a bank in use and
    (None, 0) of a free one; ``relevant`` lists the slot kinds that are counted. The fullest settings come first.
    """
    reached: dict[Vector, Setting] = {(0,) * len(relevant): ()}
    for number, bank in enumerate(banks):
        fixed, used = hanging[number] if hanging is not None and number < len(hanging) else (None, 0)
        choices: list[tuple[int | None, int, int]] = []
        if fixed is not None:
            column = relevant.index(fixed) if fixed in relevant else -1
            choices.append((fixed, column, max(0, bank[fixed] - used) if column >= 0 else 0))
        else:
            choices.extend((s, column, bank[s]) for column, s in enumerate(relevant) if s < len(bank) and bank[s] > 0)
            if not choices:
                choices.append((None, -1, 0))
        grown: dict[Vector, Setting] = {}
        for vector, setting in reached.items():
            for kind, column, slots in choices:
                given = vector if column < 0 else (*vector[:column], vector[column] + slots, *vector[column + 1 :])
                if given not in grown:
                    grown[given] = (*setting, kind)
        reached = grown
    kept: list[Vector] = []
    for vector in sorted(reached, key=lambda v: (-sum(v), v)):
        if not dominated(vector, kept):
            kept.append(vector)
    return tuple((vector, reached[vector]) for vector in kept)


@lru_cache(maxsize=4096)
def banks_with_choice(
    banks: tuple[tuple[int, ...], ...],
    hanging: tuple[tuple[int | None, int], ...] | None,
    relevant: tuple[int, ...],
) -> tuple[Vector, tuple[Vector, ...]]:
    """The slots that a tray gives however it is set, and of each bank that has a choice the slots of each column."""
    settled = [0] * len(relevant)
    free: list[Vector] = []
    for number, bank in enumerate(banks):
        fixed, used = hanging[number] if hanging is not None and number < len(hanging) else (None, 0)
        if fixed is not None:
            if fixed in relevant:
                settled[relevant.index(fixed)] += max(0, bank[fixed] - used)
            continue
        gives = tuple([bank[s] if s < len(bank) else 0 for s in relevant])
        if sum(1 for slots in gives if slots) > 1:
            free.append(gives)
        else:
            settled = [a + b for a, b in zip(settled, gives, strict=True)]
    return tuple(settled), tuple(free)
