"""``demo``: a fictional build planned whole, into an SQLite file, so that there is something to look at."""

from __future__ import annotations

import argparse
import time
from collections.abc import Sequence
from datetime import UTC, datetime

from service.cli.answers import Answered, answered
from service.cli.checking import checked_catalogue
from service.cli.demo_file import clear_the_way, listed_points
from service.cli.load import load_catalogue
from service.cli.opening import opened
from service.cli.places import database_url, demo_file
from service.cli.serve import check_hosts, serve
from service.cli.storing import entries_used, to_store
from service.documents.catalogue import catalogue_from
from service.domain.catalogue import Catalogue
from service.sheets.layout import columns, counted
from service.sheets.text import plan_text
from service.store import Store

_SHOWN_SPLICES = 24
"""The plan shown as a mid-sized one is the first with at least so many splices."""


def run(arguments: argparse.Namespace) -> int:
    """Plan, store and print the build; then serve it where asked."""
    url = database_url(arguments.database)
    check_hosts(arguments, url)
    document = checked_catalogue(demo_file("catalogue.json").read_bytes(), "the demo's catalogue")
    points = listed_points()
    clear_the_way(url, document, points, arguments.fresh)
    with opened(url, make=True) as store:
        load_catalogue(store, document)
        began = time.perf_counter()
        done = _planned(store, points)
        took = time.perf_counter() - began
    _show(done, catalogue_from(document))
    print(f"Planned and stored in {took:.2f} s; they are in {arguments.database}.")
    if arguments.serve:
        return serve(url, arguments)
    print("To look around over HTTP: python -m service serve --database " + arguments.database)
    return 0


def _planned(store: Store, points: Sequence[bytes]) -> list[Answered]:
    """Plan every splice point and store it."""
    snapshot = store.snapshot()
    done = []
    for source in points:
        each = answered(source, snapshot)
        new = to_store(each, snapshot.catalogue_revision, datetime.now(UTC))
        store.add_plan(new, snapshot, entries_used(each.plan))
        done.append(each)
    return done


def _show(done: Sequence[Answered], catalogue: Catalogue) -> None:
    """Print three in full, then one line each, then what they come to."""
    middle = next((each for each in done if each.plan.fits and each.plan.splices >= _SHOWN_SPLICES), done[0])
    refused = next((each for each in done if not each.plan.fits), done[-1])
    for each in dict.fromkeys((id(done[0]), id(middle), id(refused))):
        whole = next(one for one in done if id(one) == each)
        print(plan_text(whole.plan, catalogue, whole.request))
        print("=" * 88)
        print()
    rows = [("splice point", "splices", "trays", "proven", "hours", "closure, or what binds")]
    print("\n".join(columns(rows + [_row(each) for each in done], right=(1, 2, 4), indent=0, width=110)))
    print()
    print(_totals(done))


def _row(each: Answered) -> tuple[str, ...]:
    plan = each.plan
    proven = "" if plan.proof is None else "yes" if plan.proof.optimal else "no"
    hours = f"{plan.crew.hours_median:.1f}" if plan.crew else ""
    limits = ", ".join(dict.fromkeys(reason.limit.replace("_", " ") for reason in plan.reasons))
    last = plan.closure or "" if plan.fits else f"NO: {limits}"
    name = plan.name if len(plan.name) <= 44 else f"{plan.name[:41]}..."
    return name, str(plan.splices), str(len(plan.trays)) if plan.fits else "", proven, hours, last


def _totals(done: Sequence[Answered]) -> str:
    fitting = [each.plan for each in done if each.plan.fits]
    splices = sum(plan.splices for plan in fitting)
    trays = sum(len(plan.trays) for plan in fitting)
    proven = sum(plan.proof is not None and plan.proof.optimal for plan in fitting)
    return (
        f"{counted(len(done), 'splice point')}: {len(fitting)} fit, {len(done) - len(fitting)} do not. "
        f"{counted(splices, 'splice')} on {counted(trays, 'tray')}; {proven} of {len(fitting)} proven best."
    )
