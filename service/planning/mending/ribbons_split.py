"""Ribbons of 24 as two twelves, where no slot takes the sleeve of a 24."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from service.domain.refusal import Remedy
from service.domain.request import Joint
from service.planning.joints import work_of
from service.planning.mending.trial import Trial


def ribbons_split(trial: Trial) -> Iterator[Remedy]:
    """Every joint of ribbons of 24 to ribbons of 24 spliced as twelves; twice as many splices."""
    request = trial.request
    places = [place for place, joint in enumerate(request.joints) if _of_24(trial, joint)]
    if not places:
        return
    joints = tuple(
        replace(joint, split_ribbons=True) if place in places else joint for place, joint in enumerate(request.joints)
    )
    split = work_of(replace(request, joints=joints), trial.catalogue)
    if trial.fits(work=split):
        named = tuple(f"/joints/{place}" for place in places)
        text = f"split the ribbons of 24 into two twelves each (split_ribbons): {split.splices} splices instead of "
        yield Remedy("split_ribbons", "12", True, f"{text}{trial.work.splices}", named, split.splices)


def _of_24(trial: Trial, joint: Joint) -> bool:
    cables = [trial.stowage.cable(side.cable) for side in (joint.from_, joint.to)]
    by_ribbon = joint.from_.ribbons is not None and not joint.split_ribbons
    return by_ribbon and all(cable.ribbon_fibres == 24 for cable in cables)
