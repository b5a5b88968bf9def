"""What crews write down of splices: losses, and how often a joint was made again. Losses in dB, wavelengths in nm."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal, NamedTuple

from service.domain.rework import SpliceForm

Direction = Literal["a_to_b", "b_to_a"]
"""Which way an OTDR looked through a splice: ``a`` is the side that the plan joins ``from``, ``b`` the other."""


class Loss(NamedTuple):
    """One figure of a splice's loss; negative where an OTDR sees a gain.

    ``fibre`` counts from 1 within the splice; None: the figure is of the splice as a whole. ``estimated`` is what the
    splicer shows after fusing, ``measured`` anything else. ``wavelength_nm`` None: not told, as of an estimate.
    """

    fibre: int | None
    loss_db: float
    kind: Literal["measured", "estimated"] = "measured"
    wavelength_nm: int | None = None
    direction: Direction | None = None


@dataclass(frozen=True, slots=True)
class SpliceRecord:
    """What was written down of one splice of a hung closure; a later record of a splice stands in its place.

    ``remakes`` counts all times that the joint was made again, ``remakes_after_shrinking`` those that cost the sleeve
    (None: every one is taken to). ``fibres`` is how many the splice joins.
    """

    installation: str
    splice: int
    form: SpliceForm
    fibres: int
    remakes: int
    when: datetime
    who: str = ""
    note: str = ""
    remakes_after_shrinking: int | None = None
    measurements: tuple[Loss, ...] = ()

    @property
    def sleeves_lost(self) -> int:
        """The remakes that cost the sleeve."""
        return self.remakes if self.remakes_after_shrinking is None else self.remakes_after_shrinking


class Tally(NamedTuple):
    """All records of one form: so many good joints, and the remakes that they took."""

    form: SpliceForm
    joints: int
    remakes: int
    remakes_after_shrinking: int


class RecordedRate(NamedTuple):
    """A remake rate as a plan used it: what was recorded, and the mean and central 90 % interval that follow.

    ``prior`` and ``prior_joints`` are what was known before any record, of the splices' method.
    """

    form: SpliceForm
    joints: int
    remakes: int
    remakes_after_shrinking: int
    prior: float
    prior_joints: int
    rate: float
    low: float
    high: float
