"""Splices, bundles and lanes: what the joints of a request come to.

Ends and splices are named tuples: a hub has hundreds of them, and a tuple is made several times quicker than a frozen
dataclass.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, NamedTuple

from service.domain.request import CableEnd


class RibbonEnd(NamedTuple):
    """One end that is spliced or parked: a ribbon (``half`` 1 or 2 where a 24 is split) or a fibre."""

    cable: str
    ribbon: int
    fibre: int | None = None
    half: int | None = None
    end: CableEnd = "in"


class Splice(NamedTuple):
    """One sleeve's worth."""

    from_: RibbonEnd
    to: RibbonEnd


@dataclass(frozen=True, slots=True)
class Bundle:
    """Splices of one joint from one tube to one tube: what is kept together in a tray.

    ``form`` and ``fibres`` say what one splice joins; ``from_tube``/``to_tube`` are 0 where the
    request keeps whole joints together over several tubes. ``label`` is the keep-apart label.
    """

    joint: int
    form: Literal["ribbon", "single"]
    fibres: int
    from_cable: str
    from_tube: int
    to_cable: str
    to_tube: int
    label: str | None
    splices: tuple[Splice, ...]


@dataclass(frozen=True, slots=True)
class StoredEnds:
    """Ends of one opened tube that are cut and parked: whole ribbons, or the rest of a ribbon joined by fibres."""

    cable: str
    tube: int
    end: CableEnd
    ribbons: tuple[int, ...]
    fibres: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Lanes:
    """How the fibres of one cable at the point are used when the work is done (counts of fibre ends by lane).

    ``opened`` are the opened tubes; on an express cable ``express`` counts the uncut fibres of every tube,
    and ``express_tubes`` the tubes that pass unopened.
    """

    cable: str
    spliced: int
    stored: int
    express: int
    opened: tuple[int, ...]
    express_tubes: int


@dataclass(frozen=True, slots=True)
class Work:
    """Everything that the joints of a request come to, before a closure is looked at.

    ``opened_now`` are the tags of the cables in which they open a tube.
    """

    bundles: tuple[Bundle, ...]
    stored: tuple[StoredEnds, ...]
    lanes: tuple[Lanes, ...]
    notes: tuple[str, ...]
    opened_now: tuple[str, ...] = ()

    @property
    def splices(self) -> int:
        """How many sleeves the joints come to."""
        return sum(len(bundle.splices) for bundle in self.bundles)
