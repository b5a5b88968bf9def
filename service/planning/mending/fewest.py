"""The fewest of several things that have to give way."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from typing import TypeVar

T = TypeVar("T", bound=Hashable)


def fewest_given_up(things: Sequence[T], enough: Callable[[frozenset[T]], bool]) -> tuple[T, ...] | None:
    """Things whose giving up is enough: a single one where one is, else a set of which none can be kept.

    None where giving up all of them is not enough. Tried in the order given; a set of several is smallest in the sense
    that each of its members is needed, not that there is none with fewer.
    """
    if not things or not enough(frozenset(things)):
        return None
    for thing in things if len(things) > 1 else ():
        if enough(frozenset((thing,))):
            return (thing,)
    given_up = list(things)
    for thing in things:
        fewer = [other for other in given_up if other != thing]
        if fewer and enough(frozenset(fewer)):
            given_up = fewer
    return tuple(given_up)
