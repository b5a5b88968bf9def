"""Waiting for a database that is busy, full or away."""

from __future__ import annotations

import logging
from collections.abc import Callable
from typing import TypeVar

from service.store import Busy, Full, Unavailable

_log = logging.getLogger(__name__)
_Answer = TypeVar("_Answer")
_LONGEST_S = 5.0


def patiently(do: Callable[[], _Answer], wait: Callable[[float], bool]) -> _Answer:
    """Do it, again and again where the database cannot at the moment; the pauses grow up to five seconds.

    ``wait`` waits so many seconds and says whether to give up: then what the database said is raised. Whatever is
    done must be safe to do twice.
    """
    pause = 0.1
    while True:
        try:
            return do()
        except (Busy, Full, Unavailable) as error:
            _log.warning("waiting for the database: %s", error)
            if wait(pause):
                raise
            pause = min(2 * pause, _LONGEST_S)
