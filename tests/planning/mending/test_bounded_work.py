"""A request that does not fit is answered within bounded work, however many splices and labels it has."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.domain.catalogue import Cable, TrayAllowance
from service.planning.mending import part_search
from service.planning.packing import core
from service.planning.plan import plan_splice_point
from tests import small_catalogue as small

FIBRES = 3_000


@pytest.mark.parametrize("labels", [0, 30, 1_000])
def test_what_a_refusal_looks_at_does_not_grow_with_the_splices(labels: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """3,000 single splices in closures too low for them: a few dozen packings and parts are tried, not thousands."""
    cable = Cable("large", "large", 18.0, FIBRES, 12, 1, "loose", 250, "G.657.A2", ribbonise=False)
    trays = tuple(TrayAllowance(code, 1_000) for code in ("r6", "r12", "s24"))
    closure = replace(small.CLOSURES[1], stack_mm=600.0, trays=trays)
    catalogue = replace(small.small_catalogue(), cables={"large": cable}, closures={closure.code: closure})
    joints = []
    for at in range(1, FIBRES, 2):
        label = f"l{at % labels}" if labels else None
        joints.append(small.fibre_joint("A", f"{at}-{at + 1}", "B", f"{at}-{at + 1}", keep_apart=label))
    looked = {"packings": 0, "parts": 0}
    demand_on, run = part_search.demand_on, core.Solver.run

    def counted_demand(*arguments: object) -> object:
        looked["parts"] += 1
        return demand_on(*arguments)  # type: ignore[arg-type]

    def counted_run(self: core.Solver) -> object:
        looked["packings"] += 1
        return run(self)

    monkeypatch.setattr(part_search, "demand_on", counted_demand)
    monkeypatch.setattr(core.Solver, "run", counted_run)
    request = small.request_for({"A": "large", "B": "large"}, joints, closures=(), keep="none")
    plan = plan_splice_point(request, catalogue)
    assert not plan.fits
    assert plan.largest_part is not None
    # Each single bundle is looked at once or twice, whether any tray takes it.
    assert looked["parts"] < 2 * FIBRES + 200
    assert looked["packings"] < 1_500
