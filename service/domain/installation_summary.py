"""What lists say of a hung closure, and what a plan into one was made for."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from service.domain.installation import Contents, Installation


@dataclass(frozen=True, slots=True)
class InstallationSummary:
    """A hung closure in a list; ``latitude`` and ``longitude`` in degrees (WGS 84) where they are known."""

    id: str
    created: datetime
    name: str
    place: str
    latitude: float | None
    longitude: float | None
    hung: date
    closure: str
    cables: int
    trays: int
    splices: int
    visits: int
    revision: int


@dataclass(frozen=True, slots=True)
class PlannedFor:
    """The hung closure that a plan adds to, and the ``revision`` that it had then, or when the plan was carried out.

    ``visit`` is the number of the visit that recorded the plan as done, None for a plan that nobody has carried out.
    """

    installation: str
    revision: int
    visit: int | None = None

    @property
    def revision_now(self) -> int:
        """The revision that the plan left: the one it was planned for, or the next one where a visit recorded it."""
        return self.revision if self.visit is None else self.revision + 1


def summary_of(installation: Installation) -> InstallationSummary:
    """What a list says of an installation."""
    place, contents = installation.place, installation.contents
    return InstallationSummary(
        id=installation.id,
        created=installation.created,
        name=place.name,
        place=place.place,
        latitude=place.latitude,
        longitude=place.longitude,
        hung=installation.hung,
        closure=contents.closure,
        cables=len(contents.cables),
        trays=len(contents.trays),
        splices=len(contents.splices),
        visits=contents.visits,
        revision=installation.revision,
    )


def entries_in(contents: Contents) -> frozenset[str]:
    """The catalogue entries ("kind/code") of which something hangs there."""
    return frozenset(
        {f"closures/{contents.closure}"}
        | {f"trays/{tray.tray}" for tray in contents.trays}
        | {f"cables/{cable.cable}" for cable in contents.cables}
        | {f"sleeves/{splice.sleeve}" for splice in contents.splices}
    )
