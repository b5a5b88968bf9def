"""From what a search found, in lots, back to trays that hold named items."""

from __future__ import annotations

from service.planning.packing.case import CUT, LOOSE, WHOLE, Case
from service.planning.packing.drafts import Draft, OpenTray, closed, trays_for
from service.planning.packing.lots import lots_for_room
from service.planning.packing.mixes import Mix
from service.planning.packing.pieces import FoundPieces
from service.planning.packing.search import Found
from service.planning.packing.settings import Vector


def take_tray(trays: list[OpenTray], used: set[int], berth: int, given: Vector) -> OpenTray:
    """An unused tray of that berth, set."""
    for number, tray in enumerate(trays):
        if number not in used and tray.berth == berth:
            used.add(number)
            tray.options = (given,)
            return tray
    raise AssertionError("the search filled more trays than there are")


def from_room(case: Case, weight: int, mix: Mix, found: Found) -> Draft | None:
    """The draft of fillings of lots; single splices are dealt out item after item."""
    lots = lots_for_room(case)
    wholes: dict[tuple[int, int], list[int]] = {}
    singles: dict[int, list[list[int]]] = {}
    for item, (alike, size, cut) in enumerate(zip(case.alike_of, case.sizes, case.cut_of, strict=True)):
        if size and cut == WHOLE:
            wholes.setdefault((alike, size), []).append(item)
        elif size:
            singles.setdefault(alike, []).append([item, size])
    for items in wholes.values():
        items.reverse()
    for alike, rows in singles.items():
        # Loose items take what the others leave; a whole of size one may stand among the single splices.
        rows.sort(key=lambda row: (case.cut_of[row[0]] == LOOSE, row[0]))
        rows.extend([item, 1] for item in reversed(wholes.pop((alike, 1), [])))
    trays = trays_for(case, mix)
    used: set[int] = set()

    def deal(tray: OpenTray, alike: int, splices: int) -> None:
        for row in singles[alike]:
            part = min(row[1], splices)
            if part:
                tray.put(case.likenesses[alike], row[0], part)
                row[1] -= part
                splices -= part

    for berth, given, filling in found:
        tray = take_tray(trays, used, berth, given)
        for lot, count in zip(lots, filling, strict=True):
            if count and lot.size == 1 and lot.alike in singles:
                deal(tray, lot.alike, count)
            elif count:
                for _ in range(count):
                    tray.put(case.likenesses[lot.alike], wholes[lot.alike, lot.size].pop(), lot.size)
    return settled(case, weight, mix, trays, singles)


def settled(
    case: Case, weight: int, mix: Mix, trays: list[OpenTray], singles: dict[int, list[list[int]]]
) -> Draft | None:
    """Set the trays for good and fill in the splices that run free."""
    if any(row[1] for rows in singles.values() for row in rows):
        draft = closed(case, weight, mix, trays)
        if draft is None:
            return None
        for tray, given in zip(trays, draft.settings, strict=True):
            tray.options = (given,)
        for alike, rows in singles.items():
            for row in rows:
                for tray in trays:
                    part = min(row[1], tray.room(case.likenesses[alike]))
                    if part > 0:
                        tray.put(case.likenesses[alike], row[0], part)
                        row[1] -= part
    return closed(case, weight, mix, trays)


def from_pieces(case: Case, weight: int, mix: Mix, found: FoundPieces) -> Draft | None:
    """The draft of shares: each entry is a row of items, a cut item coming back as a smaller entry."""
    rows: dict[tuple[int, int, int], list[int]] = {}
    singles: dict[int, list[list[int]]] = {}
    for item, (alike, size, cut) in enumerate(zip(case.alike_of, case.sizes, case.cut_of, strict=True)):
        if not size:
            continue
        if cut == LOOSE:
            singles.setdefault(alike, []).append([item, size])
        else:
            rows.setdefault((alike, size, CUT if cut == CUT and size > 1 else WHOLE), []).append(item)
    for items in rows.values():
        items.reverse()
    trays = trays_for(case, mix)
    used: set[int] = set()
    for berth, given, shares in found:
        tray = take_tray(trays, used, berth, given)
        for entry, splices, times in shares:
            alike, size, cut = entry
            likeness = case.likenesses[alike]
            if cut == LOOSE:
                left = times
                for row in singles[alike]:
                    part = min(row[1], left)
                    if part:
                        tray.put(likeness, row[0], part)
                        row[1] -= part
                        left -= part
                continue
            for _ in range(times):
                item = rows[entry].pop()
                tray.put(likeness, item, splices)
                if splices < size:
                    smaller = (alike, size - splices, CUT if size - splices > 1 else WHOLE)
                    rows.setdefault(smaller, []).append(item)
    return settled(case, weight, mix, trays, singles)
