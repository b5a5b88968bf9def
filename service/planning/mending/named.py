"""Bundles by the names that a crew knows them by."""

from __future__ import annotations

from collections.abc import Sequence

from service.documents.ranges import format_ranges
from service.domain.splices import Bundle, RibbonEnd, Splice


def numbers_of(ends: Sequence[RibbonEnd], form: str) -> str:
    """The ribbons (or fibres) of some ends, in order, as range text; halves of a split ribbon count once."""
    runs: list[tuple[int, int]] = []
    for end in ends:
        number = end.ribbon if form == "ribbon" or end.fibre is None else end.fibre
        if runs and runs[-1][1] == number:
            continue
        if runs and runs[-1][1] == number - 1:
            runs[-1] = (runs[-1][0], number)
        else:
            runs.append((number, number))
    return format_ranges(tuple(runs))


def ends_named(bundle: Bundle, splices: Sequence[Splice]) -> str:
    """Some of a bundle's splices by the ends that they join.

    For instance ``ribbons 13-18 of A (tube 2) to 1-6 of B (tube 1)``.
    """
    what = "ribbon" if bundle.form == "ribbon" else "fibre"
    from_ = numbers_of([splice.from_ for splice in splices], bundle.form)
    to = numbers_of([splice.to for splice in splices], bundle.form)
    plural = "" if from_.isdecimal() else "s"
    return (
        f"{what}{plural} {from_} of {bundle.from_cable}{_tube(bundle.from_tube)} "
        f"to {to} of {bundle.to_cable}{_tube(bundle.to_tube)}"
    )


def _tube(tube: int) -> str:
    return f" (tube {tube})" if tube else ""
