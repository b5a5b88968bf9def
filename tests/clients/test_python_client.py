"""A Python client made from the description alone does what each user comes for, and is told what was wrong."""

from __future__ import annotations

import io
import json
import time
from typing import Any

from tests.clients.conftest import Caller, signed_in
from tests.clients.stories import CATALOGUE, DROP, FERROW, MEASURED, POINTS, faulty


def loaded(call: Caller) -> None:
    """Send the demo's catalogue to an empty server."""
    answer = call("catalogue.put_catalogue", body=call.model("Catalogue", CATALOGUE), if_none_match="*")
    assert answer.status_code == 200, answer.content


def planned(call: Caller, request: dict[str, Any] = FERROW, **arguments: Any) -> Any:
    """The answer to a plan request."""
    return call("plans.create_plan", body=call.model("PlanRequest", request), **arguments)


def finished(call: Caller, points: list[dict[str, Any]]) -> Any:
    """A takeoff of these splice points, sent as lines and asked for until it is finished."""
    body = io.BytesIO(b"\n".join(json.dumps(point).encode() for point in points))
    sent = call("takeoffs.create_takeoff", body=call.types.File(body), name="Ferrowmouth")
    assert sent.status_code == 202, sent.content
    for _ in range(600):
        takeoff = call("takeoffs.get_takeoff", sent.parsed.id).parsed
        if takeoff.state.value == "finished":
            return takeoff
        time.sleep(0.1)
    raise AssertionError(f"after a minute the takeoff is {takeoff.state}")


def kept(answer: Any) -> bool:
    """Whether the client's object has all that the server said; what differs is shown.

    It writes times in UTC in its own way, with an offset and without a fraction that is nought.
    """
    again = json.dumps(answer.parsed.to_dict()).replace("+00:00", "Z")
    assert json.loads(again) == json.loads(answer.content.replace(b".000000Z", b"Z"))
    return True


def test_a_catalogue_is_loaded_and_read_back_entry_by_entry(call: Caller) -> None:
    """The whole catalogue goes in at once; each closure is found over the pages of the list, and nothing is lost."""
    loaded(call)
    whole = call("catalogue.get_catalogue")
    assert kept(whole)
    codes, cursor = [], call.types.UNSET
    while cursor is not None:
        page = call("closures.list_closures", limit=3, cursor=cursor)
        assert kept(page)
        codes += [closure.code for closure in page.parsed.items]
        cursor = page.parsed.next_
    assert sorted(codes) == sorted(closure["code"] for closure in CATALOGUE["closures"])
    assert kept(call("closures.get_closure", codes[0]))


def test_a_purchaser_sends_files(call: Caller) -> None:
    """The catalogue as a workbook comes back and changes nothing; a price list as CSV changes one price."""
    loaded(call)
    workbook = call("files.get_catalogue_workbook").parsed.payload.read()
    same = call("files.import_catalogue_workbook", body=call.types.File(io.BytesIO(workbook)))
    assert same.status_code == 200 and same.parsed.changed == [] and kept(same)
    section = call.enum("SectionName", "sleeves")
    prices = call.types.File(io.BytesIO(b"code;price\r\nrs-12;23,90\r\n"))
    changed = call("files.import_catalogue_csv", body=prices, section=section, check=True)
    assert changed.parsed.checked and changed.parsed.changed == ["sleeves/rs-12"] and kept(changed)
    wrong = call.types.File(io.BytesIO(b"code,price\r\nrs-12,cheap\r\n"))
    (error,) = call("files.import_catalogue_csv", body=wrong, section=section).parsed.errors
    assert (error.row, error.column, error.heading) == (2, "B", "price")


