"""What became of one case."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

AGREED, NOT_PROVEN, NO_REFERENCE = "agreed", "not proven", "reference not proven"


@dataclass(frozen=True, slots=True)
class Outcome:
    """One case judged; ``wrong`` lists the disagreements. ``shown``: whether the verifier showed the optimum again.

    ``fits`` is the answer's own word.
    """

    family: str
    case: int
    verdict: str
    wrong: tuple[str, ...] = ()
    shown: bool | None = None
    fits: bool | None = None


@dataclass(slots=True)
class Tally:
    """The outcomes of one family added up."""

    cases: int = 0
    verdicts: Counter[str] = field(default_factory=Counter)
    wrong: int = 0
    refused: int = 0
    asked: int = 0
    shown: int = 0

    def add(self, outcome: Outcome) -> None:
        """Count one case."""
        self.cases += 1
        self.wrong += bool(outcome.wrong)
        self.refused += outcome.fits is False
        if not outcome.wrong:
            self.verdicts[outcome.verdict] += 1
        if outcome.shown is not None:
            self.asked += 1
            self.shown += outcome.shown


def table(tallies: dict[str, Tally]) -> str:
    """The tallies as a table, with a line that adds them up."""
    total = Tally()
    for each in tallies.values():
        total.cases += each.cases
        total.verdicts += each.verdicts
        total.wrong += each.wrong
        total.refused += each.refused
        total.asked += each.asked
        total.shown += each.shown
    counted = f"{'cases':>7} {'agreed':>7} {'not proven':>11} {'no reference':>13} {'disagree':>9}"
    columns = f"{counted} {'no fit':>7} {'re-proved':>9}"
    lines = [f"{'family':23} {columns}"]
    for name, each in (*sorted(tallies.items()), ("all", total)):
        shown = f"{each.shown / each.asked:9.1%}" if each.asked else f"{'-':>9}"
        lines.append(
            f"{name:23} {each.cases:7} {each.verdicts[AGREED]:7} {each.verdicts[NOT_PROVEN]:11} "
            f"{each.verdicts[NO_REFERENCE]:13} {each.wrong:9} {each.refused:7} {shown}"
        )
    return "\n".join(lines)
