"""Splice records over HTTP: sent as JSON or as the filled-in workbook, listed, judged, and learned from."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any
from urllib.parse import quote

import pytest
from openpyxl import Workbook, load_workbook

from tests.api.held_client import HeldClient
from tests.api.hung import DROP, hang, path_of

Document = dict[str, Any]
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@pytest.fixture
def hung(filled: HeldClient, handhole: Document) -> Document:
    """The handhole's closure as it hangs."""
    return hang(filled, handhole)


def send(client: HeldClient, hung: Document, *records: Document, **said: Any) -> Any:
    """Send records; the answer."""
    return client.post(path_of(hung, "/splice-records"), json={"records": list(records), **said})


def workbook(client: HeldClient, hung: Document, fill: Callable[[Workbook], None]) -> bytes:
    """The workbook of the plan that the closure was hung from, filled in."""
    plan = client.get(path_of(hung, "/visits")).get_json()["items"][-1]["plan"]
    book = load_workbook(io.BytesIO(client.get(f"/v1/plans/{plan}/plan.xlsx").data))
    fill(book)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def put(book: Workbook, sheet: str, row: int, head: str, value: Any) -> str:
    """Fill in a cell; its name."""
    heads = [cell.value for cell in book[sheet][1]]
    cell = book[sheet].cell(row, heads.index(head) + 1)
    cell.value = value
    return str(cell.coordinate)


def test_what_is_recorded_is_listed_with_its_form(filled: HeldClient, hung: Document) -> None:
    """Splice 1 joins a ribbon of A and one of B; the record says its form, and who and when where all are told of."""
    loss = {"fibre": 3, "loss_db": 0.05, "wavelength_nm": 1550, "direction": "a_to_b"}
    made = send(
        filled, hung, {"splice": 1, "remakes": 2, "losses": [loss]}, {"splice": 2, "remakes": 0, "by": "T. Mell"},
        on="2026-03-12", by="Crew 2",
    )  # fmt: skip
    assert made.status_code == 201
    assert made.get_json()["recorded"] == 2
    told = filled.get(made.headers["Location"]).get_json()["items"]
    assert [(each["splice"], each["number"], each["remakes"], each["by"], each["on"]) for each in told] == [
        (1, 1, 2, "Crew 2", "2026-03-12"),
        (2, 1, 0, "T. Mell", "2026-03-12"),
    ]
    assert told[0]["losses"] == [{**loss, "kind": "measured"}]
    assert {each["fibres"] for each in told} == {12}


def test_the_last_record_of_a_splice_counts(filled: HeldClient, hung: Document) -> None:
    """Recorded again, both stand in the list and the second one in the rate."""
    form = send(filled, hung, {"splice": 1, "remakes": 5}).get_json()["of_these"][0]["form"]
    send(filled, hung, {"splice": 1, "remakes": 1})
    assert [each["number"] for each in filled.get(path_of(hung, "/splice-records")).get_json()["items"]] == [1, 2]
    rates = {rate["form"]: rate for rate in filled.get("/v1/remake-rates").get_json()["rates"]}
    assert (rates[form]["joints"], rates[form]["remakes"]) == (1, 1)


def test_two_directions_are_averaged_before_they_are_judged(filled: HeldClient, hung: Document) -> None:
    """0.34 one way and -0.02 the other are 0.16 dB: within 0.2, where the one way alone would not be."""
    forth = {"fibre": 1, "loss_db": 0.34, "wavelength_nm": 1550, "direction": "a_to_b"}
    back = {"fibre": 1, "loss_db": -0.02, "wavelength_nm": 1550, "direction": "b_to_a"}
    limits = {"splice_db": 0.2}
    alone = send(filled, hung, {"splice": 1, "remakes": 0, "losses": [forth]}, limits=limits).get_json()["acceptance"]
    both = send(filled, hung, {"splice": 1, "remakes": 0, "losses": [forth, back]}, limits=limits).get_json()[
        "acceptance"
    ]
    assert (alone["good"], alone["failing"]) == (False, [1])
    assert (both["good"], both["splices"][0]["fibres"][0]["loss_db"]) == (True, 0.16)


def test_the_whole_closure_is_judged_by_what_lies_there(filled: HeldClient, hung: Document) -> None:
    """One splice of many with a figure: none fails, the rest are named as not judged; removed ones are not asked."""
    loss = {"loss_db": 0.05, "wavelength_nm": 1550}
    send(filled, hung, {"splice": 1, "remakes": 0, "losses": [loss]}, {"splice": 2, "remakes": 0, "losses": [loss]})
    verdict = filled.get(path_of(hung, "/acceptance?splice_db=0.2")).get_json()
    lying = sum(len(tray["splices"]) for tray in hung["trays"])
    assert (verdict["good"], len(verdict["unjudged"])) == (None, lying - 2)
    filled.post(path_of(hung, "/removals"), json={"splices": [2]})
    verdict = filled.get(path_of(hung, "/acceptance?preset=federal-fusion")).get_json()
    assert [each["splice"] for each in verdict["splices"]] == [1]
    assert verdict["limits"] == {"splice_db": 0.3}


