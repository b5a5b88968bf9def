"""The mixes of trays and the measures that rule mixes out."""

from __future__ import annotations

from service.planning.packing.budget import Budget
from service.planning.packing.covers import MOST_LOOKS, covers_of
from service.planning.packing.duals import plain_label_needs, tuned_label_needs
from service.planning.packing.lots import lots_for_room
from service.planning.packing.measures import measures_of
from service.planning.packing.mixes import mixes
from service.planning.packing.needs import needs_of, sharp_needs, within
from service.planning.packing.reading import read
from service.planning.packing.sharp import sharp_measures
from tests.planning.packing.brute import best_in_mix, largest_part
from tests.planning.packing.brute import mixes as every_mix
from tests.planning.packing.cases import tiny


def test_mixes_come_in_the_order_of_the_objective_and_none_that_holds_all_is_missing() -> None:
    """Weights never fall, no mix comes twice, and every mix that takes all items by trial is among them.

    The sharper measures rule out none of these either.
    """
    held = 0
    for seed in range(40_000, 40_250):
        problem = tiny(seed)
        case = read(problem)
        if case.impossible:
            continue
        measures = measures_of(case)
        needs = needs_of(case, measures)
        listed = list(mixes(case, needs, Budget(100_000)))
        weights = [weight for weight, _ in listed]
        assert weights == sorted(weights)
        assert len({mix for _, mix in listed}) == len(listed)
        kinds = [berth.kind for berth in case.berths[case.bought_from :]]
        known = {mix for _, mix in listed}
        lots = lots_for_room(case)
        sharper = sharp_needs(case, lots, sharp_measures(case, lots))
        # Also where labels are many: what is not looked at any more is counted as one tray, which rules out nothing.
        for looks in (MOST_LOOKS, 12):
            covers = covers_of(case, lots, Budget(1_000), looks)
            if covers is None:
                continue
            sharper += plain_label_needs(case, measures, covers)
            sharper += tuned_label_needs(case, covers, [*needs, *sharper])
        divisible = [
            item.loose
            or problem.split == "free"
            or (problem.split == "oversize" and item.size > largest_part(problem, number))
            for number, item in enumerate(problem.items)
        ]
        for _, _, counts in every_mix(problem)[:12]:
            if best_in_mix(problem, counts, divisible) is not None:
                held += 1
                mix = tuple(counts[kind] for kind in kinds)
                assert mix in known, f"seed {seed}"
                assert within(sharper, mix), f"seed {seed}"
    assert held > 100
