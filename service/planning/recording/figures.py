"""The losses of a record brought to one figure a fibre and wavelength: directions averaged, estimates last."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import NamedTuple

from service.domain.acceptance import Basis
from service.domain.records import Direction, Loss
from service.planning.slack import exact


class Figure(NamedTuple):
    """The loss of one fibre (None: of the splice as a whole) at one wavelength, exact as the decimals written down."""

    fibre: int | None
    wavelength_nm: int | None
    loss_db: Fraction
    basis: Basis


def figures_of(losses: Iterable[Loss]) -> tuple[Figure, ...]:
    """One figure for each fibre and wavelength, by fibre and wavelength; the last of equal measurements counts.

    Both directions are averaged with their signs: one way alone an OTDR sees the change of mode field as loss or gain,
    which cancels in the mean. One direction alone stands only where nothing else was measured. An estimate stands only
    for a fibre of which nothing was measured at any wavelength.
    """
    measured: dict[tuple[int | None, int | None], dict[Direction | None, Fraction]] = {}
    estimated: dict[tuple[int | None, int | None], Fraction] = {}
    for loss in losses:
        key, figure = (loss.fibre, loss.wavelength_nm), exact(loss.loss_db)
        if loss.kind == "measured":
            measured.setdefault(key, {})[loss.direction] = figure
        else:
            estimated[key] = figure
    known = {fibre for fibre, _ in measured}
    found = [Figure(*key, *_averaged(by_direction)) for key, by_direction in measured.items()]
    found += [Figure(*key, figure, "estimated") for key, figure in estimated.items() if key[0] not in known]
    return tuple(sorted(found, key=lambda each: (each.fibre or 0, each.wavelength_nm or 0)))


def _averaged(by_direction: dict[Direction | None, Fraction]) -> tuple[Fraction, Basis]:
    one, other = by_direction.get("a_to_b"), by_direction.get("b_to_a")
    if one is not None and other is not None:
        return (one + other) / 2, "two_way"
    if None in by_direction:
        return by_direction[None], "measured"
    return next(iter(by_direction.values())), "one_way"
