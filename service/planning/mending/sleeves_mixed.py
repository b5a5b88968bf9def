"""Some splices in a larger sleeve, where slots of its kind are free and those of the chosen one are not."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import NamedTuple

from service.domain.catalogue import Sleeve
from service.domain.refusal import Remedy
from service.domain.splices import Bundle, Work
from service.planning.demand import Demand
from service.planning.mending.costing import sleeves_cost
from service.planning.mending.divisible import may_be_divided
from service.planning.mending.trial import Trial
from service.planning.sleeves import choose_sleeve

CUTS_MOST = 24
"""How many numbers of splices are tried for each sleeve."""


class Swap(NamedTuple):
    """The work with some splices, those of whole bundles or of parts of bundles, in another sleeve."""

    work: Work
    sleeves: Mapping[int, Sleeve]
    splices: int


def larger_sleeves(trial: Trial, demand: Demand) -> Iterator[Remedy]:
    """For a sleeve in use: the next class in slots of another kind, and the fewest splices found that must take it.

    A bundle takes the other sleeve whole, unless it may be divided. ``demand`` is what the work puts to the closure.
    """
    if demand.problem is None:
        return
    best: tuple[int, Sleeve, Sleeve] | None = None
    for chosen in dict.fromkeys(demand.sleeves):
        other = _next_class(trial, demand, chosen)
        if other is None:
            continue
        splices = _fewest_moved(trial, demand, chosen, other)
        if splices is not None and (best is None or splices < best[0]):
            best = (splices, chosen, other)
    if best is not None:
        splices, chosen, other = best
        cost, currency = sleeves_cost(other, chosen, splices)
        some = "one splice" if splices == 1 else f"{splices} splices"
        text = (
            f"lay {some} in sleeve {other.code} ({other.slot_kind} slots) instead of {chosen.code} "
            f"({chosen.slot_kind} slots)"
        )
        yield Remedy("sleeve", other.code, True, text, (chosen.code, other.code), splices, cost, currency, True)


def _next_class(trial: Trial, demand: Demand, chosen: Sleeve) -> Sleeve | None:
    """The smallest sleeve in slots of another kind that takes as many fibres and covers every bundle of the sleeve."""
    pairings = [
        trial.stowage.pairing(bundle)
        for bundle, sleeve in zip(trial.work.bundles, demand.sleeves, strict=True)
        if sleeve is chosen
    ]
    others = [sleeve for sleeve in trial.catalogue.sleeves.values() if sleeve.slot_kind != chosen.slot_kind]
    return choose_sleeve(
        chosen.form,
        chosen.fibres,
        max(pairing.cleave_length_mm for pairing in pairings),
        trial.request.rules.overlap_mm,
        others,
        demand.trays,
    ).sleeve


def _fewest_moved(trial: Trial, demand: Demand, chosen: Sleeve, other: Sleeve) -> int | None:
    """The fewest splices, of those numbers that were tried, with which it fits; None where none was found.

    The last bundles take the other sleeve first, then the smallest first.
    """
    places = [place for place, sleeve in enumerate(demand.sleeves) if sleeve is chosen]
    bundles = trial.work.bundles
    orders = [places[::-1], sorted(places, key=lambda place: (len(bundles[place].splices), -place))]
    best: int | None = None
    for order in orders:
        for swap in _swaps(trial, demand, order, other):
            if best is not None and swap.splices >= best:
                break
            if trial.fits(work=swap.work, sleeves=swap.sleeves):
                best = swap.splices
                break
    return best


def _swaps(trial: Trial, demand: Demand, order: list[int], other: Sleeve) -> Iterator[Swap]:
    """Swaps of more and more splices along an order of bundles."""
    bundles = trial.work.bundles
    counts: list[int] = []
    total = 0
    for place in order:
        size = len(bundles[place].splices)
        counts.extend(range(total + 1, total + size) if may_be_divided(demand, place) else ())
        total += size
        counts.append(total)
    step = -(-len(counts) // CUTS_MOST)
    for count in counts[step - 1 :: step]:
        yield _swap(trial.work, order, count, other)


def _swap(work: Work, order: list[int], count: int, other: Sleeve) -> Swap:
    moved: dict[int, int] = {}
    left = count
    for place in order:
        moved[place] = min(left, len(work.bundles[place].splices))
        left -= moved[place]
    bundles: list[Bundle] = []
    sleeves: dict[int, Sleeve] = {}
    for place, bundle in enumerate(work.bundles):
        stays = len(bundle.splices) - moved.get(place, 0)
        if stays:
            bundles.append(replace(bundle, splices=bundle.splices[:stays]))
        if stays < len(bundle.splices):
            sleeves[len(bundles)] = other
            bundles.append(replace(bundle, splices=bundle.splices[stays:]))
    return Swap(replace(work, bundles=tuple(bundles)), sleeves, count)