def test_a_designer_checks_and_plans_a_splice_point(call: Caller) -> None:
    """Yes or no first, then the plan, which can be read again, as a drawing, a schedule and a work sheet too."""
    loaded(call)
    check = call("fit_checks.check_fit", body=call.model("PlanRequest", FERROW))
    assert check.status_code == 200 and check.parsed.fits and kept(check)
    made = planned(call)
    assert made.status_code == 201 and made.parsed.fits and made.parsed.proof.optimal and kept(made)
    id = made.parsed.id
    assert made.headers["location"] == f"/v1/plans/{id}"
    assert call("plans.get_plan", id).content == made.content
    assert call("plans.get_plan", id, if_none_match=made.headers["etag"]).status_code == 304
    assert call("plans.get_plan_drawing", id).parsed.startswith("<svg")
    assert call("plans.get_plan_work_sheet", id).parsed.payload.read().startswith(b"%PDF-")
    assert call("plans.get_plan_workbook", id).parsed.payload.read().startswith(b"PK")
    assert len(call("plans.get_plan_schedule", id).parsed.splitlines()) > made.parsed.splices
    assert [plan.id for plan in call("plans.list_plans", fits=True).parsed.items] == [id]


def test_a_purchaser_sends_a_build_and_orders_what_it_needs(call: Caller) -> None:
    """From the lines of a takeoff to its end, page by page, and on to an order that is placed and can be traced."""
    loaded(call)
    takeoff = finished(call, POINTS)
    assert takeoff.points.total == len(POINTS) and takeoff.points.fitting == 32 and takeoff.points.not_fitting == 8
    places, cursor = [], call.types.UNSET
    while cursor is not None:
        page = call("takeoffs.list_takeoff_plans", takeoff.id, limit=15, whole=False, cursor=cursor)
        assert kept(page)
        places += [point.place for point in page.parsed.items]
        cursor = page.parsed.next_
    assert places == list(range(1, len(POINTS) + 1))
    stream = call("takeoffs.stream_takeoff_plans", takeoff.id)
    assert len(stream.parsed.payload.read().splitlines()) == len(POINTS)
    materials = call("takeoffs.get_takeoff_materials", takeoff.id)
    assert materials.parsed.points == 32 and kept(materials)
    order = call("orders.create_order", body=call.model("OrderRequest", {"takeoffs": [takeoff.id]}))
    assert order.status_code == 201 and kept(order)
    line = order.parsed.lines[0]
    assert call("orders.list_order_sources", order.parsed.id, line.item).status_code == 200
    standing = call("orders.get_order_state", order.parsed.id)
    placed = call(
        "orders.put_order_state",
        order.parsed.id,
        body=call.model("OrderStateChange", {"state": "placed"}),
        if_match=standing.headers["etag"],
    )
    assert placed.status_code == 200 and placed.parsed.state.value == "placed"


def test_a_field_lead_hangs_a_closure_and_adds_to_it(call: Caller) -> None:
    """The closure of a plan hangs; a drop is planned into the room that is left, and recorded as done."""
    loaded(call)
    hung = call("installations.hang_closure", body=call.model("HangingRequest", {"plan": planned(call).parsed.id}))
    assert hung.status_code == 201 and kept(hung)
    added = call(
        "installations.create_addition",
        hung.parsed.id,
        body=call.model("AdditionRequest", DROP),
        apply=True,
        if_match=hung.headers["etag"],
    )
    assert added.status_code == 201 and added.parsed.fits and kept(added)
    visits = call("installations.list_visits", hung.parsed.id)
    assert len(visits.parsed.items) == 2 and kept(visits)


def test_a_field_lead_records_what_was_measured(call: Caller) -> None:
    """Losses and remakes of a splice are kept, are judged at once, and teach the remake rates."""
    loaded(call)
    hung = call("installations.hang_closure", body=call.model("HangingRequest", {"plan": planned(call).parsed.id}))
    body = call.model("SpliceRecordsRequest", MEASURED)
    recorded = call("records.record_splices", hung.parsed.id, body=body, idempotency_key="measured")
    assert recorded.status_code == 201 and recorded.parsed.recorded == 2 and kept(recorded)
    records = call("records.list_splice_records", hung.parsed.id)
    assert sorted(record.remakes for record in records.parsed.items) == [0, 1] and kept(records)
    assert kept(call("records.get_remake_rates"))


