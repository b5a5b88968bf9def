"""Ports: an assignment exists exactly when a matching does, and is the best in the stated order."""

from __future__ import annotations

import itertools
import random
import time
from collections.abc import Sequence

import networkx as nx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linear_sum_assignment
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import maximum_bipartite_matching

from service.domain.catalogue import Port
from service.planning.port_matching import Group, Kind
from service.planning.port_search import allocate
from service.planning.ports import Entry, PortPlan, assign_ports
from tests.planning.entries import at_point, closure, port

_PORTS = st.lists(
    st.tuples(st.integers(1, 3), st.integers(5, 20), st.integers(0, 10), st.integers(1, 3)), min_size=1, max_size=3
).map(lambda rows: tuple(port(f"p{i}", n, low, low + span, k) for i, (n, low, span, k) in enumerate(rows)))
_CABLES = st.lists(st.tuples(st.integers(5, 25), st.booleans()), min_size=1, max_size=5).map(
    lambda rows: [at_point(chr(65 + i), float(od), express=express) for i, (od, express) in enumerate(rows)]
)


def _units(cables: Sequence[Entry]) -> list[int]:
    return [i for i, (at, _) in enumerate(cables) for _ in range(2 if at.express else 1)]


def _places(ports: Sequence[Port]) -> list[tuple[int, int]]:
    return [(t, n) for t, model in enumerate(ports) for n in range(model.count)]


def _takes(model: Port, od_mm: float) -> bool:
    return model.od_min_mm <= od_mm <= model.od_max_mm


def _matching_size(ports: Sequence[Port], cables: Sequence[Entry]) -> int:
    """The largest matching of cable entries to cable places, by NetworkX."""
    graph = nx.Graph()
    top = [("entry", u) for u in range(len(_units(cables)))]
    graph.add_nodes_from(top)
    for u, index in enumerate(_units(cables)):
        for t, n in _places(ports):
            for seat in range(ports[t].cables):
                if _takes(ports[t], cables[index][1].od_mm):
                    graph.add_edge(("entry", u), ("place", t, n, seat))
    return len(nx.bipartite.hopcroft_karp_matching(graph, top_nodes=top)) // 2


def _value(ports: Sequence[Port], held: dict[str, tuple[str, ...]]) -> tuple[int, float, int]:
    """(minus express cables in one port, sum of range widths, ports opened) of an assignment by place name."""
    ranges = {f"{model.name}-{n + 1}": model.od_max_mm - model.od_min_mm for model in ports for n in range(model.count)}
    together = sum(tags.count(tag) == 2 for tags in held.values() for tag in set(tags))
    return -together, sum(ranges[name] * len(tags) for name, tags in held.items()), sum(map(bool, held.values()))


def _told(plan: PortPlan) -> dict[str, tuple[str, ...]]:
    return {use.port: use.cables for use in plan.uses}


def _best_by_trial(ports: Sequence[Port], cables: Sequence[Entry]) -> tuple[int, float, int] | None:
    """The best value over every assignment of every entry to every place."""
    units, places = _units(cables), _places(ports)
    best = None
    for choice in itertools.product(range(len(places)), repeat=len(units)):
        load: dict[int, list[int]] = {}
        for u, place in enumerate(choice):
            load.setdefault(place, []).append(units[u])
        if any(
            len(held) > ports[places[place][0]].cables
            or any(not _takes(ports[places[place][0]], cables[i][1].od_mm) for i in held)
            for place, held in load.items()
        ):
            continue
        names = {
            f"{ports[places[place][0]].name}-{places[place][1] + 1}": tuple(cables[i][0].tag for i in held)
            for place, held in load.items()
        }
        value = _value(ports, names)
        best = value if best is None or value < best else best
    return best


def test_each_cable_goes_to_a_port_whose_range_takes_it() -> None:
    """Two cables in an oval and a drop in a round port; the unused places are blanks."""
    shell = closure(ports=(port("oval", 1, 15, 25, 2), port("round", 3, 5, 12)))
    plan = assign_ports(shell, [at_point("A", 20.0), at_point("B", 22.0), at_point("C", 8.0)])
    assert plan.fits
    assert _told(plan) == {"oval-1": ("A", "B"), "round-1": ("C",)}
    assert plan.uses[0].od_mm == (20.0, 22.0)
    assert plan.blanks == ("round-2", "round-3")


def test_the_ends_of_a_diameter_range_belong_to_it() -> None:
    """A range is inclusive at both ends, and a hundredth beyond it does not go in."""
    shell = closure(ports=(port("round", 1, 5.0, 12.0),))
    assert assign_ports(shell, [at_point("A", 5.0)]).fits
    assert assign_ports(shell, [at_point("A", 12.0)]).fits
    assert not assign_ports(shell, [at_point("A", 12.01)]).fits
    assert not assign_ports(shell, [at_point("A", 4.99)]).fits


