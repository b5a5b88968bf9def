"""What whole-number prices prove: needs that every mix must meet, and mixes that have no room."""

from __future__ import annotations

from service.planning.packing.mixes import Mix
from service.planning.packing.needs import Need
from service.planning.packing.patterns.model import Model
from service.planning.packing.patterns.prices import Prices
from service.planning.packing.patterns.pricing import Verdict


def need_of(model: Model, prices: Prices, verdict: Verdict, name: str) -> Need:
    """The need that the prices make: any mix that holds all gives so much of it.

    The trays of a packing weigh ``gives`` at most each and ``amount`` at least together. Trays that can be added later
    take up what is left of the stack and of the most of their kind, which makes the trays of the mix weigh less. With
    tolls it holds for the packings that keep to the limits.
    """
    case = model.case
    first = case.bought_from
    amount = verdict.amount - prices.allowance
    amount -= sum([len(berth.hanging) * give for berth, give in zip(case.berths[:first], verdict.gives, strict=False)])
    gives = list(verdict.gives[first:])
    if model.later:
        amount += prices.spare * case.spare - prices.stack * case.room
        for b, berth in enumerate(case.berths[first:]):
            worth = max([sum([g * q for g, q in zip(given, prices.later, strict=True)]) for given in berth.settings])
            over = max(0, worth + prices.spare - prices.stack * berth.pitch)
            gives[b] -= over + prices.stack * berth.pitch
            amount -= over * berth.most
    return Need(name, amount, tuple(gives))


def has_no_room(need: Need, mix: Mix) -> bool:
    """Whether a mix gives too little."""
    return sum([n * g for n, g in zip(mix, need.gives, strict=True)]) < need.amount