@pytest.mark.parametrize(
    ("record", "pointer"),
    [
        ({"splice": 999, "remakes": 0}, "/records/1/splice"),
        ({"splice": 1, "remakes": 0}, "/records/1/splice"),
        ({"splice": 2, "remakes": 1, "remakes_after_shrinking": 2}, "/records/1/remakes_after_shrinking"),
        ({"splice": 2, "remakes": 0, "losses": [{"loss_db": 0.1}]}, "/records/1/losses/0/wavelength_nm"),
        ({"splice": 2, "remakes": 0, "losses": [{"loss_db": 0.1, "fibre": 13, "wavelength_nm": 1550}]},
         "/records/1/losses/0/fibre"),
        ({"splice": 2, "remakes": -1}, "/records/1/remakes"),
    ],
)  # fmt: skip
def test_a_record_that_cannot_be_meant_is_refused_and_nothing_is_kept(
    filled: HeldClient, hung: Document, record: Document, pointer: str
) -> None:
    """The pointer leads to it, and the good record beside it is not stored either."""
    refused = send(filled, hung, {"splice": 1, "remakes": 0}, record)
    assert refused.status_code == 422
    assert [error["pointer"] for error in refused.get_json()["errors"]] == [pointer]
    assert filled.get(path_of(hung, "/splice-records")).get_json()["items"] == []


def test_limits_that_there_are_none_of_are_named(filled: HeldClient, hung: Document) -> None:
    """In a body with a pointer, in the query with the parameter; and the list has those that there are."""
    refused = send(filled, hung, {"splice": 1, "remakes": 0}, limits={"preset": "mine"})
    assert refused.get_json()["errors"][0]["pointer"] == "/limits/preset"
    refused = filled.get(path_of(hung, "/acceptance?preset=mine"))
    assert (refused.status_code, refused.get_json()["errors"][0]["parameter"]) == (400, "preset")
    presets = filled.get("/v1/loss-limits").get_json()["presets"]
    assert {each["preset"] for each in presets} >= {"federal-fusion", "ribbon-average"}
    assert all(each["source"] for each in presets)


def test_the_same_key_records_once(filled: HeldClient, hung: Document) -> None:
    """Sent again, the answer is the same and nothing is added; with another body it is refused."""
    key = {"Idempotency-Key": "records-1"}
    body = {"records": [{"splice": 1, "remakes": 1}]}
    path = path_of(hung, "/splice-records")
    first = filled.post(path, json=body, headers=key)
    again = filled.post(path, json=body, headers=key)
    assert (first.data, again.headers["Idempotent-Replayed"]) == (again.data, "true")
    assert filled.post(path, json={"records": [{"splice": 2, "remakes": 1}]}, headers=key).status_code == 422
    assert len(filled.get(path).get_json()["items"]) == 1


def test_the_list_goes_on_page_by_page(filled: HeldClient, hung: Document) -> None:
    """Three records in pages of two, each once, in order."""
    send(filled, hung, *({"splice": number, "remakes": 0} for number in (3, 1, 2)))
    path, seen = path_of(hung, "/splice-records?limit=2"), []
    while path:
        page = filled.get(path)
        seen += [each["splice"] for each in page.get_json()["items"]]
        path = page.headers["Link"].split(";")[0].strip("<>") if "Link" in page.headers else ""
    assert seen == [1, 2, 3]


def test_the_filled_in_workbook_is_taken(filled: HeldClient, hung: Document) -> None:
    """The crew's workbook sent back: the second row's splice is the one in its slot."""

    def fill(book: Workbook) -> None:
        put(book, "Splices", 3, "Remakes", 1)
        put(book, "Splices", 3, "By", "T. Mell")
        put(book, "Losses", 14, "Loss dB, from side to side", 0.04)

    sent = filled.post(path_of(hung, "/splice-records"), data=workbook(filled, hung, fill), content_type=XLSX)
    assert sent.status_code == 201, sent.get_data(as_text=True)
    (told,) = filled.get(path_of(hung, "/splice-records")).get_json()["items"]
    slot = next(
        (t["position"], s["bank"], s["slot"])
        for t in hung["trays"]
        for s in t["splices"]
        if s["number"] == told["splice"]
    )
    assert slot == (1, 1, 2)
    assert (told["remakes"], told["by"], told["losses"][0]["loss_db"]) == (1, "T. Mell", 0.04)


