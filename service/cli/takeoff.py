"""``takeoff``: plan a whole build from a file of splice points, with worker processes and a bar of progress."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

from service.building.adding_up import added_up
from service.building.demand_work import demand_work
from service.building.embedded import EmbeddedWorkers
from service.building.standing import standing_of
from service.cli.places import settings
from service.cli.takeoff_files import write_results
from service.cli.takeoff_input import database, points_file, received
from service.cli.takeoff_watch import watch
from service.sheets.takeoff_text import outcome_text, totals_text
from service.store import Store
from service.store.moments import utc_now


def run(arguments: argparse.Namespace) -> int:
    """Read the splice points, have them planned, print what they come to."""
    if arguments.server is not None:
        from service.cli.takeoff_remote import run_remote

        return run_remote(arguments)
    with database(arguments) as (store, url):
        with points_file(arguments.file) as stream:
            takeoff_id = received(store, stream, arguments)
        takeoff = _planned(store, url, takeoff_id, arguments.processes)
        _print(store, takeoff)
        if arguments.out is not None and takeoff["state"] == "finished":
            write_results(store.takeoffs, takeoff_id, Path(arguments.out))
        if arguments.database is not None:
            print(f"\ntakeoff {takeoff_id}")
    return 0 if takeoff["state"] == "finished" else 1


def _planned(store: Store, url: str, takeoff_id: str, processes: int | None) -> dict[str, Any]:
    """The takeoff as it stands when it has ended. An interrupt cancels it, so that nothing works on unseen."""

    def standing() -> dict[str, Any]:
        return standing_of(store.takeoffs, store.takeoffs.get(takeoff_id), utc_now())

    try:
        with EmbeddedWorkers(url, demand_work(settings().max_splices), processes):
            return watch(standing, sys.stderr)
    except KeyboardInterrupt:
        store.takeoffs.cancel(takeoff_id, "It was interrupted on the command line.")
        raise


def _print(store: Store, takeoff: dict[str, Any]) -> None:
    lines = outcome_text(takeoff)
    if takeoff["state"] == "finished":
        lines += totals_text(takeoff["totals"], added_up(store.takeoffs, takeoff["id"])["materials"])
    else:
        lines.append(f"It was {takeoff['state']}. {takeoff.get('why', '')}".rstrip())
    print("\n".join(lines))
