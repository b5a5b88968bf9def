"""Reading the splice points of a takeoff: each one checked, numbered, and brought to its demand.

What a splice point arrives as, a line of bytes or a member of a larger document, is the business of the ``check`` that
the caller brings along; nothing here holds more of the takeoff than a digest for each demand.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Iterable, Iterator
from typing import Any, Generic, NamedTuple, TypeVar

from service.building.equals import canonical
from service.building.renaming import renamed_faults
from service.documents.takeoff import position_from
from service.domain.faults import Fault, Refused
from service.domain.takeoff import NAME_LETTERS_MOST, POINTS_MOST, Demand, Point

Document = dict[str, Any]
Faults = tuple[Fault, ...]
Raw = TypeVar("Raw")

_CONTROL = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff]")
_DIGEST = 16


class Checked(NamedTuple):
    """A splice point as a document, where it could be read at all, and what is wrong with it."""

    document: Document | None
    faults: Faults = ()


class Read(NamedTuple):
    """A splice point, and its demand where that one is new."""

    point: Point
    new: Demand | None


class Reading(Generic[Raw]):
    """One takeoff being read.

    ``check`` holds a splice point against its schema. ``judge``, where it is given, tells of a demand (canonical
    request) what planning would refuse; it is asked once a demand, and a refused one is not numbered. ``run`` is the
    longest run of half brackets in the catalogue (see ``placeholders``).
    """

    def __init__(
        self,
        check: Callable[[Raw], Checked],
        run: int,
        judge: Callable[[bytes], Faults] | None = None,
        points_most: int = POINTS_MOST,
    ) -> None:
        self._check, self._run, self._judge, self._most = check, run, judge, points_most
        self._known: dict[bytes, int | Faults] = {}
        self.points = 0
        self.demands = 0
        self.faulty = 0

    def read(self, lines: Iterable[tuple[int, Raw]]) -> Iterator[Read]:
        """The splice points on these numbered lines. Raises ``Refused`` where there is none, or there are too many."""
        for line, raw in lines:
            if self.points >= self._most:
                detail = f"a takeoff has at most {self._most} splice points; send the rest as another one"
                raise Refused([Fault("", "too_many", detail)])
            self.points += 1
            yield self._point(line, self._check(raw))
        if not self.points:
            raise Refused([Fault("", "empty", "there is no splice point in it")])

    def _point(self, line: int, checked: Checked) -> Read:
        if checked.document is None or checked.faults:
            return self._faulty(line, _name_in(checked.document), checked.faults)
        request = dict(checked.document)
        tags, told = request.pop("tags", {}), request.pop("position", None)
        position = None if told is None else position_from(told)
        name = request.get("name", "")
        demand = canonical(request, self._run)
        digest = hashlib.blake2b(demand.request, digest_size=_DIGEST).digest()
        known = self._known.get(digest)
        new = None
        if known is None:
            known = self._judge(demand.request) if self._judge is not None else ()
            if not known:
                self.demands += 1
                known = self.demands
                new = Demand(known, demand.request)
            self._known[digest] = known
        if not isinstance(known, int):
            return self._faulty(line, name, renamed_faults(known, demand.names), tags)
        return Read(Point(self.points, line, name, tags, known, demand.names, (), position), new)

    def _faulty(self, line: int, name: str, faults: Faults, tags: dict[str, str] | None = None) -> Read:
        self.faulty += 1
        return Read(Point(self.points, line, name, tags or {}, faults=faults), None)


def _name_in(document: Document | None) -> str:
    """The name of a splice point that is not in order, so far as it can be told."""
    name = document.get("name") if document is not None else None
    return name if isinstance(name, str) and len(name) <= NAME_LETTERS_MOST and not _CONTROL.search(name) else ""
