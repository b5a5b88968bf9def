"""The evidence that comes with a packing, against trying every mix of trays."""

from __future__ import annotations

from service.planning.packing import Item, Problem, TrayKind, solve
from tests.planning.packing.brute import all_given, mixes
from tests.planning.packing.cases import FAMILIES, realistic, tiny


def most_slots(problem: Problem, slot_kind: int, cost: int) -> int:
    """The most slots of a kind that any mix below that cost gives."""
    each = [max(given[slot_kind] for given in all_given(problem, k, None)) for k in range(len(problem.kinds))]
    return max(
        (sum(n * slots for n, slots in zip(counts, each, strict=True)) for c, _, counts in mixes(problem) if c < cost),
        default=0,
    )


def test_slots_named_as_the_bound_are_needed_and_no_cheaper_mix_gives_them() -> None:
    """Where slots of one kind closed the cost, what is needed is counted right and no cheaper mix gives as much."""
    seen = 0
    for seed in range(60_000, 60_600):
        problem = tiny(seed)
        packing = solve(problem)
        if problem.hanging or not packing.fits or packing.bounds is None:
            continue
        for evidence in packing.evidence:
            if evidence.value != "cost" or not evidence.bound.startswith("slots of kind ") or "," in evidence.bound:
                continue
            slot_kind = int(evidence.bound.removeprefix("slots of kind "))
            wanted = sum(item.size * item.slots for item in problem.items if item.slot_kind == slot_kind)
            if problem.reserve_in == "trays" and problem.reserve:
                wanted += problem.reserve[slot_kind]
            seen += 1
            assert evidence.needed == wanted, f"seed {seed}"
            assert most_slots(problem, slot_kind, packing.bounds.cost) <= (evidence.most or 0) < wanted, f"seed {seed}"
    assert seen > 40


def test_every_proven_value_has_its_evidence() -> None:
    """A proven packing names a bound for cost, height, trays opened and pieces; one that does not fit names one."""
    for family in FAMILIES:
        if family == "extreme":
            continue
        for seed in range(8):
            packing = solve(realistic(family, seed))
            if packing.fits is False:
                assert [evidence.value for evidence in packing.evidence] == ["fit"]
            elif packing.bounds is not None and packing.bounds.optimal:
                assert [evidence.value for evidence in packing.evidence] == ["cost", "height", "opened", "pieces"]
                assert all(e.most is None or (e.needed or 0) > e.most for e in packing.evidence)


def test_the_method_says_the_bound_with_its_figures() -> None:
    """Three bundles of ten in trays of 24: 30 slots are needed and one tray gives 24."""
    kind = TrayKind(pitch=10, most=4, banks=((12,), (12,)))
    packing = solve(Problem(1, (kind,), 60, (Item(0, 10, (0,)),) * 3))
    assert packing.method.startswith("cost: slots of kind 0 (needed 30, at most 24 with less); height: ")


def test_labels_are_named_where_they_decide() -> None:
    """Three small bundles of three labels need three trays, though the slots of one would do."""
    kind = TrayKind(pitch=10, most=4, banks=((12,), (12,)))
    packing = solve(Problem(1, (kind,), 60, tuple(Item(0, 2, (0,), label) for label in range(3))))
    cost = packing.evidence[0]
    assert (cost.bound, cost.needed, cost.most) == ("trays for the labels", 3, 2)


def test_splices_that_fill_a_channel_alone_are_counted_whole() -> None:
    """Two splices of 6 do not share a channel of 10, so eleven of them need eleven trays, whatever the sum says."""
    kind = TrayKind(pitch=10, most=20, banks=((12,),), storage=10)
    packing = solve(Problem(1, (kind,), 400, (Item(0, 11, (6,)),)))
    assert packing.bounds is not None and packing.bounds.cost == 11 and packing.bounds.optimal
    assert packing.evidence[0].bound == "whole splices that a channel takes"
