"""The figures of the packing benchmark as two tables of plain text, ready for the page on the algorithm."""

from __future__ import annotations

from dataclasses import dataclass

from tests.bench.figures import Figures
from tests.bench.targets import RATIO

SOLVERS = {"cp_sat_1": "CP-SAT 1", "cp_sat_2": "CP-SAT 2", "highs": "HiGHS"}
"""The general solvers, by the number of their workers; HiGHS has one thread."""
WIDE = 31


@dataclass(frozen=True, slots=True)
class Row:
    """A family: figures by solver, how many times slower CP-SAT is, and what simple rules waste."""

    family: str
    found: dict[str, Figures | None]
    ratio: float | None
    first_fit: tuple[float, float] | None
    best_fit: tuple[float, float] | None


def own_table(rows: list[Row]) -> str:
    """The core, the ratio to CP-SAT with one worker, and the simple rules."""
    head = f"{'family':16} {'cases':>5} {'core: ms, p99, proven, over':>29} | {'CP-SAT : core':>13} | "
    lines = [head + f"{'FFD over, lost':>14} | {'BFD over, lost':>14}"]
    for row in rows:
        core = row.found["core"]
        cases = core.cases if core else 0
        lines.append(
            f"{row.family:16} {cases:5} {cell(core):>29} | {ratio(row.ratio):>13} | "
            f"{rule(row.first_fit):>14} | {rule(row.best_fit):>14}"
        )
    return "\n".join(lines)


def solver_table(rows: list[Row]) -> str:
    """The general solvers beside each other."""
    head = " | ".join(f"{name + ': ms, p99, proven, over':>{WIDE}}" for name in SOLVERS.values())
    lines = [f"{'family':16} {head}"]
    for row in rows:
        cells = " | ".join(f"{cell(row.found[name]):>{WIDE}}" for name in SOLVERS)
        lines.append(f"{row.family:16} {cells}")
    return "\n".join(lines)


def cell(found: Figures | None) -> str:
    """One solver's figures."""
    if found is None:
        return "-"
    over = "-" if found.excess is None else f"{found.excess:.2f}"
    p99 = f"{found.p99_ms:7.1f}" if found.p99_ms < 1000 else f"{found.p99_ms:7.0f}"
    return f"{found.median_ms:8.2f} {p99} {found.proven:4.0%} {over:>5}"


def rule(found: tuple[float, float] | None) -> str:
    """A simple rule's trays beyond the least, and the share of cases that it has no answer to."""
    return f"{found[0]:.2f} {found[1]:4.0%}" if found else "-"


def ratio(found: float | None) -> str:
    """How many times slower the solver is, and whether that meets the target."""
    return "-" if found is None else f"{found:.0f} {'met' if found >= RATIO else 'not'}"
