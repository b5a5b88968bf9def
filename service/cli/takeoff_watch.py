"""Watching a takeoff until it has ended, with a bar of progress."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any, TextIO

from service.cli.bar import Bar

_LOOK_S = 0.2
_AT_WORK = ("receiving", "running")


def watch(standing: Callable[[], dict[str, Any]], stream: TextIO) -> dict[str, Any]:
    """Show how far it is until it has ended; ``standing`` gives its document as it is at the moment. The last one."""
    bar = Bar(stream)
    try:
        while True:
            takeoff = standing()
            points = takeoff["points"]
            bar.show(points["done"], points["total"], _told(takeoff))
            if takeoff["state"] not in _AT_WORK:
                return takeoff
            time.sleep(_LOOK_S)
    finally:
        bar.end()


def _told(takeoff: dict[str, Any]) -> str:
    told = []
    if takeoff["stage"] == "judging":
        told.append(f"judging closures: {takeoff['demands']['judged']:,} of {takeoff['demands']['total']:,}")
    elif takeoff["stage"] == "choosing":
        told.append("choosing closures")
    elif takeoff["stage"] == "adding_up":
        told.append("adding up")
    elif takeoff["rate_per_s"] is not None:
        told.append(f"{takeoff['rate_per_s']:,.0f}/s")
    if takeoff["seconds_left"] is not None:
        told.append(f"{takeoff['seconds_left']:.0f} s left")
    if takeoff["points"]["faulty"]:
        told.append(f"{takeoff['points']['faulty']:,} faulty")
    return "  ".join(told)
