"""The crew's hours for the work of a splice point: bundles prepared alike are one load of the flow line."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

from service.domain.catalogue import Method
from service.domain.plan import CrewTime
from service.domain.request import Crew
from service.domain.rework import Given, Rework
from service.domain.splices import Work
from service.planning.accounts import ribbonised
from service.planning.crew import crew_time
from service.planning.crew_line import CrewLoad
from service.planning.rework_used import rework_of
from service.planning.stowage import Pairing, Stowage


def _both_ends(pairing: Pairing) -> Method:
    """One method that takes for both ends of a splice what its two take together (times a stage are means)."""
    one, other = pairing.from_.method, pairing.to.method
    if one == other:
        return one

    def strip(method: Method) -> float:
        return (method.strip_dwell_s or 0.0) * (method.strip_repeats or 0)

    def mean(a: float | None, b: float | None) -> float:
        return ((a or 0.0) + (b or 0.0)) / 2

    return replace(
        one,
        code=f"{one.code} and {other.code}",
        strip_dwell_s=(strip(one) + strip(other)) / 2,
        strip_repeats=1,
        clean_s=mean(one.clean_s, other.clean_s),
        cleave_s=mean(one.cleave_s, other.cleave_s),
        fuse_s=max(one.fuse_s or 0.0, other.fuse_s or 0.0),
        heat_s=max(one.heat_s or 0.0, other.heat_s or 0.0),
        lay_s=max(one.lay_s or 0.0, other.lay_s or 0.0),
    )


def _rework_of(pairing: Pairing, stowage: Stowage) -> Rework:
    """Splices prepared alike at a given rate are one load, whatever their forms; what is learned is of one form."""
    rework = rework_of(pairing, stowage)
    return rework.rate if isinstance(rework, Given) else rework


def crew_of(crew: Crew, work: Work, stowage: Stowage, cables: int) -> CrewTime:
    """How long the crew takes, with so many cables to prepare; bundles prepared alike are one load of the line."""
    splices: Counter[int] = Counter()
    pairings: dict[int, Pairing] = {}
    for bundle in work.bundles:
        pairing = stowage.pairing(bundle)
        pairings[id(pairing)] = pairing
        splices[id(pairing)] += len(bundle.splices)
    alike: dict[tuple[Method, Rework, int], int] = {}
    for number, pairing in pairings.items():
        ends_ribbonised = sum(ribbonised(kind.cable, kind.form) for kind in (pairing.from_, pairing.to))
        key = (_both_ends(pairing), _rework_of(pairing, stowage), ends_ribbonised)
        alike[key] = alike.get(key, 0) + splices[number]
    loads = [CrewLoad(method, n, rework, ends * n) for (method, rework, ends), n in alike.items()]
    return crew_time(crew, loads, cables)