def test_an_express_cable_enters_and_leaves_by_one_port_where_it_can() -> None:
    """It stands twice in that port, though two tighter single ports would take it."""
    shell = closure(ports=(port("round", 2, 18, 21), port("oval", 1, 10, 30, 2)))
    plan = assign_ports(shell, [at_point("A", 20.0, express=True)])
    assert _told(plan) == {"oval-1": ("A", "A")}


def test_an_express_cable_takes_two_ports_where_none_holds_both_ends() -> None:
    """Without a port for two, it enters by one and leaves by another."""
    plan = assign_ports(closure(ports=(port("round", 3, 10, 30),)), [at_point("A", 20.0, express=True)])
    assert _told(plan) == {"round-1": ("A",), "round-2": ("A",)}


def test_an_express_cable_gives_way_where_only_that_lets_all_cables_in() -> None:
    """The oval is the only port for the thick cable, so the express cable takes one of its places and a round one."""
    shell = closure(ports=(port("oval", 1, 10, 30, 2), port("round", 1, 10, 21)))
    plan = assign_ports(shell, [at_point("A", 20.0, express=True), at_point("B", 28.0)])
    assert plan.fits
    assert sorted(tag for tags in _told(plan).values() for tag in tags) == ["A", "A", "B"]
    assert "B" in _told(plan)["oval-1"]


def test_the_tightest_range_is_preferred() -> None:
    """A cable that two ports take goes to the one with the narrower range."""
    shell = closure(ports=(port("wide", 1, 5, 25), port("tight", 1, 18, 22)))
    assert _told(assign_ports(shell, [at_point("A")])) == {"tight-1": ("A",)}


def test_fewest_ports_are_opened_among_equal_ranges() -> None:
    """Two cables share one port for two rather than open two ports of the same range."""
    shell = closure(ports=(port("round", 2, 10, 20), port("oval", 1, 10, 20, 2)))
    assert _told(assign_ports(shell, [at_point("A", 15.0), at_point("B", 16.0)])) == {"oval-1": ("A", "B")}


def test_too_many_cables_are_named_with_their_diameters_and_the_places_there_are() -> None:
    """The reason counts only the crowded cables and the ports that take them."""
    shell = closure(ports=(port("big", 1, 15, 25), port("small", 4, 5, 12)))
    plan = assign_ports(shell, [at_point("A", 20.0), at_point("B", 18.0, express=True), at_point("C", 8.0)])
    assert not plan.fits and plan.uses == ()
    (reason,) = plan.reasons
    assert (reason.limit, reason.need, reason.have, reason.unit) == ("ports", 3, 1, "entries")
    assert reason.text == "cables A (20 mm), B (18 mm): 3 entries needed; the ports that take them have 1"


def test_a_cable_that_no_port_takes_is_told_with_nought_places() -> None:
    """A diameter outside every range needs one entry and has none."""
    plan = assign_ports(closure(ports=(port("small", 4, 5, 12),)), [at_point("A", 8.0), at_point("B", 30.0)])
    (reason,) = plan.reasons
    assert (reason.need, reason.have) == (1, 0)
    assert reason.text == "cable B (30 mm): 1 entry needed; no port takes that diameter"


def test_spare_entries_are_kept_exactly() -> None:
    """Two of four places used leave two spare: two may be asked for, three may not."""
    shell = closure(ports=(port("round", 4, 5, 25),))
    cables = [at_point("A"), at_point("B")]
    assert assign_ports(shell, cables, spare_entries=2).fits
    plan = assign_ports(shell, cables, spare_entries=3)
    (reason,) = plan.reasons
    assert (reason.limit, reason.need, reason.have) == ("entries", 3, 2)


@given(ports=_PORTS, cables=_CABLES)
@settings(max_examples=150, deadline=None)
def test_cables_fit_exactly_where_a_matching_exists(ports: tuple[Port, ...], cables: list[Entry]) -> None:
    """Against NetworkX: all fit when the largest matching places every entry, and the reason counts truly when not."""
    plan = assign_ports(closure(ports=ports), cables)
    size, entries = _matching_size(ports, cables), len(_units(cables))
    assert plan.fits == (size == entries)
    for reason in plan.reasons:
        crowd = [entry for entry in cables if f"{entry[0].tag} ({entry[1].od_mm:g} mm)" in reason.text]
        seats = sum(p.count * p.cables for p in ports if any(_takes(p, model.od_mm) for _, model in crowd))
        assert (reason.need, reason.have) == (len(_units(crowd)), seats)
        assert reason.need > reason.have


@given(ports=_PORTS, cables=_CABLES)
@settings(max_examples=150, deadline=None)
def test_an_assignment_is_a_true_one(ports: tuple[Port, ...], cables: list[Entry]) -> None:
    """Every entry is placed once, in a place that takes its diameter and has room; blanks are the places left."""
    plan = assign_ports(closure(ports=ports), cables)
    if not plan.fits:
        return
    model = {f"{p.name}-{n + 1}": p for p in ports for n in range(p.count)}
    diameters = {at.tag: of.od_mm for at, of in cables}
    for use in plan.uses:
        assert 0 < len(use.cables) <= model[use.port].cables
        assert use.od_mm == tuple(diameters[tag] for tag in use.cables)
        assert all(_takes(model[use.port], od) for od in use.od_mm)
    placed = sorted(tag for use in plan.uses for tag in use.cables)
    assert placed == sorted(cables[i][0].tag for i in _units(cables))
    assert sorted([*plan.blanks, *(use.port for use in plan.uses)]) == sorted(model)


