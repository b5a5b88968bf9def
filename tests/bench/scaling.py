"""How the packing core's time grows with the bundles, drawn as an SVG.

Run with ``python -m tests.bench.scaling FILE.svg``: median and longest of nine seeded cases a size, both axes
logarithmic.
"""

from __future__ import annotations

import sys
from math import log10
from pathlib import Path
from random import Random
from statistics import median
from time import perf_counter

from service.planning.packing import Item, Problem, TrayKind, solve

COUNTS = (10, 20, 50, 100, 200, 500, 1000)
CASES = 9
WIDTH, HEIGHT, LEFT, BOTTOM, TOP = 640, 400, 70, 60, 30


def closure(count: int, seed: int) -> Problem:
    """So many bundles of 1 to 12 splices, two tray kinds, and a stack that always suffices."""
    rng = Random(f"{count}-{seed}")
    items = tuple(Item(0, rng.randint(1, 12), (0, 0)) for _ in range(count))
    return Problem(1, (TrayKind(10, count, ((12,), (12,))), TrayKind(6, count, ((12,),))), 10 * count, items, "never")


def measured() -> list[tuple[int, float, float, int]]:
    """(bundles, median ms, longest ms, cases proven)."""
    rows = []
    for count in COUNTS:
        times = []
        proven = 0
        for seed in range(CASES):
            problem = closure(count, seed)
            start = perf_counter()
            packing = solve(problem)
            times.append((perf_counter() - start) * 1e3)
            proven += bool(packing.bounds and packing.bounds.optimal)
        rows.append((count, median(times), max(times), proven))
    return rows


def drawn(rows: list[tuple[int, float, float, int]]) -> str:
    """The SVG."""
    low, high = -1, 4

    def x(count: int) -> float:
        return LEFT + (log10(count) - 1) / 2 * (WIDTH - LEFT - 30)

    def y(ms: float) -> float:
        return HEIGHT - BOTTOM - (log10(max(ms, 0.1)) - low) / (high - low) * (HEIGHT - BOTTOM - TOP)

    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}"',
        ' font-family="sans-serif" font-size="13"><title>Time to a proven packing by number of bundles</title>',
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="#fff"/>',
    ]
    for power in range(low, high + 1):
        at = y(10.0**power)
        out.append(f'<line x1="{LEFT}" y1="{at:.1f}" x2="{WIDTH - 30}" y2="{at:.1f}" stroke="#ccc"/>')
        out.append(f'<text x="{LEFT - 8}" y="{at + 4:.1f}" text-anchor="end">{10.0**power:g}</text>')
    for count, *_ in rows:
        out.append(f'<text x="{x(count):.1f}" y="{HEIGHT - BOTTOM + 20}" text-anchor="middle">{count}</text>')
    for place, (name, colour, dash) in enumerate((("median", "#004c99", ""), ("longest of nine", "#b34700", "6 4"))):
        points = " ".join(f"{x(row[0]):.1f},{y(row[place + 1]):.1f}" for row in rows)
        out.append(
            f'<polyline points="{points}" fill="none" stroke="{colour}" stroke-width="2" stroke-dasharray="{dash}"/>'
        )
        for row in rows:
            out.append(f'<circle cx="{x(row[0]):.1f}" cy="{y(row[place + 1]):.1f}" r="3" fill="{colour}"/>')
        out.append(f'<text x="{LEFT + 16}" y="{TOP + 20 * place + 16}" fill="{colour}">{name}</text>')
    out.append(f'<text x="{(LEFT + WIDTH) / 2:.0f}" y="{HEIGHT - 14}" text-anchor="middle">bundles</text>')
    out.append(f'<text x="{LEFT - 8}" y="{TOP - 12}" text-anchor="end">ms</text></svg>')
    return "\n".join(out) + "\n"


if __name__ == "__main__":
    table = measured()
    for count, middle, longest, proven in table:
        print(f"{count:5} bundles: median {middle:8.2f} ms, longest {longest:8.1f} ms, proven {proven} of {CASES}")
    Path(sys.argv[1]).write_text(drawn(table))
