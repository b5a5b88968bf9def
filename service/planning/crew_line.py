"""Who does what at a splice point, as a flow line, and how long that line takes by its mean times.

The stages of a splice are strip (dwell x repeats), clean and cleave, for both ends, then fuse, heat and lay. They are
shared out over stations. A lone technician is one station for all but the heating, which goes on by itself; so is
each of several where every one has a splicer. Otherwise some prepare ends while others fuse and lay in, divided so
that the slower of the two stations is as fast as can be. k people or heaters at a station divide its cycle by k, not
the time that one splice spends there. The first splice fills the line and the last one drains it.

Exact: for constant times and stations of one, n equal splices take ``(n - 1) max t + sum t``, and since that is linear
in n, the mean over remakes of one kind of splice is that of the mean number of attempts, N / (1 - p). For several kinds
the time is convex in the attempts, so the mean attempts give no more than the mean time; for a station of k hands the
cycle t / k gives up to ``(k - 1) / k t`` more than k hands who take the splices in turn.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from service.domain.catalogue import Method
from service.domain.request import Crew
from service.domain.rework import Rework
from service.planning.flow_line import blocks_s, surrogate_order
from service.planning.preparation import filled
from service.standards.methods import RIBBONISE_S

STAGES = ("ribbonise", "strip", "clean", "cleave", "fuse", "heat", "lay")
"""The stages of a splice in their order; ``ribbonise`` takes time only where loose fibres become a ribbon."""

PREPARE = ("ribbonise", "strip", "clean", "cleave")
JOIN = ("fuse", "lay")
HEAT = ("heat",)


@dataclass(frozen=True, slots=True)
class CrewLoad:
    """Equal splices by one method; ``rework``: the probability that a joint is made again, given or learned."""

    method: Method
    splices: int
    rework: Rework
    ribbonised_ends: int = 0


@dataclass(frozen=True, slots=True)
class Station:
    """Who does which stages, and by how many hands or machines at once."""

    stages: tuple[str, ...]
    number: int


def merged_loads(loads: Sequence[CrewLoad]) -> list[CrewLoad]:
    """The loads with splices, those of one method and rework as one."""
    merged: dict[tuple[Method, Rework], CrewLoad] = {}
    for load in loads:
        if load.splices > 0:
            key = (load.method, load.rework)
            before = merged.get(key, CrewLoad(load.method, 0, load.rework))
            ends = before.ribbonised_ends + load.ribbonised_ends
            merged[key] = CrewLoad(load.method, before.splices + load.splices, load.rework, ends)
    return list(merged.values())


def stage_s(load: CrewLoad) -> dict[str, float]:
    """Seconds of each stage of one splice, both ends together."""
    method = filled(load.method).method
    return {
        "ribbonise": RIBBONISE_S * load.ribbonised_ends / load.splices,
        "strip": 2 * (method.strip_dwell_s or 0.0) * (method.strip_repeats or 0),
        "clean": 2 * (method.clean_s or 0.0),
        "cleave": 2 * (method.cleave_s or 0.0),
        "fuse": method.fuse_s or 0.0,
        "heat": method.heat_s or 0.0,
        "lay": method.lay_s or 0.0,
    }


def line_of(crew: Crew, stages: Sequence[Mapping[str, float]], attempts: Sequence[float]) -> tuple[Station, ...]:
    """The stations of a crew, the heaters last; where the technicians can be divided, the division that ends first."""
    people, splicers = max(1, crew.technicians), max(1, crew.splicers)
    heat = Station(HEAT, max(1, crew.heaters))
    if people <= splicers:
        return Station((*PREPARE, *JOIN), people), heat
    lines = [(Station(PREPARE, people - joining), Station(JOIN, joining), heat) for joining in range(1, splicers + 1)]
    return min(lines, key=lambda line: (line_s(line, stages, attempts), line[1].number))


def _cycle_s(station: Station, stages: Mapping[str, float]) -> float:
    return sum(stages[name] for name in station.stages) / station.number


def order_of(line: Sequence[Station], stages: Sequence[Mapping[str, float]]) -> tuple[int, ...]:
    """The order in which the line works the kinds of splice, by their indices."""
    return surrogate_order([[_cycle_s(station, of) for station in line] for of in stages])


def line_s(line: Sequence[Station], stages: Sequence[Mapping[str, float]], attempts: Sequence[float]) -> float:
    """The line's time in station cycles, and what the last splice spends at its stations beyond their cycles."""
    cycles = [[_cycle_s(station, of) for station in line] for of in stages]
    order = surrogate_order(cycles)
    if not order:
        return 0.0
    drain = sum(stages[order[-1]].values()) - sum(cycles[order[-1]])
    return blocks_s([(cycles[i], attempts[i]) for i in order]) + drain


def bottleneck_of(line: Sequence[Station], stages: Sequence[Mapping[str, float]], attempts: Sequence[float]) -> str:
    """The longest stage of the busiest station, over all attempts; empty where there is nothing to do."""
    spent = {name: sum(of[name] * n for of, n in zip(stages, attempts, strict=True)) for name in STAGES}
    if not any(spent.values()):
        return ""
    busiest = max(line, key=lambda station: sum(spent[name] for name in station.stages) / station.number)
    return max((name for name in STAGES if name in busiest.stages), key=lambda name: spent[name])
