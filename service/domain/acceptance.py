"""Whether splices are good enough: the limits that are asked for, and the verdict. Losses in dB, wavelengths in nm."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

Basis = Literal["two_way", "measured", "one_way", "estimated"]
"""What a judged loss rests on: the mean of both directions, one that has no direction, one direction, an estimate."""


@dataclass(frozen=True, slots=True)
class Limits:
    """The most that a splice may lose. A limit that is None is not set, and nothing is judged by it.

    ``splice_db`` is of each fibre, both directions averaged; ``one_way_db`` stands in for it where one direction alone
    was measured, ``at_nm`` at some wavelengths; where both do, the lower counts. ``ribbon_mean_db`` is of the mean over
    a ribbon's fibres.
    """

    splice_db: float | None = None
    one_way_db: float | None = None
    ribbon_mean_db: float | None = None
    at_nm: Mapping[int, float] = field(default_factory=dict)


class FibreVerdict(NamedTuple):
    """The loss of one fibre at one wavelength, judged; ``fibre`` None: of the splice as a whole.

    ``limit_db`` and ``good`` are None where no limit applies.
    """

    fibre: int | None
    wavelength_nm: int | None
    loss_db: float
    basis: Basis
    limit_db: float | None
    good: bool | None


class MeanVerdict(NamedTuple):
    """The mean loss over a ribbon's fibres at one wavelength, judged; ``fibres``: of how many figures."""

    wavelength_nm: int | None
    fibres: int
    mean_db: float
    limit_db: float
    good: bool


@dataclass(frozen=True, slots=True)
class SpliceVerdict:
    """One splice, judged; ``good`` None: nothing of it could be. ``failing`` names its fibres over their limit."""

    splice: int
    good: bool | None
    fibres: tuple[FibreVerdict, ...]
    means: tuple[MeanVerdict, ...]
    failing: tuple[int, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ClosureVerdict:
    """All splices of a closure, judged.

    ``good``: every splice that is there was judged and is good; None where none fails, but not all could be judged.
    ``failing`` are the numbers of splices that fail, ``unjudged`` of those without a figure that a limit applies to.
    """

    good: bool | None
    splices: tuple[SpliceVerdict, ...]
    failing: tuple[int, ...]
    unjudged: tuple[int, ...]
    notes: tuple[str, ...]
