"""A bar of progress in the terminal; where there is none, a line now and then."""

from __future__ import annotations

import shutil
import time
from collections.abc import Callable
from typing import TextIO

_LINE_EVERY_S = 5.0
_NARROWEST = 10
_TENTHS = 10


class Bar:
    """Shows how much of something is done, on a stream.

    On a terminal one line is drawn over and over. Elsewhere a line is written for each tenth and at least every five
    seconds in which something was done, so that a log shows the pace too. ``clock`` counts seconds.
    """

    def __init__(self, stream: TextIO, clock: Callable[[], float] = time.monotonic) -> None:
        self._stream, self._clock = stream, clock
        self._drawn = stream.isatty()
        self._written: tuple[int, float] | None = None
        self._width = 0

    def show(self, done: int, total: int, told: str = "") -> None:
        """Show that so many of ``total`` are done, with a word or two behind it."""
        text = f"{done:,} of {total:,}" + (f"  {told}" if told else "")
        if self._drawn:
            self._draw(done / total if total else 1.0, text)
        elif self._due(done, total):
            self._stream.write(f"{text}\n")
            self._stream.flush()

    def end(self) -> None:
        """Leave the line as it is and go on below it."""
        if self._drawn and self._width:
            self._stream.write("\n")
            self._stream.flush()

    def _draw(self, share: float, text: str) -> None:
        columns = shutil.get_terminal_size().columns
        length = max(_NARROWEST, min(40, columns - len(text) - 4))
        full = int(share * length)
        line = f"[{'#' * full}{'.' * (length - full)}] {text}"[: columns - 1]
        self._stream.write("\r" + line.ljust(self._width))
        self._stream.flush()
        self._width = len(line)

    def _due(self, done: int, total: int) -> bool:
        tenth, now = (_TENTHS * done // total if total else _TENTHS), self._clock()
        if self._written is not None:
            last_tenth, last = self._written
            if tenth == last_tenth and now - last < _LINE_EVERY_S:
                return False
        self._written = tenth, now
        return True
