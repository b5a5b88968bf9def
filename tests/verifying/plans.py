"""Plans to verify: drawn requests over the small catalogue with channels, entries and hanging trays, and the demo's."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache
from typing import Any

from hypothesis import strategies as st

from service.documents.catalogue import catalogue_from
from service.documents.plan import plan_to
from service.documents.request import request_from
from service.domain.catalogue import Catalogue
from service.domain.request import ExistingBank, ExistingTray, Joint, PlanRequest, Reserve
from service.planning.plan import plan_splice_point
from tests.demo.files import DEMO
from tests.small_catalogue import fibre_joint, request_for, ribbon_joint, side, small_catalogue

CABLES = {"A": "flat-288", "B": "roll-288", "C": "flat-288", "D": "loose-96", "E": "drop-24", "F": "flat-24s"}


def limited(catalogue: Catalogue, storage_mm2: float | None, ribbons: int | None) -> Catalogue:
    """The catalogue with a channel and an entry in every tray."""
    trays = {
        code: replace(tray, storage_mm2=storage_mm2, entry_ribbons_max=ribbons)
        for code, tray in catalogue.trays.items()
    }
    return replace(catalogue, trays=trays)


def written(request: PlanRequest, catalogue: Catalogue) -> dict[str, Any]:
    """The plan of a request as the JSON that a caller gets."""
    document: dict[str, Any] = json.loads(json.dumps(plan_to(plan_splice_point(request, catalogue))))
    return document


@st.composite
def joints(draw: st.DrawFn, express: bool) -> list[Joint]:
    """Runs of ribbons, split ribbons and single fibres, every end once at most."""
    found: list[Joint] = []
    at = {"A": 1, "B": 1, "C": 1, "D": 1}
    last = {"A": 23, "B": 21, "C": 20, "D": 7}
    for _ in range(draw(st.integers(1, 5))):
        one, other = draw(st.sampled_from(["A", "C"])), draw(st.sampled_from(["B", "D"]))
        run = min(draw(st.integers(1, 9)), last[one] - at[one] + 1, last[other] - at[other] + 1)
        if run < 1:
            continue
        label = draw(st.sampled_from([None, None, "lease", "rail"]))
        ranges = f"{at[one]}-{at[one] + run - 1}", f"{at[other]}-{at[other] + run - 1}"
        found.append(ribbon_joint(one, ranges[0], other, ranges[1], keep_apart=label))
        at[one] += run
        at[other] += run
    if draw(st.integers(0, 3)) == 0:
        found.append(ribbon_joint("F", "1-2", "C", "21-24", split_ribbons=True))
    if express:
        found.append(Joint(side("A", "24"), side("B", "22", end="out")))
    if draw(st.booleans()) or not found:
        fibres = draw(st.integers(1, 24))
        found.append(fibre_joint("B", f"265-{264 + fibres}", "E", f"1-{fibres}"))
    return found


@st.composite
def hanging(draw: st.DrawFn) -> tuple[ExistingTray, ...]:
    """Up to three trays as they may be found in the large closure."""
    trays = []
    for _ in range(draw(st.integers(0, 3))):
        kind = draw(st.sampled_from(["ribbon-12", "single"]))
        used = draw(st.integers(0, 6 if kind == "ribbon-12" else 12))
        label = draw(st.sampled_from([None, None, "lease"]))
        trays.append(ExistingTray("r12", (ExistingBank(1, kind, used),), label, float(used), used))
    return tuple(trays)


@st.composite
def plans(draw: st.DrawFn) -> dict[str, Any]:
    """A plan as JSON, by drawn rules, channels, entries and hanging trays, in one of two closures."""
    express = draw(st.booleans())
    request = request_for(
        CABLES,
        draw(joints(express)),
        (draw(st.sampled_from(["line-96", "line-96", "dome-48"])),),
        express="B" if express else "",
        keep=draw(st.sampled_from(["tube", "joint", "none"])),
        split=draw(st.sampled_from(["never", "oversize", "free"])),
        reserve=Reserve(draw(st.sampled_from([0.0, 7.5, 25.0])), draw(st.sampled_from(["trays", "stack"]))),
        minimise=draw(st.sampled_from(["trays", "price"])),
        stored_ends=draw(st.sampled_from(["storage", "slots"])),
        spare_trays=draw(st.sampled_from([0, 0, 1])),
        rework=draw(st.sampled_from([None, 0.05, 0.0])),
    )
    request = replace(request, existing_trays=draw(hanging()))
    catalogue = small_catalogue()
    if draw(st.booleans()):
        catalogue = limited(catalogue, draw(st.sampled_from([None, 260.0, 90.0])), draw(st.sampled_from([None, 30])))
    return written(request, catalogue)


@cache
def rich_plan() -> dict[str, Any]:
    """One plan with something of everything: hanging trays, labels, an express cable, parked ends, reserve, singles."""
    joints = [
        ribbon_joint("A", "1-8", "B", "1-8", keep_apart="lease"),
        Joint(side("A", "9-10"), side("B", "1-2", end="out"), keep_apart="rail"),
        ribbon_joint("C", "1-7", "D", "1-7"),
        ribbon_joint("F", "1-2", "C", "8-11", split_ribbons=True),
        fibre_joint("B", "265-270", "E", "1-6"),
    ]
    request = request_for(
        CABLES, joints, ("line-96",), express="B", keep="tube", split="oversize", reserve=Reserve(20.0, "trays"),
        rework=0.05, spare_trays=1, spare_entries=1,
    )  # fmt: skip
    found = (
        ExistingTray("r12", (ExistingBank(1, "ribbon-12", 4),), "lease", 12.5, 8),
        ExistingTray("s24", (ExistingBank(1, "single", 24),)),
    )
    plan = written(replace(request, existing_trays=found), limited(small_catalogue(), 400.0, 40))
    assert plan["fits"] and plan["proof"]["optimal"] and plan["proof"]["opened"] == 1
    return plan


@cache
def demo_plans() -> tuple[dict[str, Any], ...]:
    """The plans of the demo's splice points."""
    catalogue = catalogue_from(json.loads((DEMO / "catalogue.json").read_text("utf-8")))
    lines = (DEMO / "splice-points.ndjson").read_text("utf-8").splitlines()
    return tuple(written(request_from(json.loads(line)), catalogue) for line in lines)
