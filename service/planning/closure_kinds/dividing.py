"""The least of an aim, with proof: bound, go through what the bound leaves, and where that is too much, divide.

A divided aim is two smaller ones: a model is chosen, or it is ruled out. Each has sharper shares of its own, found in a
few steps from those of the whole.
"""

from __future__ import annotations

from math import comb

from service.planning.closure_kinds.aim import Aim
from service.planning.closure_kinds.ascent import Shares, ascended
from service.planning.closure_kinds.bound import Bound, bound_of
from service.planning.closure_kinds.linear import dual_shares, may_close, small_enough, too_large
from service.planning.closure_kinds.tree import Best, gone_through

_FEW = 1_000
"""Choices but for their last model that are gone through without dividing: the last ones are weighed all at once."""

_WALK = 30
_ASCENT = (300, 25)
"""Steps at the top, and in each part of a divided search; these and the walk were tried out on builds without order."""


def settled(aim: Aim, best: Best) -> int:
    """Better ``best`` to the least of the aim, and return a lower bound: ``best.cost`` where that is shown to be least.

    The search ends early where ``best.steps`` run out.
    """
    if aim.floor >= best.cost:
        return best.cost
    all_choices = sum(comb(len(aim.names), chosen) for chosen in range(aim.most))
    by_solver = small_enough(aim)
    bound = (_by_duals(aim, best.cost) if by_solver else None) or _by_steps(aim, best, _ASCENT[0])
    if not by_solver and may_close(aim, bound.least, best.cost):
        by_solver = True
        bound = _by_duals(aim, best.cost) or bound
    if all_choices <= _FEW and gone_through(bound, (), best, all_choices):
        return best.cost
    least = _divided(bound, best, ())
    if least < best.cost and not by_solver and not too_large(aim):
        # Steps came to nothing: the relaxation may still be sharp.
        last = _by_duals(aim, best.cost)
        least = least if last is None else max(least, min(last.least, best.cost))
    return least


def _divided(bound: Bound, best: Best, taken: tuple[int, ...]) -> int:
    """The same for a part of the search, in which the models ``taken`` are chosen, by number."""
    if bound.least >= best.cost:
        return best.cost
    bound = bound.leaving(bound.idle(best.cost))
    if gone_through(bound, taken, best, _WALK):
        return best.cost
    aim, least = bound.aim, min(bound.least, best.cost)
    if best.steps <= 0 or least == best.cost:
        return least
    place = max(range(len(bound.worths)), key=lambda each: (bound.worths[each], -each))
    inside = _part(aim.taking(place), bound.shares_without(place, True), best, (*taken, aim.names[place]))
    outside = _part(aim.leaving([place]), bound.shares_without(place, False), best, taken)
    return max(min(inside, outside), least)


def _part(aim: Aim, start: Shares, best: Best, taken: tuple[int, ...]) -> int:
    return best.cost if aim.floor >= best.cost else _divided(_by_steps(aim, best, _ASCENT[1], start), best, taken)


def _by_steps(aim: Aim, best: Best, most: int, start: Shares | None = None) -> Bound:
    steps = max(1, min(most, best.steps))
    best.steps -= steps
    return bound_of(aim, ascended(aim, best.cost, steps, start))


def _by_duals(aim: Aim, known: int) -> Bound | None:
    shares = dual_shares(aim, known)
    return None if shares is None else bound_of(aim, shares)
