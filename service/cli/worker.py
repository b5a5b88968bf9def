"""``worker``: work on the takeoffs of a database and tell its webhooks, beside others on this and other machines."""

from __future__ import annotations

import argparse
import signal
import threading
from dataclasses import replace

from service.cli.opening import chosen_url, opened
from service.cli.places import settings
from service.cli.telling import telling
from service.logs import log_to_stderr


def run(arguments: argparse.Namespace) -> int:
    """Keep worker processes at work until interrupted; what they are at then is handed back."""
    # Imported here: help and refusals need none of it.
    from service.building.demand_work import demand_work
    from service.building.embedded import EmbeddedWorkers

    url, chosen = chosen_url(arguments), settings()
    engine = arguments.engine or chosen.engine
    with opened(url) as store:
        store.catalogue_revision()
        if engine:
            store.takeoffs.deliver_by_engine()
    log_to_stderr(chosen)
    told = threading.Event()
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda _number, _frame: told.set())
    work = demand_work(chosen.max_splices)
    with (
        EmbeddedWorkers(url, work, arguments.processes, engine=engine) as workers,
        telling(replace(chosen, database=url)),
    ):
        processes = "1 process" if workers.count == 1 else f"{workers.count} processes"
        print(f"At work on takeoffs with {processes} (Ctrl-C ends it)", flush=True)
        told.wait()
    return 0
