"""Taking splices out of a hung closure: ticked tray by tray or named by number, looked at once more, recorded."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from flask import Response, request

from service.api.installations.answering import replayed_installation
from service.api.installations.changes import removed_splices
from service.api.state import state
from service.documents.ranges import RangeError, format_ranges, parse_ranges
from service.domain.installation import Installation
from service.pages.blueprint import routes
from service.pages.fit_rows import range_in
from service.pages.installations.hung import shown
from service.pages.installations.sending import sent, somebody_was_there
from service.pages.installations.typed import VISIT, Typed, beside, revision_seen, typed
from service.pages.rendering import page, see
from service.pages.splice_runs import runs_of
from service.planning.hanging.ends import as_ranges

SPLICES_SHOWN = 144
_LINES_SHOWN = 60
_NUMBERS_MOST = 10_000


@routes.get("/installations/<id>/remove")
def choose_splices(id: str) -> Response:
    """The splices of a tray to be ticked; with some chosen, what would be taken out."""
    installation = state().store.installations.get(id)
    if not request.args.getlist("splice") and not request.args.get("splices"):
        return _to_choose(installation, [])
    numbers, mistake = _numbers(request.args.getlist("splice"), request.args.get("splices", ""))
    return _to_choose(installation, [mistake]) if mistake else _confirmed(installation, numbers, Typed({}), {})


@routes.post("/installations/<id>/remove")
def remove(id: str) -> Response:
    """Record that they were taken out."""
    form, expect = typed(), revision_seen()
    numbers, _ = _numbers([], form.text("splices"))
    document: dict[str, Any] = {"splices": numbers, **form.document(VISIT)}
    outcome = sent(
        "RemovalRequest", document, lambda keyed: removed_splices(id, document, expect, keyed), replayed_installation
    )
    if outcome.answer is not None:
        return see(f"/installations/{id}")
    if outcome.overtaken:
        return somebody_was_there(id, f"/installations/{id}/remove", "Choose the splices again")
    installation, faults = state().store.installations.get(id), beside(outcome.errors)
    if "splices" in faults:
        return _to_choose(installation, faults["splices"])
    return _confirmed(installation, numbers, form, faults)


def _numbers(ticked: Iterable[str], text: str) -> tuple[list[int], str | None]:
    """The numbers that are ticked and those of a range text, from the lowest up; else what is wrong with the text."""
    numbers = {int(each) for each in ticked if each.isascii() and each.isdigit() and len(each) < 10}
    try:
        ranges = parse_ranges(range_in(text)) if text.strip() else ()
    except RangeError as error:
        return [], str(error)
    if sum(max(0, last - first + 1) for first, last in ranges) > _NUMBERS_MOST:
        return [], f"At most {_NUMBERS_MOST} splices are taken out at once."
    numbers.update(number for first, last in ranges for number in range(first, last + 1))
    return sorted(numbers), None


def _to_choose(installation: Installation, mistakes: Sequence[str]) -> Response:
    document, asked = shown(installation), request.args.get("tray", "")
    trays = [tray for tray in document["trays"] if tray["splices"]]
    tray = next((each for each in trays if str(each["position"]) == asked), trays[0] if trays else None)
    return page(
        "remove.html",
        422 if mistakes else 200,
        hung=document,
        trays=trays,
        tray=tray,
        lines=[(each, runs_of([each])[0]) for each in (tray["splices"] if tray else ())[:SPLICES_SHOWN]],
        all=request.args.get("all") == "yes",
        form=Typed(request.values),
        beside={"splices": list(mistakes)} if mistakes else {},
    )


def _confirmed(installation: Installation, numbers: list[int], form: Typed, faults: dict[str, list[str]]) -> Response:
    lying = {each["number"] for tray in shown(installation)["trays"] for each in tray["splices"]}
    missing = [number for number in numbers if number not in lying]
    if missing or not numbers:
        named = format_ranges(as_ranges(missing[:_LINES_SHOWN]))
        return _to_choose(installation, [f"There is no splice {named} in here." if missing else "Choose one at least."])
    chosen = set(numbers)
    trays = []
    for tray in shown(installation)["trays"]:
        runs = runs_of(each for each in tray["splices"] if each["number"] in chosen)
        if runs:
            trays.append((tray, runs[:_LINES_SHOWN]))
    return page(
        "remove_confirm.html",
        422 if faults else 200,
        hung=installation,
        count=len(numbers),
        numbers=format_ranges(as_ranges(numbers)),
        trays=trays,
        form=form if form.text("revision") else Typed({"on": state().clock().date().isoformat()}),
        beside=faults,
        key=form.key,
    )