def test_faults_of_a_workbook_lead_to_their_cells(filled: HeldClient, hung: Document) -> None:
    """What the sheet reader finds and what the trade refuses are told alike, all of the first kind at once."""
    cells: list[str] = []

    def unreadable(book: Workbook) -> None:
        cells.append(put(book, "Splices", 2, "Remakes", "often"))
        cells.append(put(book, "Losses", 2, "Loss dB, the other way", "low"))

    sent = filled.post(path_of(hung, "/splice-records"), data=workbook(filled, hung, unreadable), content_type=XLSX)
    assert sent.status_code == 422
    assert {error["pointer"] for error in sent.get_json()["errors"]} == {f"/Splices/{cells[0]}", f"/Losses/{cells[1]}"}

    def impossible(book: Workbook) -> None:
        put(book, "Splices", 2, "Remakes", 1)
        cells.append(put(book, "Splices", 2, "of these after shrinking", 2))

    sent = filled.post(path_of(hung, "/splice-records"), data=workbook(filled, hung, impossible), content_type=XLSX)
    assert [error["pointer"] for error in sent.get_json()["errors"]] == [f"/Splices/{cells[2]}"]


def test_a_workbook_of_another_plan_or_of_nothing_is_refused(
    filled: HeldClient, hung: Document, handhole: Document
) -> None:
    """Records never go to the wrong closure, and a sheet that nobody filled in is told of as that."""
    other = hang(filled, {**handhole, "name": "another"})
    content = workbook(filled, other, lambda book: put(book, "Splices", 2, "Remakes", 1) and None)
    sent = filled.post(path_of(hung, "/splice-records"), data=content, content_type=XLSX)
    assert (sent.status_code, sent.get_json()["errors"][0]["code"]) == (422, "another_plan")
    empty = workbook(filled, hung, lambda book: None)
    sent = filled.post(path_of(hung, "/splice-records"), data=empty, content_type=XLSX)
    assert (sent.status_code, sent.get_json()["errors"][0]["code"]) == (422, "nothing_filled_in")
    sent = filled.post(path_of(hung, "/splice-records"), data=b"PK no workbook", content_type=XLSX)
    assert (sent.status_code, sent.get_json()["errors"][0]["code"]) == (422, "no_workbook")


def test_the_workbook_of_a_second_visit_is_of_what_was_added(filled: HeldClient, hung: Document) -> None:
    """The addition's own workbook has its one splice, and its record goes to the number that it has in the closure."""
    added = filled.post(path_of(hung, "/additions?apply=true"), json=DROP).get_json()
    book = load_workbook(io.BytesIO(filled.get(f"/v1/plans/{added['id']}/plan.xlsx").data))
    assert book["Splices"].max_row == 2
    put(book, "Splices", 2, "Remakes", 3)
    out = io.BytesIO()
    book.save(out)
    sent = filled.post(path_of(hung, "/splice-records"), data=out.getvalue(), content_type=XLSX)
    assert sent.status_code == 201, sent.get_data(as_text=True)
    (told,) = filled.get(path_of(hung, "/splice-records")).get_json()["items"]
    before = {splice["number"] for tray in hung["trays"] for splice in tray["splices"]}
    assert told["splice"] not in before


def test_records_change_what_the_next_plan_carries(filled: HeldClient, hung: Document, handhole: Document) -> None:
    """Ten splices made again three times each: a plan at the recorded rate carries more spares than before."""
    learning = {**handhole, "rules": {**handhole.get("rules", {}), "rework": "recorded"}}

    def spares() -> int:
        plan = filled.post("/v1/plans?store=false", json=learning).get_json()
        return sum(sleeve["spares"] for sleeve in plan["sleeves"])

    before = spares()
    send(filled, hung, *({"splice": number, "remakes": 3} for number in range(1, 11)))
    assert spares() > before


@pytest.mark.parametrize("text", ["0.25", "1e-2", "2.5E+01", "0.30000000000000004", "1e-05", "5e-324", "-0"])
def test_a_number_is_read_as_json_writes_it(filled: HeldClient, hung: Document, text: str) -> None:
    """With an exponent and with all the digits that a double has, as clients write what is small."""
    answer = filled.get(path_of(hung, f"/acceptance?splice_db={quote(text)}"))
    assert answer.status_code == 200
    assert answer.get_json()["limits"]["splice_db"] == float(text)


@pytest.mark.parametrize("text", ["1e999", "e5", "1e", ".5", "5.", "NaN", "Infinity", "0x1", "1 ", "1_0", "٣", "+1"])
def test_what_is_no_number_is_no_parameter(filled: HeldClient, hung: Document, text: str) -> None:
    """Nor is what no double holds, nor what only some readers of numbers take."""
    answer = filled.get(path_of(hung, f"/acceptance?splice_db={quote(text)}"))
    assert (answer.status_code, answer.get_json()["errors"][0]["code"]) == (400, "type")