@pytest.mark.parametrize("seed", range(60))
def test_no_assignment_is_better_than_the_one_given(seed: int) -> None:
    """Against every assignment of small cases: pairs kept together, then range widths, then ports opened."""
    draw = random.Random(seed)
    ports = tuple(
        port(f"p{t}", draw.randint(1, 2), low, low + draw.choice((4, 8, 8, 12)), draw.randint(1, 3))
        for t, low in enumerate(draw.choices((5, 8, 12), k=draw.randint(1, 3)))
    )
    cables = [
        at_point(chr(65 + i), float(draw.randint(6, 18)), express=draw.random() < 0.5)
        for i in range(draw.randint(1, 3))
    ]
    plan, best = assign_ports(closure(ports=ports), cables), _best_by_trial(ports, cables)
    assert plan.fits == (best is not None)
    if best is not None:
        assert _value(ports, _told(plan)) == best


@given(ports=_PORTS, cables=_CABLES)
@settings(max_examples=100, deadline=None)
def test_the_greedy_search_never_loses_a_cable(ports: tuple[Port, ...], cables: list[Entry]) -> None:
    """Given no steps at all, the search still places every entry where a matching exists, and beats no exact answer."""
    exact = assign_ports(closure(ports=ports), cables)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("service.planning.port_search._MOST_STEPS", 0)
        greedy = assign_ports(closure(ports=ports), cables)
    assert greedy.fits == exact.fits
    if exact.fits:
        assert sorted(tag for use in greedy.uses for tag in use.cables) == sorted(
            cables[i][0].tag for i in _units(cables)
        )
        assert _value(ports, _told(greedy)) >= _value(ports, _told(exact))


@pytest.mark.parametrize("seed", range(20))
def test_forty_ending_cables_get_the_tightest_ranges(seed: int) -> None:
    """Against SciPy's assignment over 40 ending cables: same feasibility, same least sum of range widths."""
    draw = random.Random(seed)
    ports = tuple(
        port(f"p{t}", draw.randint(2, 8), low, low + draw.randint(2, 12), draw.randint(1, 4))
        for t, low in enumerate((4, 6, 9, 12, 15))
    )
    cables = [at_point(f"c{i}", draw.randint(80, 240) / 10) for i in range(40)]
    seats = [p for p in ports for _ in range(p.count * p.cables)]
    cost = np.array([[p.od_max_mm - p.od_min_mm if _takes(p, c.od_mm) else 1e6 for p in seats] for _, c in cables])
    plan = assign_ports(closure(ports=ports), cables)
    graph = csr_matrix(cost < 1e6)
    assert plan.fits == bool((maximum_bipartite_matching(graph, perm_type="column") >= 0).all())
    if plan.fits:
        rows, columns = linear_sum_assignment(cost)
        assert _value(ports, _told(plan))[1] == pytest.approx(float(cost[rows, columns].sum()))


def test_beyond_the_step_limit_the_cables_still_go_in(monkeypatch: pytest.MonkeyPatch) -> None:
    """A search that is given up falls back on a matching: complete, if not the tidiest."""
    monkeypatch.setattr("service.planning.port_search._MOST_STEPS", 3)
    shell = closure(ports=(port("oval", 2, 10, 30, 2), port("round", 2, 10, 21), port("small", 2, 5, 19)))
    cables = [
        at_point("A", 20.0, express=True),
        at_point("B", 28.0),
        at_point("C", 18.0, express=True),
        at_point("D", 12.0),
    ]
    plan = assign_ports(shell, cables)
    assert plan.fits
    assert sorted(tag for use in plan.uses for tag in use.cables) == ["A", "A", "B", "C", "C", "D"]


def test_what_does_not_fit_is_refused_by_the_search_itself() -> None:
    """The search is only ever asked about cables that fit; three entries for two places are an error, not an answer."""
    with pytest.raises(ValueError, match="do not fit"):
        allocate([Kind(1, 2, 10)], [Group((0,), False, 3)])


def test_an_ordinary_closure_is_settled_in_a_moment() -> None:
    """A feeder that passes through, a branch and 24 drops: well under 50 ms even on a busy machine."""
    shell = closure(ports=(port("oval", 1, 10, 25, 2), port("round", 4, 8, 18), port("drop", 24, 3, 9)))
    cables = [at_point("F", 20.0, express=True), at_point("B", 12.0), *(at_point(f"d{i}", 5.0) for i in range(24))]
    started = time.perf_counter()
    plan = assign_ports(shell, cables)
    assert plan.fits and time.perf_counter() - started < 0.05
