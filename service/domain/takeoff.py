"""A takeoff: the splice points of a whole build, planned together.

Splice points that ask for the same under other names share one **demand**, which is planned once. Places count the
splice points of a takeoff from 1, demands are numbered from 1 in the order in which they first occur. The work on the
demands goes through two stages, or through four where the build is to do with few kinds of closure.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Literal

from service.domain.faults import Fault
from service.domain.map_point import MapPoint
from service.domain.records import Tally

State = Literal["receiving", "running", "finished", "cancelled", "stopped"]
"""``stopped``: it could not go on, and ``why`` says what was in the way."""

Stage = Literal["judging", "choosing", "planning", "adding_up"]
"""What is being done: every closure judged, few kinds chosen, each splice point planned, the plans added up.

In the second and the last one all demands are one chunk.
"""

WHOLE_STAGES: frozenset[Stage] = frozenset({"choosing", "adding_up"})
"""The stages whose work cannot be divided."""

NAME_LETTERS_MOST = 200
POINTS_MOST = 100_000


@dataclass(frozen=True, slots=True)
class NewTakeoff:
    """A takeoff about to be received. ``closure_kinds_most``: at most so many kinds of closure for the whole build.

    ``catalogue_revision`` is the catalogue that all of it is planned from, ``version`` that of the service.
    ``strict``: it was asked that one bad splice point refuses all. ``recorded`` is what splice records had taught then.
    """

    id: str
    created: datetime
    name: str
    catalogue_revision: int
    version: str
    tags: Mapping[str, str] = field(default_factory=dict)
    strict: bool = False
    closure_kinds_most: int | None = None
    recorded: tuple[Tally, ...] = ()


@dataclass(frozen=True, slots=True)
class Point:
    """A splice point of a takeoff. ``line`` is that of the file it came in, from 1.

    ``names`` leads from the names in the demand to the splice point's own. ``demand`` is None where it could not be
    read, and ``faults`` say why; their pointers lead into its line. ``position`` is where it is, where that was told.
    """

    place: int
    line: int
    name: str
    tags: Mapping[str, str] = field(default_factory=dict)
    demand: int | None = None
    names: Mapping[str, str] = field(default_factory=dict)
    faults: tuple[Fault, ...] = ()
    position: MapPoint | None = None


@dataclass(frozen=True, slots=True)
class Demand:
    """What ``points`` splice points of a takeoff ask for alike: a plan request (JSON, UTF-8) without their names."""

    number: int
    request: bytes
    points: int = 0


@dataclass(frozen=True, slots=True)
class DemandResult:
    """What came of a demand: a plan answer (JSON, UTF-8), or ``faults`` and ``fits`` None where it was refused.

    ``trays`` and ``optimal`` are None where it does not fit. ``seconds`` is what planning took. ``uses`` are the
    catalogue entries it was made from ("kind/code"), given when it is stored and not read back.
    """

    number: int
    fits: bool | None
    closure: str | None = None
    splices: int = 0
    trays: int | None = None
    optimal: bool | None = None
    answer: bytes | None = None
    faults: tuple[Fault, ...] = ()
    seconds: float = 0.0
    uses: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Judged:
    """What each closure would come to for a demand: a figure by closure code, as text that keeps it exact.

    A closure that does not take the demand is not in it; None stands for one that does, at a price not known.
    ``points`` is how many splice points ask for it; the store fills it in when it is read back.
    """

    number: int
    closures: Mapping[str, str | None]
    points: int = 0


@dataclass(frozen=True, slots=True)
class Choice:
    """The closures chosen for the whole build, and the document that tells people of the choice."""

    closures: tuple[str, ...]
    document: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class TakeoffStatus(NewTakeoff):
    """Where a takeoff stands.

    ``points``, ``done``, ``faulty``, ``fitting``, ``unfitting`` and ``unproven`` count splice points (``done``
    includes the faulty ones, ``fitting`` the unproven ones); ``demands``, ``judged`` and ``planned`` count demands.
    ``chosen`` is None before a choice of closures, or where none was asked for.
    """

    state: State = "receiving"
    stage: Stage | None = None
    why: str | None = None
    started: datetime | None = None
    ended: datetime | None = None
    points: int = 0
    demands: int = 0
    judged: int = 0
    planned: int = 0
    done: int = 0
    faulty: int = 0
    fitting: int = 0
    unfitting: int = 0
    unproven: int = 0
    chosen: tuple[str, ...] | None = None


@dataclass(frozen=True, slots=True)
class PointResult:
    """A splice point with what came of it; ``fits`` is None where that is not known yet or it is faulty.

    ``done``: it was planned or refused. ``faults`` are those of reading and those of planning, the latter in the
    demand's names. ``answer`` is given where it was asked for and there is one, in the demand's names too.
    """

    point: Point
    done: bool
    fits: bool | None = None
    closure: str | None = None
    splices: int = 0
    trays: int | None = None
    optimal: bool | None = None
    faults: tuple[Fault, ...] = ()
    answer: bytes | None = None


@dataclass(frozen=True, slots=True)
class DemandAnswer:
    """A demand that was planned: how many splice points ask for it, whether it fits, and the plan answer."""

    number: int
    points: int
    fits: bool
    answer: bytes


@dataclass(frozen=True, slots=True)
class Chunk:
    """Demands ``first`` to ``last`` of a takeoff, leased to one worker to be worked on in one go.

    ``fence`` grows with every lease of the chunk: results are taken only from the latest holder. ``takeoff`` is the
    takeoff's id, ``team`` the number of its team. ``chosen`` restricts the closures that may be planned with; None:
    as each request says. ``recorded``: what splice records had taught when the takeoff was received.
    """

    id: int
    fence: int
    takeoff: str
    stage: Stage
    first: int
    last: int
    catalogue_revision: int
    closure_kinds_most: int | None = None
    chosen: tuple[str, ...] | None = None
    recorded: tuple[Tally, ...] = ()
    team: int = 1
