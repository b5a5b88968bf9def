"""What must hold of every packing, whatever the problem."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from service.planning.packing import Problem, solve
from tests.planning.packing.cases import FAMILIES, realistic, tiny
from tests.planning.packing.check import faults

problems = st.one_of(
    st.integers(0, 10**9).map(tiny),
    st.tuples(
        st.sampled_from([f for f in FAMILIES if f not in ("extreme", "hub", "tight")]), st.integers(0, 10**6)
    ).map(lambda pair: realistic(*pair)),
)
LIMIT = 4_000
quick = settings(max_examples=150, deadline=None, derandomize=True)


@quick
@given(problems)
def test_every_packing_keeps_every_rule(problem: Problem) -> None:
    """Every splice lies in one slot exactly, and stack, counts, storage, labels, splits and reserve are kept."""
    packing = solve(problem, LIMIT)
    if packing.fits:
        assert faults(problem, packing) == []


@quick
@given(problems)
def test_the_same_problem_gives_the_same_packing(problem: Problem) -> None:
    """Nothing but the problem decides: two runs give equal answers."""
    assert solve(problem, LIMIT) == solve(replace(problem), LIMIT)


@quick
@given(problems, st.integers(0, 10**6))
def test_the_order_of_the_items_changes_no_value(problem: Problem, seed: int) -> None:
    """Shuffled items give the same verdict and the same four values wherever both are proven."""
    items = list(problem.items)
    Random(seed).shuffle(items)
    one, other = solve(problem, LIMIT), solve(replace(problem, items=tuple(items)), LIMIT)
    assume(one.fits is not None and other.fits is not None)
    assert one.fits == other.fits
    if one.bounds and other.bounds and one.bounds.optimal and other.bounds.optimal:
        assert one.bounds == other.bounds


@quick
@given(problems, st.data())
def test_a_splice_more_never_costs_less(problem: Problem, data: st.DataObject) -> None:
    """One splice more of a bundle never lowers the proven cost where no bundle becomes divisible by it.

    Under ``oversize`` a bundle that grows past the largest tray may be split, which can save trays; so the claim is
    made for ``never`` and ``free`` alone.
    """
    assume(problem.items and problem.split != "oversize")
    number = data.draw(st.integers(0, len(problem.items) - 1))
    item = problem.items[number]
    larger = (*problem.items[:number], replace(item, size=item.size + 1), *problem.items[number + 1 :])
    less, more = solve(problem, LIMIT), solve(replace(problem, items=larger), LIMIT)
    if more.fits and more.bounds:
        assert less.fits is not False
        assert less.bounds is None or less.bounds.cost_bound <= more.bounds.cost
    if less.fits is False:
        assert not more.fits


@quick
@given(problems, st.data())
def test_a_tray_kind_less_never_helps(problem: Problem, data: st.DataObject) -> None:
    """Without one of its tray kinds a closure holds no more and costs no less (splits as above)."""
    assume(len(problem.kinds) > 1 and problem.split != "oversize")
    gone = data.draw(st.integers(0, len(problem.kinds) - 1))
    hung = sum(1 for tray in problem.hanging if tray.kind == gone)
    kinds = tuple(replace(k, most=hung) if n == gone else k for n, k in enumerate(problem.kinds))
    assume(hung <= problem.kinds[gone].most)
    all_kinds, fewer = solve(problem, LIMIT), solve(replace(problem, kinds=kinds), LIMIT)
    if fewer.fits and fewer.bounds:
        assert all_kinds.fits is not False
        assert all_kinds.bounds is None or all_kinds.bounds.cost_bound <= fewer.bounds.cost
