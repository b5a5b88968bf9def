"""What the crew's hours take for granted, in sentences."""

from __future__ import annotations

from collections.abc import Sequence

from service.domain.request import Crew
from service.domain.rework import Learned, mean_rate
from service.planning.crew_line import CrewLoad, Station
from service.standards.methods import RIBBONISE_S


def assumptions_of(crew: Crew, line: Sequence[Station], loads: Sequence[CrewLoad], runs: int) -> tuple[str, ...]:
    """All that the figures rest on; ``runs`` is 0 where the job is too large to be run through many times."""
    told = [
        f"Flow line: {_who(line)}; {_counted(line[-1].number, 'heater')}.",
        f"Set-up {crew.setup_min:g} min, {crew.cable_prep_min:g} min a cable one after the other, "
        f"closing {crew.closing_min:g} min.",
        "Strip, clean and cleave are counted for both ends of a splice; a remake takes a whole round of stages.",
        "The middle figure is that of the mean times and the expected remakes.",
        _late(crew, runs),
    ]
    for load in loads:
        learned = " as learned from records" if isinstance(load.rework, Learned) else ""
        told.append(f"{load.splices} by {load.method.code}, rework {mean_rate(load.rework) * 100:.3g} %{learned}.")
    if any(load.ribbonised_ends for load in loads):
        told.append(f"Ribbonising one end takes {RIBBONISE_S:g} s.")
    told.append("Travel, traffic set-up, waiting and testing are not counted.")
    return tuple(told)


def _counted(number: int, what: str) -> str:
    return f"1 {what}" if number == 1 else f"{number} {what}s"


def _who(line: Sequence[Station]) -> str:
    people = [_counted(station.number, "technician") for station in line[:-1]]
    if len(people) == 1:
        return f"{people[0]}, each preparing, fusing and laying in; the heater runs by itself"
    return f"{people[0]} preparing ends, {people[1]} fusing and laying in"


def _late(crew: Crew, runs: int) -> str:
    if not runs:
        return (
            "The 90 % figure counts as many remakes as nine jobs in ten stay within; in a job of this size the spread "
            "of single times evens out and is not counted."
        )
    return (
        f"The 90 % figure is what nine in ten of {runs} runs with drawn times and remakes stay within "
        f"(seed {crew.seed}). "
        f"Work by hand varies by {crew.spread * 100:g} % from splice to splice and cable to cable, each by itself "
        "(common practice, no source); the heater's time does not vary."
    )
