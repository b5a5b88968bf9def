"""The splices of a tray for reading: those that go on side by side in one line, "slots 1-6: A 1-6 to B 1-6"."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

_NUMBERS = ("ribbon", "fibre", "half")


@dataclass(slots=True)
class Run:
    """Splices of one bank that lie in slots one after another and join numbers one after another."""

    bank: int
    first: Mapping[str, Any]
    last: Mapping[str, Any]
    splices: int = 1

    def end(self, side: str) -> str:
        """A side in words: ``A ribbons 1-6``."""
        return ends_in_words(self.first[side], self.last[side])

    @property
    def slots(self) -> str:
        """The slots, ``1-6``."""
        return _span(self.first["slot"], self.last["slot"])


def runs_of(splices: Iterable[Mapping[str, Any]]) -> list[Run]:
    """The runs of a tray's splices, in their order."""
    runs: list[Run] = []
    for splice in splices:
        if runs and _goes_on(runs[-1], splice):
            runs[-1].last = splice
            runs[-1].splices += 1
        else:
            runs.append(Run(splice["bank"], splice, splice))
    return runs


def ends_in_words(first: Mapping[str, Any], last: Mapping[str, Any]) -> str:
    """The ends from ``first`` to ``last`` in words, with the half of a split ribbon and the end of an express cable."""
    unit = "fibre" if "fibre" in first else "ribbon"
    many = "s" if first[unit] != last[unit] else ""
    half = f" half {first['half']}" if "half" in first else ""
    end = f" ({first['end']})" if first.get("end") else ""
    return f"{first['cable']}{end} {unit}{many} {_span(first[unit], last[unit])}{half}"


def _goes_on(run: Run, splice: Mapping[str, Any]) -> bool:
    last = run.last
    alike = all(last.get(name) == splice.get(name) for name in ("bank", "fibres", "sleeve", "bundle"))
    return alike and splice["slot"] == last["slot"] + 1 and all(_follows(last[s], splice[s]) for s in ("from", "to"))


def _follows(one: Mapping[str, Any], next_one: Mapping[str, Any]) -> bool:
    unit = "fibre" if "fibre" in one else "ribbon"
    if "half" in one or "half" in next_one or unit not in next_one:
        return False
    same = {name: value for name, value in one.items() if name not in _NUMBERS}
    others = {name: value for name, value in next_one.items() if name not in _NUMBERS}
    return same == others and next_one[unit] == int(one[unit]) + 1


def _span(first: int, last: int) -> str:
    # With word joiners, so that no line breaks inside the numbers.
    return str(first) if first == last else f"{first}\u2060–\u2060{last}"
