"""How much ribbon is stored, how much sheath is opened, and how many remakes that affords. Lengths in mm, a side.

Quotients are taken exactly, from the decimal text of each figure, and forgiven a billionth: three turns and a
ten-millionth of a hair are three turns. Exact quotients are slow and few differ, so results are kept.
"""

from __future__ import annotations

import math
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from service.domain.request import Rules

_NOISE = Fraction(1, 10**9)


@lru_cache(maxsize=4096)
def exact(figure: float) -> Fraction:
    """A figure as the decimal that it is written as, not as the binary one nearest to it."""
    return Fraction(Decimal(repr(figure)))


def whole_up(quotient: Fraction) -> int:
    """The quotient rounded up, forgiving a billionth."""
    return math.ceil(quotient - _NOISE)


def whole_down(quotient: Fraction) -> int:
    """The quotient rounded down, forgiving a billionth."""
    return math.floor(quotient + _NOISE)


def needed_mm(rules: Rules, cutback_mm: float) -> float:
    """``reach + remakes x cutback``: what one ribbon end must have beyond the tray's entry."""
    return float(exact(rules.reach_mm) + rules.remakes * exact(cutback_mm))


@lru_cache(maxsize=4096)
def turns(needed_mm: float, entry_mm: float, turn_mm: float) -> int:
    """``ceil((needed - entry) / turn)``, never below 0: only whole turns bring the sleeve to lie in its slot."""
    if turn_mm <= 0:
        raise ValueError("A stored turn has a length above 0.")
    return max(0, whole_up((exact(needed_mm) - exact(entry_mm)) / exact(turn_mm)))


@lru_cache(maxsize=4096)
def stored_mm(entry_mm: float, turns: int, turn_mm: float) -> float:
    """``entry + turns x turn``: what lies in the tray."""
    return float(exact(entry_mm) + turns * exact(turn_mm))


@lru_cache(maxsize=4096)
def remakes_left(stored_mm: float, reach_mm: float, cutback_mm: float) -> int:
    """``floor((stored - reach) / cutback)``, never below 0: all remakes that the stored length affords."""
    if cutback_mm <= 0:
        raise ValueError("An attempt costs a length of ribbon above 0.")
    return max(0, whole_down((exact(stored_mm) - exact(reach_mm)) / exact(cutback_mm)))


@lru_cache(maxsize=4096)
def opening_mm(lead_mm: float, stored_mm: float, step_mm: float | None = None) -> float:
    """``lead + stored``, rounded up to the closure's step: the sheath opening of one cable end."""
    opening = exact(lead_mm) + exact(stored_mm)
    if step_mm is None:
        return float(opening)
    if step_mm <= 0:
        raise ValueError("A step has a length above 0.")
    return float(whole_up(opening / exact(step_mm)) * exact(step_mm))


def window_mm(opening_mm: float) -> float:
    """The opening of an express cable, both sides of the cut: twice that of one end."""
    return float(2 * exact(opening_mm))
