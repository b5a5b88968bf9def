"""How long a crew takes at a splice point: a flow line of people and machines, plus set-up, cables and closing.

The stages of a splice are strip (dwell x repeats), clean and cleave, for both ends, then fuse, heat and lay. They are
shared out over stations. A lone technician is one station for all but the heating, which goes on by itself; so is
each of several where every one has a splicer. Otherwise some prepare ends while others fuse and lay in, divided so
that the slower of the two stations is as fast as can be. k people or heaters at a station divide its cycle by k, not
the time that one splice spends there. The first splice fills the line and the last one drains it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from service.domain.catalogue import Method
from service.domain.plan import CrewTime
from service.domain.request import Crew
from service.domain.rework import Learned, Rework, mean_rate
from service.planning.flow_line import blocks_s, surrogate_order
from service.planning.preparation import filled
from service.planning.spares import remakes_within
from service.standards.methods import RIBBONISE_S

STAGES = ("ribbonise", "strip", "clean", "cleave", "fuse", "heat", "lay")
"""The stages of a splice in their order; ``ribbonise`` takes time only where loose fibres become a ribbon."""

_PREPARE = ("ribbonise", "strip", "clean", "cleave")
_JOIN = ("fuse", "lay")
_LATE = 0.90


@dataclass(frozen=True, slots=True)
class CrewLoad:
    """Equal splices by one method; ``rework``: the probability that a joint is made again, given or learned."""

    method: Method
    splices: int
    rework: Rework
    ribbonised_ends: int = 0


@dataclass(frozen=True, slots=True)
class _Station:
    """Who does which stages, and by how many hands or machines at once."""

    stages: tuple[str, ...]
    number: int


def crew_time(crew: Crew, loads: Sequence[CrewLoad], cables: int) -> CrewTime:
    """Hours in the middle case and at 90 %, whether the latter fits the window, and the slowest stage.

    The middle case counts the expected attempts, N / (1 - p), a learned p at its mean; the 90 % figure counts as many
    remakes as are not exceeded in nine cases of ten (negative binomial, pooled; what is not known of a learned p makes
    them more), shared out over the kinds of splice as expected, and never fewer than the expected ones. A remake takes
    a whole round of stages.
    """
    worked = _merged(loads)
    stages = [_stage_s(load) for load in worked]
    rates = [mean_rate(load.rework) for load in worked]
    expected = [load.splices * rate / (1 - rate) for load, rate in zip(worked, rates, strict=True)]
    late = _late_remakes(worked, expected)
    middle_attempts = [load.splices + extra for load, extra in zip(worked, expected, strict=True)]
    late_attempts = [load.splices + extra for load, extra in zip(worked, late, strict=True)]
    line = _line(crew, stages, middle_attempts)
    fixed_h = (crew.setup_min + cables * crew.cable_prep_min + crew.closing_min) / 60
    median = fixed_h + _line_s(line, stages, middle_attempts) / 3600
    ninety = fixed_h + _line_s(line, stages, late_attempts) / 3600
    return CrewTime(
        hours_median=median,
        hours_90=ninety,
        fits_window=None if crew.window_h is None else ninety <= crew.window_h,
        bottleneck=_bottleneck(line, stages, middle_attempts) or ("cable preparation" if cables else "set-up"),
        assumptions=_assumptions(crew, line, worked),
    )


def _merged(loads: Sequence[CrewLoad]) -> list[CrewLoad]:
    """The loads with splices, those of one method and rework as one."""
    merged: dict[tuple[Method, Rework], CrewLoad] = {}
    for load in loads:
        if load.splices > 0:
            key = (load.method, load.rework)
            before = merged.get(key, CrewLoad(load.method, 0, load.rework))
            ends = before.ribbonised_ends + load.ribbonised_ends
            merged[key] = CrewLoad(load.method, before.splices + load.splices, load.rework, ends)
    return list(merged.values())


def _stage_s(load: CrewLoad) -> dict[str, float]:
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


def _late_remakes(loads: Sequence[CrewLoad], expected: Sequence[float]) -> list[float]:
    mean = sum(expected)
    if mean <= 0:
        return [0.0] * len(loads)
    late = max(mean, remakes_within([(load.splices, load.rework) for load in loads], _LATE))
    return [extra * late / mean for extra in expected]


def _line(crew: Crew, stages: Sequence[Mapping[str, float]], attempts: Sequence[float]) -> tuple[_Station, ...]:
    people, splicers = max(1, crew.technicians), max(1, crew.splicers)
    heat = _Station(("heat",), max(1, crew.heaters))
    if people <= splicers:
        return _Station((*_PREPARE, *_JOIN), people), heat
    lines = [
        (_Station(_PREPARE, people - joining), _Station(_JOIN, joining), heat) for joining in range(1, splicers + 1)
    ]
    return min(lines, key=lambda line: (_line_s(line, stages, attempts), line[1].number))


def _cycle_s(station: _Station, stages: Mapping[str, float]) -> float:
    return sum(stages[name] for name in station.stages) / station.number


def _line_s(line: Sequence[_Station], stages: Sequence[Mapping[str, float]], attempts: Sequence[float]) -> float:
    """The line's time in station cycles, and what the last splice spends at its stations beyond their cycles."""
    cycles = [[_cycle_s(station, of) for station in line] for of in stages]
    order = surrogate_order(cycles)
    if not order:
        return 0.0
    drain = sum(stages[order[-1]].values()) - sum(cycles[order[-1]])
    return blocks_s([(cycles[i], attempts[i]) for i in order]) + drain


def _bottleneck(line: Sequence[_Station], stages: Sequence[Mapping[str, float]], attempts: Sequence[float]) -> str:
    """The longest stage of the busiest station, over all attempts; empty where there is nothing to do."""
    spent = {name: sum(of[name] * n for of, n in zip(stages, attempts, strict=True)) for name in STAGES}
    if not any(spent.values()):
        return ""
    busiest = max(line, key=lambda station: sum(spent[name] for name in station.stages) / station.number)
    return max((name for name in STAGES if name in busiest.stages), key=lambda name: spent[name])


def _assumptions(crew: Crew, line: Sequence[_Station], loads: Sequence[CrewLoad]) -> tuple[str, ...]:
    def people(number: int) -> str:
        return "1 technician" if number == 1 else f"{number} technicians"

    if len(line) == 2:
        how = f"{people(line[0].number)}, each preparing, fusing and laying in; the heater runs by itself"
    else:
        how = f"{people(line[0].number)} preparing ends, {people(line[1].number)} fusing and laying in"
    heaters = "1 heater" if line[-1].number == 1 else f"{line[-1].number} heaters"
    told = [
        f"Flow line: {how}; {heaters}.",
        f"Set-up {crew.setup_min:g} min, {crew.cable_prep_min:g} min a cable one after the other, "
        f"closing {crew.closing_min:g} min.",
        "Strip, clean and cleave are counted for both ends of a splice; a remake takes a whole round of stages.",
        "The middle figure counts the expected remakes, the 90 % figure as many as nine jobs in ten stay within.",
    ]
    for load in loads:
        learned = " as learned from records" if isinstance(load.rework, Learned) else ""
        told.append(f"{load.splices} by {load.method.code}, rework {mean_rate(load.rework) * 100:g} %{learned}.")
    if any(load.ribbonised_ends for load in loads):
        told.append(f"Ribbonising one end takes {RIBBONISE_S:g} s.")
    told.append("Travel, traffic set-up, waiting and testing are not counted.")
    return tuple(told)
