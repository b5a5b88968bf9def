"""When a delivery that failed is tried again: soon at first, then after longer and longer rests, never in step."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass

DAY_S = 86_400.0


@dataclass(frozen=True, slots=True)
class Pace:
    """``attempts`` tries in all; the first rest is ``first_s``, each further one ``growth`` times as long.

    With the figures as they stand ten tries take some 41 hours: 5 s, 25 s, 2 min, 10 min, 52 min, 4 h, and 12 h after
    each of the last. Rests vary by ``jitter``, so that not all come back at once to a receiver that was away.
    ``off_after_s``: where nothing has got through for so long, the webhook is switched off.
    """

    attempts: int = 10
    off_after_s: float = 5 * DAY_S
    first_s: float = 5.0
    growth: float = 5.0
    most_s: float = DAY_S / 2
    jitter: float = 0.2
    asked_most_s: float = DAY_S

    def again_s(
        self, tried: int, asked_s: float | None = None, chance: Callable[[], float] = random.random
    ) -> float | None:
        """The rest after ``tried`` tries; None: it is not tried again.

        ``asked_s`` is the rest that the receiver asked for: not less than that, up to a day. ``chance`` gives numbers
        from 0 to 1.
        """
        if tried >= self.attempts:
            return None
        rest = min(self.first_s * self.growth ** (tried - 1), self.most_s)
        rest *= 1 + self.jitter * (2 * chance() - 1)
        return max(rest, min(asked_s or 0.0, self.asked_most_s))
