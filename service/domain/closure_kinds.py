"""Few kinds of closure for a whole build: what each further restriction costs, and which models remain."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal, NamedTuple

KindsMeasure = Literal["price", "closure_price", "volume", "trays"]
"""What is added up over a build: price of closures and trays, price of closures alone, outer volume, or trays."""


class ModelShare(NamedTuple):
    """How many of the build's splice points a closure model takes, and what these points come to."""

    closure: str
    points: int
    total: Decimal


@dataclass(frozen=True, slots=True)
class KindsRow:
    """The best that at most ``most`` closure models can do for a build.

    ``unserved`` points are left without a closure: as few as can be, and that comes before the total. ``total`` is what
    the served points come to, in the unit of the table. ``above_best`` is what the restriction costs against each point
    in its own cheapest model; None where it leaves points unserved that some model takes, since the totals then stand
    for different points. ``optimal``: both the points unserved and the total are shown to be least; otherwise they are
    no less than the lower bounds (the total's stands for that many points unserved).
    """

    most: int
    shares: tuple[ModelShare, ...]
    unserved: int
    total: Decimal
    above_best: Decimal | None
    optimal: bool
    unserved_lower_bound: int
    total_lower_bound: Decimal

    @property
    def closures(self) -> tuple[str, ...]:
        """The models chosen, by code."""
        return tuple(share.closure for share in self.shares)


@dataclass(frozen=True, slots=True)
class ClosureKinds:
    """Few kinds of closure for a build of ``points`` splice points that come down to ``classes`` of equal ones.

    ``unfit`` points fit no model at all and are among the unserved of every row. ``free`` is each point in its own
    cheapest model; ``rows`` tell 1, 2, 3 ... models; ``chosen`` is the row that was asked for.
    """

    measure: KindsMeasure
    unit: str
    points: int
    classes: int
    unfit: int
    free: KindsRow
    rows: tuple[KindsRow, ...]
    chosen: KindsRow | None
    notes: tuple[str, ...] = ()
