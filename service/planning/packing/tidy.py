"""The answer in cable order: hanging trays first, then new ones by the first item that they hold."""

from __future__ import annotations

from service.planning.packing.case import Case
from service.planning.packing.drafts import Draft
from service.planning.packing.problem import PackedTray, Piece, Problem


def tidied(problem: Problem, case: Case, draft: Draft) -> tuple[PackedTray, ...]:
    """The packed trays of a draft. Equal bundles change places so that they follow the cable from tray to tray."""
    end = len(case.sizes)
    contents = [merged(tray.pieces) for tray in draft.trays]
    hanging = [number for number, tray in enumerate(draft.trays) if tray.hanging >= 0]
    bought = [number for number, tray in enumerate(draft.trays) if tray.hanging < 0]
    bought.sort(key=lambda number: (min(contents[number], default=end), number))
    places: dict[tuple[int, int, int], list[tuple[int, int]]] = {}
    for number in hanging + bought:
        for item, count in contents[number].items():
            if count == case.sizes[item]:
                key = (case.alike_of[item], count, case.cut_of[item])
                places.setdefault(key, []).append((number, item))
    for pairs in places.values():
        if len(pairs) > 1:
            for number, item in pairs:
                del contents[number][item]
            for (number, _), item in zip(pairs, sorted(item for _, item in pairs), strict=True):
                contents[number][item] = case.sizes[item]
    bought.sort(key=lambda number: (min(contents[number], default=end), number))
    packed = []
    for number in hanging + bought:
        tray = draft.trays[number]
        berth = case.berths[tray.berth]
        banks = berth.banks[berth.settings.index(draft.settings[number])]
        pieces = tuple([Piece(item, count) for item, count in sorted(contents[number].items())])
        packed.append(PackedTray(berth.kind, tray.hanging if tray.hanging >= 0 else None, banks, pieces))
    return tuple(packed)


def merged(pieces: list[tuple[int, int]]) -> dict[int, int]:
    """The pieces of a tray by item; parts of one item that came in turn are one piece."""
    sums: dict[int, int] = {}
    for item, count in pieces:
        sums[item] = sums.get(item, 0) + count
    return sums
