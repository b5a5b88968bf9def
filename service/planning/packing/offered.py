"""Which of many trays need looking at: of empty trays that are alike the first one, and none that is full."""

from __future__ import annotations

from bisect import insort
from collections.abc import Sequence

from service.planning.packing.drafts import OpenTray
from service.planning.packing.settings import Vector

MANY = 32
"""With no more trays than this, looking at every one is quicker."""


class Offered:
    """The trays to look at, in their order; what is chosen among them is chosen among all.

    ``drops``: every item takes slots, so a tray without free slots takes none.
    """

    def __init__(self, trays: Sequence[OpenTray], drops: bool) -> None:
        self._drops = drops
        self._place = {tray: place for place, tray in enumerate(trays)}
        self._alike: dict[tuple[int, tuple[Vector, ...]], list[OpenTray]] = {}
        self.trays: list[OpenTray] = []
        for tray in trays:
            if tray.hanging >= 0:
                self.trays.append(tray)
                continue
            alike = self._alike.setdefault((tray.berth, tray.options), [])
            if not alike:
                self.trays.append(tray)
            alike.append(tray)
        # The next one is taken from the end.
        self._next: dict[OpenTray, list[OpenTray]] = {}
        for alike in self._alike.values():
            alike.reverse()
            self._next[alike.pop()] = alike

    def laid(self, tray: OpenTray) -> None:
        """Something was laid into a tray that was offered."""
        alike = self._next.pop(tray, None)
        if alike:
            following = alike.pop()
            self._next[following] = alike
            insort(self.trays, following, key=self._place.__getitem__)
        if self._drops:
            most = [max(given) for given in zip(*tray.options, strict=True)]
            if all(used >= given for used, given in zip(tray.used, most, strict=True)):
                self.trays.remove(tray)
