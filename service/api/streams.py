"""Answers that are sent while they are made: each holds a thread of the server for as long as its reader takes."""

from __future__ import annotations

import threading
from collections.abc import Iterator

from service.api.problems import Problem

_RETRY_S = "10"


class Streams:
    """The long answers that are being sent; some threads are left for whoever asks for something short."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._open = 0

    def held(self, blocks: Iterator[bytes], threads: int) -> Stream:
        """These blocks as an answer. Raises the 503 problem where half of the server's ``threads`` send such ones."""
        with self._lock:
            if self._open >= max(1, threads // 2):
                detail = "Other long answers are being sent just now. Ask again in a moment, or page by page."
                raise Problem("unavailable", detail, headers={"Retry-After": _RETRY_S})
            self._open += 1
        return Stream(self, blocks)

    def give_back(self) -> None:
        """One of them is at its end, or its reader is gone."""
        with self._lock:
            self._open -= 1


class Stream(Iterator[bytes]):
    """One of them; the server closes it, also where it was never begun."""

    def __init__(self, streams: Streams, blocks: Iterator[bytes]) -> None:
        self._streams, self._blocks, self._closed = streams, blocks, False

    def __next__(self) -> bytes:
        return next(self._blocks)

    def close(self) -> None:
        """Give the thread back; a second time changes nothing."""
        if not self._closed:
            self._closed = True
            self._streams.give_back()

    def __del__(self) -> None:
        """Likewise where nothing is sent of it, so that there is nothing for the server to close: HEAD."""
        self.close()
