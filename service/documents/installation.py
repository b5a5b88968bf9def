"""A hung closure as answers tell it."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from service.documents.contents import cable_to, splice_to, tray_to
from service.documents.numbers import plain, rounded
from service.documents.order import moment_to
from service.domain.installation import HungCable, HungTray, Installation, LaidSplice, Place
from service.domain.installation_summary import InstallationSummary, PlannedFor

Document = dict[str, Any]


def installation_to(installation: Installation, room: Document) -> Document:
    """Write an installation: where it hangs, what lies in each tray, and the ``room`` that is left (a document)."""
    contents = installation.contents
    lying: defaultdict[int, list[LaidSplice]] = defaultdict(list)
    for splice in contents.splices:
        lying[splice.position].append(splice)
    return {
        "id": installation.id,
        "created": moment_to(installation.created),
        "revision": installation.revision,
        **place_to(installation.place),
        "hung": installation.hung.isoformat(),
        "closure": contents.closure,
        "cables": [_cable_to(cable) for cable in contents.cables],
        "trays": [_tray_to(tray, lying[tray.position]) for tray in contents.trays],
        "splices": len(contents.splices),
        "room": room,
        "visits": contents.visits,
    }


def _cable_to(cable: HungCable) -> Document:
    document = cable_to(cable)
    if cable.window_mm is not None:
        document["window_mm"] = rounded(cable.window_mm)
    return document


def _tray_to(tray: HungTray, splices: list[LaidSplice]) -> Document:
    """Write a tray with what lies in it, areas with one decimal as in plans."""
    document = tray_to(tray)
    for bank in document["banks"]:
        in_splices = sum(splice.bank == bank["bank"] for splice in splices)
        bank["used"] = in_splices + len(bank.pop("parked", ()))
    for area in ("storage_used_mm2", "storage_mm2"):
        if area in document:
            document[area] = rounded(document[area])
    for ends in document["parked"]:
        del ends["storage_mm2"]
    ordered = sorted(splices, key=lambda splice: (splice.bank, splice.slot))
    document["splices"] = [_in_its_tray(splice) for splice in ordered]
    return document


def _in_its_tray(splice: LaidSplice) -> Document:
    return {name: value for name, value in splice_to(splice).items() if name not in ("position", "storage_mm2")}


def place_to(place: Place) -> Document:
    """Write where something hangs; coordinates that are not known are left out."""
    document: Document = {"name": place.name, "place": place.place}
    if place.latitude is not None and place.longitude is not None:
        document |= {"latitude": plain(place.latitude), "longitude": plain(place.longitude)}
    return document


def summary_to(summary: InstallationSummary) -> Document:
    """Write what a list says of an installation."""
    return {
        "id": summary.id,
        "created": moment_to(summary.created),
        **place_to(Place(summary.name, summary.place, summary.latitude, summary.longitude)),
        "hung": summary.hung.isoformat(),
        "closure": summary.closure,
        "cables": summary.cables,
        "trays": summary.trays,
        "splices": summary.splices,
        "visits": summary.visits,
        "revision": summary.revision,
    }


def planned_for_to(planned: PlannedFor) -> Document:
    """Write which installation a plan adds to."""
    document: Document = {"id": planned.installation, "revision": planned.revision_now}
    return document if planned.visit is None else {**document, "visit": planned.visit}
