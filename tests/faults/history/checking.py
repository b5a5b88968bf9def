"""Whether a history can have happened to things that are each read and replaced in one step.

Versions are numbered on by one with each write, so the order of the writes of a thing is known, and only the reads and
refusals have to find their place between them. Everything is placed at the earliest version that real time allows: what
ended before another began comes before it. Where that comes out, the thing was linearizable (the notion is Herlihy and
Wing's of 1990, from memory); where it does not, what is told names the operation that has no place.
"""

from __future__ import annotations

import heapq
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence

from tests.faults.history.operations import Operation

_NEVER = float("inf")


def faults_of(history: Iterable[Operation], written_elsewhere: Sequence[str] = ()) -> list[str]:
    """Every fault of a history, in words. Each thing is read first before, and last after everything else.

    ``written_elsewhere`` are things whose writes are not in the history: their versions are only never to go back.
    """
    things: dict[str, list[Operation]] = defaultdict(list)
    for operation in history:
        things[operation.thing].append(operation)
    return [
        f"{name}: {fault}"
        for name, operations in things.items()
        for fault in _Thing(operations).faults(name in written_elsewhere)
    ]


class _Thing:
    """The operations on one thing."""

    def __init__(self, operations: Sequence[Operation]) -> None:
        self._operations = operations
        self._seen = {each.version for each in operations if each.version is not None}
        self._first, self._last = min(self._seen), max(self._seen)
        self._written = [each for each in operations if each.outcome == "written"]
        self._unknown = [each for each in operations if each.outcome == "unknown"]
        self._writers: dict[int, Operation] = {}
        self._values: dict[int, str | None] = {}

    def faults(self, written_elsewhere: bool) -> Iterator[str]:
        yield from self._chain()
        yield from self._contents()
        if not written_elsewhere:
            yield from self._unwritten()
        yield from self._out_of_order()

    def _chain(self) -> Iterator[str]:
        """Each acknowledged write replaced the version that it said, and no two the same one."""
        for each in self._written:
            assert each.version is not None and each.expected is not None
            if each.version != each.expected + 1:
                yield f"does not follow what it replaces: {each.told()}"
            other = self._writers.setdefault(each.version, each)
            if other is not each:
                yield f"lost update: {each.told()} and {other.told()} replaced the same version"

    def _contents(self) -> Iterator[str]:
        """A version has the value that was written as it, whoever reads it and how often."""
        self._values = {version: writer.value for version, writer in self._writers.items()}
        for each in self._operations:
            if each.outcome == "read" and each.version is not None:
                value = self._values.setdefault(each.version, each.value)
                if value != each.value:
                    yield f"version {each.version} was {value!r}: {each.told()}"

    def _unwritten(self) -> Iterator[str]:
        """Every version there was has a writer: one that was acknowledged, or one that never heard of it."""
        for version in range(self._first + 1, self._last + 1):
            if version in self._writers:
                continue
            value = self._values.get(version)
            able = [each for each in self._unknown if each.expected == version - 1 and value in (None, each.value)]
            if able:
                self._writers[version] = min(able, key=lambda each: each.began)
            else:
                yield f"nobody wrote version {version} ({value!r})"

    def _out_of_order(self) -> Iterator[str]:
        placed = [each for each in self._operations if each.outcome != "unknown"]
        placed += [writer for writer in self._writers.values() if writer.outcome == "unknown"]
        versions = {id(writer): version for version, writer in self._writers.items()}
        reached, ended = self._first, list[tuple[float, int]]()
        for each in sorted(placed, key=lambda operation: operation.began):
            while ended and ended[0][0] < each.began:
                reached = max(reached, heapq.heappop(ended)[1])
            if each.outcome == "refused":
                version = reached if reached != each.expected else reached + 1
                if version > self._last:
                    yield f"refused although nothing else was in force: {each.told()}"
                    continue
            else:
                version = versions.get(id(each), each.version or 0)
                # A write needs the version before it to have been the last one when it took its place.
                if version - (id(each) in versions) < reached:
                    yield f"version {reached} was there before: {each.told()}"
            heapq.heappush(ended, (_NEVER if each.outcome == "unknown" else each.ended, version))
