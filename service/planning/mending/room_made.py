"""More room in the closure: further positions for trays that it takes, or another tray."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal

from service.domain.catalogue import Closure, Tray, TrayAllowance
from service.domain.refusal import Change, Remedy
from service.planning.mending.costing import trays_cost
from service.planning.mending.trial import Trial

POSITIONS_MOST = 64
"""Beyond so many further positions another closure is the answer."""

Position = tuple[int, float, bool, Decimal, Tray]
"""How many positions, their pitch, whether the tray has no price, its price, and the tray."""

WAYS: tuple[tuple[Change, bool, bool], ...] = (
    ("tray_count", False, True),
    ("stack", True, False),
    ("stack", True, True),
)
"""What is raised: the height of the stack, how many of the tray there may be, or both."""

KINDS_MOST = 40
"""How many trays of the catalogue are tried."""


def positions_added(trial: Trial, limits: set[str]) -> Iterator[Remedy]:
    """The fewest further positions for one tray that the closure takes: more of them in the stack, or a higher stack.

    Of trays that do with equally few the lowest, then the one that costs least.
    """
    told = False
    for change, higher, more in WAYS:
        wanted = {limit for limit, needed in (("stack", higher), ("tray_count", more)) if needed}
        # Both at once only where neither alone is enough.
        if not wanted <= limits or (higher and more and told):
            continue
        found: list[Position] = []
        for allowance in trial.closure.trays:
            tray = trial.catalogue.trays.get(allowance.tray)
            if tray is not None:
                count = _fewest(trial, tray, higher, more)
                # A position that the packing then fills with other trays is not one for this tray.
                if count is not None and tray.code in _trays_with(trial, tray, count, higher, more):
                    found.append((count, tray.pitch_mm, tray.price is None, tray.price or Decimal(0), tray))
        if found:
            told = True
            yield _position(trial.closure, change, more, min(found, key=lambda entry: (*entry[:4], entry[4].code)))


def _position(closure: Closure, change: Change, more: bool, best: Position) -> Remedy:
    count, _, _, _, tray = best
    cost, currency = trays_cost(tray, count)
    trays = f"one more tray {tray.code}" if count == 1 else f"{count} more trays {tray.code}"
    height = f"{closure.stack_mm + count * tray.pitch_mm:g} mm instead of {closure.stack_mm:g} mm"
    text = f"room for {trays} in closure {closure.code}"
    if change == "stack":
        text += f": a stack of {height}" + (", and more of that tray than it takes now" if more else "")
    else:
        most = next(allowance.most for allowance in closure.trays if allowance.tray == tray.code)
        text += f": {most + count} of it instead of {most}, in the same stack"
    return Remedy(change, tray.code, True, text, (tray.code,), count, cost, currency, True)


def _fewest(trial: Trial, tray: Tray, higher: bool, more: bool) -> int | None:
    """The fewest further positions of a tray that are enough; None where even the most tried are not."""

    def fits(count: int) -> bool:
        return trial.fits(closure=_with_room(trial.closure, tray, count, higher, more))

    low, high = 0, 1
    while not fits(high):
        low, high = high, 2 * high
        if high > POSITIONS_MOST or trial.spent:
            return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if fits(middle) else (middle, high)
    return high


def _with_room(closure: Closure, tray: Tray, count: int, higher: bool, more: bool) -> Closure:
    trays = tuple(
        replace(each, most=each.most + count) if each.tray == tray.code and more else each for each in closure.trays
    )
    return replace(closure, trays=trays, stack_mm=closure.stack_mm + (count * tray.pitch_mm if higher else 0.0))


def _trays_with(trial: Trial, tray: Tray, count: int, higher: bool, more: bool) -> set[str]:
    """The trays that are then bought."""
    verdict = trial.judged(closure=_with_room(trial.closure, tray, count, higher, more))
    return set() if verdict is None else {each.code for each in verdict.new_trays}


def other_tray(trial: Trial) -> Iterator[Remedy]:
    """A tray of the catalogue that the closure does not take, and that would make it fit if it did.

    As many of it are allowed as the stack takes. Of several the one whose trays cost least, then the fewest.
    """
    closure = trial.closure
    taken = {allowance.tray for allowance in closure.trays}
    others = [t for code, t in sorted(trial.catalogue.trays.items()) if code not in taken]
    others = [tray for tray in others if tray.pitch_mm <= closure.stack_mm]
    found: list[tuple[bool, Decimal, int, str, Tray]] = []
    for tray in others[:KINDS_MOST]:
        most = int(closure.stack_mm // tray.pitch_mm)
        trays = (*closure.trays, TrayAllowance(tray.code, most))
        verdict = trial.judged(closure=replace(closure, trays=trays))
        if verdict is None or not verdict.fits:
            continue
        count = sum(1 for each in verdict.new_trays if each.code == tray.code)
        cost, _ = trays_cost(tray, count)
        found.append((cost is None, cost or Decimal(0), count, tray.code, tray))
    if found:
        _, _, count, _, tray = min(found, key=lambda entry: entry[:4])
        cost, currency = trays_cost(tray, count)
        trays_told = f"one tray {tray.code}" if count == 1 else f"{count} trays {tray.code}"
        text = f"{trays_told} ({tray.title}), if closure {closure.code} took that tray: ask its maker"
        yield Remedy("tray_kind", tray.code, True, text, (tray.code,), count, cost, currency, True)