def test_what_somebody_else_has_changed_is_not_written_over(call: Caller) -> None:
    """Two read an entry; the first writes, the second is told that it is stale, and the first one's words stand."""
    loaded(call)
    read = call("closures.get_closure", "dome-48")
    first, second = (
        call.model("Closure", {**json.loads(read.content), "title": title}) for title in ("First", "Second")
    )
    tag = read.headers["etag"]
    assert call("closures.put_closure", "dome-48", body=first, if_match=tag).status_code == 200
    stale = call("closures.put_closure", "dome-48", body=second, if_match=tag)
    assert (stale.status_code, stale.parsed.type_) == (412, "/problems/stale")
    assert call("closures.put_closure", "dome-48", body=second).status_code == 428
    assert call("closures.get_closure", "dome-48").parsed.title == "First"


def test_a_plan_sent_twice_with_its_key_is_kept_once(call: Caller) -> None:
    """The second answer is the first one's, and says so; another body under the key is refused."""
    loaded(call)
    first, second = (planned(call, idempotency_key="ferrow-7") for _ in range(2))
    assert second.content == first.content
    assert "idempotent-replayed" not in first.headers and second.headers["idempotent-replayed"] == "true"
    other = planned(call, POINTS[0], idempotency_key="ferrow-7")
    assert (other.status_code, other.parsed.type_) == (422, "/problems/key-reused")
    assert len(call("plans.list_plans").parsed.items) == 1


def test_tokens_open_what_their_scopes_say(call: Caller, address: str) -> None:
    """From the first token on every request needs one; one for reading reads, and is refused (403) where it plans."""
    loaded(call)
    office = call("access.create_token", body=call.model("TokenRequest", {"name": "Office", "scopes": ["admin"]}))
    assert office.status_code == 201 and kept(office)
    shut = call("plans.list_plans")
    assert (shut.status_code, kept(shut)) == (401, True)
    with signed_in(address, office.parsed.token) as admin:
        wanted = admin.model("TokenRequest", {"name": "Crew 4", "scopes": ["read"]})
        crew = admin("access.create_token", body=wanted).parsed
        assert planned(admin).status_code == 201
    with signed_in(address, crew.token) as reader:
        assert len(reader("plans.list_plans").parsed.items) == 1
        assert planned(reader).status_code == 403


def test_an_office_is_to_be_told_of_orders(call: Caller) -> None:
    """A webhook is made, tried out, read without its secret, and removed, all by typed objects."""
    wanted = {"url": "https://1.1.1.1/told", "events": ["order.placed", "closure.filled"], "full_share": 0.9}
    made = call("webhooks.create_webhook", body=call.model("WebhookRequest", wanted))
    assert made.status_code == 201 and kept(made) and made.parsed.secret.startswith("whsec_")
    trial = call("webhooks.try_webhook", made.parsed.id)
    assert trial.status_code == 202 and kept(trial)
    listed = call("webhooks.list_webhook_deliveries", made.parsed.id)
    assert [each.id for each in listed.parsed.items] == [trial.parsed.id] and kept(listed)
    read = call("webhooks.get_webhook", made.parsed.id)
    assert kept(read) and "secret" not in read.parsed.to_dict()
    assert call("webhooks.delete_webhook", made.parsed.id, if_match=read.headers["ETag"]).status_code == 204


def test_faults_are_told_with_their_places(call: Caller) -> None:
    """Every fault of a request comes as a typed object with a pointer into what was sent."""
    loaded(call)
    request, pointers = faulty()
    refused = planned(call, request)
    assert refused.status_code == 422 and kept(refused)
    assert sorted(fault.pointer for fault in refused.parsed.errors) == pointers
    absent = call("plans.get_plan", "0" * 32)
    assert (absent.status_code, absent.parsed.type_) == (404, "/problems/not-found")
