"""Parts of the work: some splices of each bundle, and what is then left over."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from service.domain.refusal import LeftOver
from service.domain.splices import Bundle, Work
from service.planning.mending.named import numbers_of

Part = tuple[int, ...]
"""How many splices of each bundle, its first ones, are in the part."""


def part_of(work: Work, part: Part) -> Work:
    """The work of a part; parked ends stay as they are."""
    bundles = tuple(
        bundle if count == len(bundle.splices) else replace(bundle, splices=bundle.splices[:count])
        for bundle, count in zip(work.bundles, part, strict=True)
        if count
    )
    return replace(work, bundles=bundles)


def without_cables(work: Work, tags: frozenset[str]) -> tuple[Work, list[int]]:
    """The work without what touches some cables, and the places in the whole work of the bundles that stay."""
    stay = [place for place, bundle in enumerate(work.bundles) if not tags & {bundle.from_cable, bundle.to_cable}]
    return (
        replace(
            work,
            bundles=tuple(work.bundles[place] for place in stay),
            stored=tuple(ends for ends in work.stored if ends.cable not in tags),
            lanes=tuple(lanes for lanes in work.lanes if lanes.cable not in tags),
        ),
        stay,
    )


def left_over(bundles: Sequence[Bundle], part: Part) -> tuple[LeftOver, ...]:
    """What of each bundle is not in a part, in the order of the bundles."""
    left = []
    for place, (bundle, count) in enumerate(zip(bundles, part, strict=True)):
        rest = bundle.splices[count:]
        if rest:
            left.append(
                LeftOver(
                    bundle=place + 1,
                    joint=bundle.joint,
                    splices=len(rest),
                    of=len(bundle.splices),
                    form=bundle.form,
                    fibres=bundle.fibres,
                    keep_apart=bundle.label,
                    from_cable=bundle.from_cable,
                    from_tube=bundle.from_tube,
                    from_range=numbers_of([splice.from_ for splice in rest], bundle.form),
                    to_cable=bundle.to_cable,
                    to_tube=bundle.to_tube,
                    to_range=numbers_of([splice.to for splice in rest], bundle.form),
                )
            )
    return tuple(left)
