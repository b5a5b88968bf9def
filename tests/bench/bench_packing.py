"""How fast the packing core is and how much it proves, beside general solvers on the same model and simple rules.

Run with ``python -m tests.bench.bench_packing [--cases N] [--compared N] [--seconds S] [--family NAME ...]
[--cpu] [--json FILE]``. Times are the solvers' own, without building models for them; medians, 99th percentiles, share
proven and, in the compared cases, cost beyond the least that any of them found stand beside each other; for first-fit
and best-fit decreasing trays beyond the proven least, and the share without an answer. Then every target, met or not.
"""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from statistics import median
from typing import Any

from tests.bench.clock import count_processor_time
from tests.bench.families import FAMILIES, problem_of
from tests.bench.figures import Figures, excess_by_rule, figures, least_costs, least_known
from tests.bench.machine import machine
from tests.bench.packing_table import Row, own_table, solver_table
from tests.bench.targets import judged
from tests.bench.yardsticks import Answer, core, general_solvers

SLOW = ("extreme", "hub_never_2k_24l", "hub_free_2k_24l")
"""Families that mostly end at the node limit; fewer cases of them will do."""


def measured(family: str, options: argparse.Namespace) -> tuple[dict[str, Any], Row, list[str]]:
    """(figures as JSON, row of the tables, targets with whether they were met) of a family."""
    count = min(options.cases, options.slow) if family in SLOW else options.cases
    problems = [problem_of(family, seed) for seed in range(count)]
    own = [core(problem) for problem in problems]
    some = min(options.compared, count)
    solvers = general_solvers(options.seconds)
    theirs = {name: [solver(problem) for problem in problems[:some]] for name, solver in solvers.items()}
    known = least_known(own[:some], *theirs.values())
    found: dict[str, Figures | None] = {"core": figures(own, known)}
    found |= {name: figures(each, known) if some else None for name, each in theirs.items()}
    ratio = None
    if some:
        ratio = median(a.seconds for a in theirs["cp_sat_1"]) / median(a.seconds for a in own[:some])
    rules = [excess_by_rule(problems, least_costs(own), best) for best in (False, True)]
    row = Row(family, found, ratio, *rules)
    document = {
        "figures": {name: each.document() for name, each in found.items() if each is not None},
        "cp_sat_over_core": ratio,
        "first_fit_decreasing": rules[0],
        "best_fit_decreasing": rules[1],
        "cases": {name: [_case(answer) for answer in each] for name, each in {"core": own, **theirs}.items()},
    }
    own_figures = found["core"]
    assert own_figures is not None
    return document, row, list(judged(family, own_figures, ratio))


def _case(answer: Answer) -> dict[str, Any]:
    return {"seconds": answer.seconds, "proven": answer.proven, "values": answer.values, "nodes": answer.nodes}


def main() -> None:
    """Print the table and the targets, and write all of it as JSON where a file is named."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--cases", type=int, default=200, help="cases a family")
    parser.add_argument("--slow", type=int, default=20, help="cases of families that end at the node limit")
    parser.add_argument("--compared", type=int, default=5, help="of these with the general solvers")
    parser.add_argument("--seconds", type=float, default=5.0, help="time limit of a general solver on one case")
    parser.add_argument("--family", nargs="*", choices=tuple(FAMILIES), help="only these families")
    parser.add_argument("--cpu", action="store_true", help="count processor time, on a machine that others keep busy")
    parser.add_argument("--json", type=Path, help="where to write the figures")
    options = parser.parse_args()
    if options.cpu:
        count_processor_time()
    about = machine()
    print(f"{about['date']}, {about['processor']}, {about['cores']} cores, Python {about['python']}; {options.cases} "
          f"cases a family, {options.compared} compared, solvers stopped at {options.seconds:g} s"
          + (", processor time" if options.cpu else ""))  # fmt: skip
    table: dict[str, Any] = {}
    rows: list[Row] = []
    said: list[str] = []
    for family in options.family or FAMILIES:
        table[family], row, targets = measured(family, options)
        rows.append(row)
        said += targets
        print(own_table([row]).splitlines()[1], file=sys.stderr, flush=True)
    print("\n".join([own_table(rows), "", solver_table(rows), "", "Targets:", *said]))
    if options.json:
        asked = {"cases": options.cases, "compared": options.compared, "seconds": options.seconds, "cpu": options.cpu}
        document = {"machine": about, "asked": asked, "families": table, "targets": said}
        options.json.write_text(json.dumps(document, indent=1) + "\n")


if __name__ == "__main__":
    main()
