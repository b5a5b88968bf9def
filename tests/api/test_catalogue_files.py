"""The catalogue given out as a file, and added to by one: all that it says or nothing."""

from __future__ import annotations

import io
from copy import deepcopy
from typing import Any

import openpyxl
import pytest
from flask import Flask

from service.sheets.tabular.described import Described
from service.store import CatalogueChange, Store
from tests.api.files import SPEC, catalogue_workbook, posted, saved, section_csv, workbook
from tests.api.held_client import HeldClient
from tests.api.tokens import bearer
from tests.clients.stories import CATALOGUE

XLSX, CSV = "/v1/catalogue.xlsx", "/v1/catalogue.csv"
PRICES = b"code;price\r\nrs-12;19,50\r\n"


def standing(client: HeldClient) -> tuple[dict[str, Any], str]:
    """The catalogue without its revisions, and the tag of all of it."""
    answer = client.get("/v1/catalogue")
    document = {kind: [dict(each) for each in entries] for kind, entries in answer.get_json().items()}
    for entries in document.values():
        for entry in entries:
            del entry["revision"]
    return document, answer.headers["ETag"]


def cells(answer: Any) -> list[tuple[str | None, str, str]]:
    """Sheet, cell and code of every fault."""
    assert answer.status_code == 422
    return [(each.get("sheet"), f"{each['column']}{each['row']}", each["code"]) for each in answer.get_json()["errors"]]


@pytest.fixture
def stocked(client: HeldClient) -> HeldClient:
    """A client of an application with the demo's catalogue, a retired entry among the others."""
    assert client.put("/v1/catalogue", json=CATALOGUE, headers={"If-None-Match": "*"}).status_code == 200
    return client


def test_what_was_given_out_changes_nothing_when_it_comes_back(stocked: HeldClient) -> None:
    """The workbook, and the CSV of each section: every entry is unchanged, and so is the revision of all."""
    before = standing(stocked)
    sent = [posted(stocked, XLSX, stocked.get(XLSX).get_data())]
    for kind in CATALOGUE:
        path = f"{CSV}?section={kind}"
        sent.append(posted(stocked, path, stocked.get(path).get_data()))
    for answer in sent:
        told = answer.get_json()
        assert (told["added"], told["changed"], told["retired"], told["differences"]) == ([], [], [], [])
    assert len(sent[0].get_json()["unchanged"]) == sum(map(len, CATALOGUE.values()))
    assert standing(stocked) == before


def test_a_workbook_makes_a_catalogue_of_nothing(client: HeldClient) -> None:
    """All sections with their lists, entries that name one another among them, in one go."""
    answer = posted(client, XLSX, catalogue_workbook(CATALOGUE))
    assert (answer.status_code, len(answer.get_json()["added"])) == (200, sum(map(len, CATALOGUE.values())))
    loaded = {kind: sorted(entries, key=lambda each: each["code"]) for kind, entries in CATALOGUE.items()}
    for kind, entries in standing(client)[0].items():
        for made, meant in zip(entries, loaded[kind], strict=True):
            assert {**meant, "currency": "EUR"} == {**made, "currency": "EUR"}


def test_a_price_list_changes_prices_and_nothing_else(filled: HeldClient) -> None:
    """A file with two columns: the members that differ are told, and the rest of the entry and catalogue stays."""
    before = standing(filled)[0]
    answer = posted(filled, f"{CSV}?section=sleeves", PRICES)
    told = answer.get_json()
    assert [each["entry"] for each in told["differences"]] == ["sleeves/rs-12"]
    assert set(told["differences"][0]["members"]) <= {"price", "currency"}
    assert told["sections"] == [{"section": "sleeves", "added": 0, "changed": 1, "unchanged": 0, "retired": 0}]
    after = standing(filled)[0]
    (sleeve,) = [each for each in after["sleeves"] if each["code"] == "rs-12"]
    assert sleeve["price"] == "19.50"
    for document in (before, after):
        for each in document["sleeves"]:
            each.pop("price", None)
            each.pop("currency", None)
    assert after == before


def test_a_check_tells_the_same_and_stores_nothing(filled: HeldClient) -> None:
    """What is told is what the import then does, but for the revision."""
    before = standing(filled)
    checked = posted(filled, f"{CSV}?section=sleeves&check=true", PRICES).get_json()
    assert standing(filled) == before
    done = posted(filled, f"{CSV}?section=sleeves", PRICES).get_json()
    assert (checked.pop("checked"), done.pop("checked")) == (True, False)
    assert done.pop("revision") == checked.pop("revision") + 1
    assert checked == done
    assert filled.get("/v1/audit?kind=sleeves").get_json()["items"][0]["item"] == "rs-12"


def test_a_fault_in_the_last_row_stores_nothing(filled: HeldClient, catalogue: dict[str, Any]) -> None:
    """Good rows on every sheet, and one that is wrong at the very end."""
    before = standing(filled)
    document = deepcopy(CATALOGUE)
    document["materials"][-1]["quantity"] = 0
    answer = posted(filled, XLSX, catalogue_workbook(document))
    assert cells(answer) == [("materials", f"D{len(document['materials']) + 2}", "range")]
    assert standing(filled) == before


def test_every_fault_of_a_workbook_is_told_by_its_cell(filled: HeldClient) -> None:
    """Of reading and of the schema: sheet, row, column and heading, as the spreadsheet has them."""
    book = openpyxl.load_workbook(io.BytesIO(filled.get(XLSX).get_data()))
    book["sleeves"]["D3"] = "many"
    book["closures.ports"]["C3"] = 0
    book["cables"]["A3"] = None
    answer = posted(filled, XLSX, saved(book))
    assert cells(answer) == [
        ("sleeves", "D3", "no_number"),
        ("closures.ports", "C3", "range"),
        ("cables", "A3", "required"),
    ]
    first = answer.get_json()["errors"][0]
    assert (first["pointer"], first["heading"]) == ("/sleeves/D3", "fibres")


def test_a_rule_of_the_trade_is_told_by_its_cell(filled: HeldClient) -> None:
    """A tray that nobody knows, and a port whose smallest cable is larger than its largest."""
    book = openpyxl.load_workbook(io.BytesIO(filled.get(XLSX).get_data()))
    book["closures.trays"]["B3"] = "nobody-knows"
    book["closures.ports"]["D3"], book["closures.ports"]["E3"] = 30, 20
    assert cells(posted(filled, XLSX, saved(book))) == [
        ("closures.trays", "B3", "unknown_code"),
        ("closures.ports", "D3", "range"),
    ]


def test_what_the_file_breaks_elsewhere_is_told_without_a_cell(filled: HeldClient) -> None:
    """A method of another form, while cables that the file does not speak of are prepared by it."""
    document = standing(filled)[0]
    cable = next(each for each in document["cables"] if each.get("method"))
    form = "rollable" if cable["ribbon_form"] == "flat" else "flat"
    content = f"code,ribbon_form\r\n{cable['method']},{form}\r\n".encode()
    answer = posted(filled, f"{CSV}?section=methods", content)
    assert answer.status_code == 422
    (error, *_) = answer.get_json()["errors"]
    assert error["code"] == "unsuitable" and error["detail"].startswith("cables/")


def test_an_entry_is_added_by_csv_with_its_lists(filled: HeldClient) -> None:
    """A tray with two banks, and a closure that takes it: a row an item."""
    trays = "code,title,pitch_mm,turn_mm,bend_radius_mm,banks.bank,banks.count,banks.slot_kind,banks.slots\r\n"
    rows = "0012,New tray,12,400,30,1,2,ribbon-12,3\r\n0012,,,,,1,,single,6\r\n"
    assert posted(filled, f"{CSV}?section=trays", (trays + rows).encode()).get_json()["added"] == ["trays/0012"]
    head = (
        "code,title,form,stack_mm,lead_mm,trays.tray,trays.most,ports.name,ports.count,ports.od_min_mm,ports.od_max_mm,"
    )
    rows = "new,New closure,dome,60,500,0012,4,round,2,5,12,1\r\nnew,,,,,ribbon-12,1,,,,,\r\n"
    answer = posted(filled, f"{CSV}?section=closures", (head + "ports.cables\r\n" + rows).encode())
    assert answer.get_json()["added"] == ["closures/new"]
    closure = filled.get("/v1/closures/new").get_json()
    assert [each["tray"] for each in closure["trays"]] == ["0012", "ribbon-12"]
    assert [each["name"] for each in closure["ports"]] == ["round"]


def test_an_entry_is_retired_and_comes_back_by_its_row(stocked: HeldClient) -> None:
    """By the column retired, as the document has it."""
    path = f"{CSV}?section=sleeves"
    assert posted(stocked, path, b"code,retired\r\nrs-12,yes\r\n").get_json()["retired"] == ["sleeves/rs-12"]
    assert stocked.get("/v1/sleeves/rs-12").get_json()["retired"] is True
    assert posted(stocked, path, b"code,retired\r\nrs-12,no\r\n").get_json()["changed"] == ["sleeves/rs-12"]


def test_a_file_may_say_which_catalogue_it_was_made_from(filled: HeldClient) -> None:
    """If-Match with another tag: 412, for a check as well. Without it whatever is there is added to."""
    path, tag = f"{CSV}?section=sleeves", filled.get("/v1/catalogue").headers["ETag"]
    for query in ("", "&check=true"):
        assert posted(filled, path + query, PRICES, **{"If-Match": '"999"'}).status_code == 412
    answer = posted(filled, path, PRICES, **{"If-Match": tag})
    assert (answer.status_code, answer.headers["ETag"]) == (200, filled.get("/v1/catalogue").headers["ETag"])
    assert posted(filled, path, PRICES, **{"If-Match": tag}).status_code == 412


def test_a_file_sent_again_under_its_key_is_taken_once(filled: HeldClient) -> None:
    """The first answer again, though the catalogue has changed since; 422 for another file under the key."""
    path, key = f"{CSV}?section=sleeves", {"Idempotency-Key": "spring-prices"}
    first = posted(filled, path, PRICES, **key)
    posted(filled, path, b"code,price\r\nrs-12,21\r\n")
    again = posted(filled, path, PRICES, **key)
    assert (again.get_json(), again.headers["ETag"]) == (first.get_json(), first.headers["ETag"])
    assert again.headers["Idempotent-Replayed"] == "true"
    assert filled.get("/v1/sleeves/rs-12").get_json()["price"] == "21"
    assert posted(filled, path, b"code,price\r\nrs-12,22\r\n", **key).get_json()["type"] == "/problems/key-reused"


def test_what_changes_meanwhile_is_added_to(filled: HeldClient, store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """Somebody changes another entry between reading and putting: both changes stand."""
    put, meanwhile = store.put_catalogue_once, [b"code,price\r\nss-1,3\r\n"]

    def late(*arguments: Any) -> CatalogueChange | Any:
        if meanwhile:
            content = meanwhile.pop()
            assert posted(filled, f"{CSV}?section=sleeves", content).status_code == 200
        return put(*arguments)

    monkeypatch.setattr(store, "put_catalogue_once", late)
    assert posted(filled, f"{CSV}?section=sleeves", PRICES).get_json()["changed"] == ["sleeves/rs-12"]
    assert filled.get("/v1/sleeves/ss-1").get_json()["price"] == "3"
    assert filled.get("/v1/sleeves/rs-12").get_json()["price"] == "19.50"


def test_a_team_gives_out_and_takes_in_its_own(app: Flask, filled: HeldClient) -> None:
    """South's import makes south's catalogue; north's file and revision stay as they were."""
    north, south = bearer(app, "admin"), bearer(app, "admin", team="south")
    before = filled.get(XLSX, headers=north)
    assert posted(filled, f"{CSV}?section=sleeves", b"code,price\r\nrs-12,1\r\n", **south).status_code == 422
    answer = posted(filled, XLSX, before.get_data(), **south)
    assert (answer.status_code, answer.get_json()["revision"]) == (200, 1)
    after = filled.get(XLSX, headers=north)
    assert (after.headers["ETag"], after.get_data()) == (before.headers["ETag"], before.get_data())


@pytest.mark.parametrize("ending", ["xlsx", "csv?section=materials"])
def test_a_title_that_looks_like_a_formula_is_none_in_a_file(filled: HeldClient, ending: str) -> None:
    """It is text in the workbook, has an apostrophe before it in CSV, and comes back as it was."""
    title = '=HYPERLINK("http://192.0.2.1/","open")'
    entry = {"code": "trap", "title": title, "per": "closure", "quantity": 1, "unit": "piece"}
    assert filled.put("/v1/materials/trap", json=entry, headers={"If-None-Match": "*"}).status_code == 201
    content = filled.get(f"/v1/catalogue.{ending}").get_data()
    if ending == "xlsx":
        sheet = openpyxl.load_workbook(io.BytesIO(content))["materials"]
        assert [(row[1].value, row[1].data_type) for row in sheet if row[0].value == "trap"] == [(title, "s")]
    else:
        assert b"\"'=HYPERLINK(" in content
    assert "materials/trap" in posted(filled, f"/v1/catalogue.{ending}", content).get_json()["unchanged"]


@pytest.mark.parametrize("name", ["catalogue.xlsx", "splice-points.xlsx"])
def test_a_template_is_ready_to_be_typed_into(client: HeldClient, name: str) -> None:
    """Head and explanation stay in sight, text columns keep noughts, choices have lists, and what is needed is told."""
    book = openpyxl.load_workbook(io.BytesIO(client.get(f"/v1/templates/{name}").get_data()))
    read = [sheet for sheet in book if not sheet.title.startswith("-")]
    tables = Described(SPEC.document)
    wanted = list(tables.catalogue().values()) if name.startswith("catalogue") else [tables.points()]
    assert [sheet.title for sheet in read] == [sheet.name for table in wanted for sheet in table.sheets]
    for sheet in book:
        assert sheet.freeze_panes == "B3"
        assert sheet.column_dimensions["A"].width >= 11
    keys = {sheet.title: sheet.column_dimensions["A"] for sheet in read}
    assert all(dimension.number_format == "@" for dimension in keys.values())
    lists = {str(rule.sqref) for sheet in read for rule in sheet.data_validations.dataValidation}
    assert lists and all(each.split(":")[0][-1] == "3" for each in lists)


def test_a_template_with_its_examples_typed_over_is_taken(client: HeldClient) -> None:
    """What the example sheets show, moved to the sheets that are read, makes a catalogue."""
    book = openpyxl.load_workbook(io.BytesIO(client.get("/v1/templates/catalogue.xlsx").get_data()))
    shown = {sheet.title[1:].removesuffix(" example"): list(sheet.values) for sheet in book if sheet.title[0] == "-"}
    answer = posted(client, XLSX, workbook(shown))
    assert answer.status_code == 200, answer.get_json()
    assert answer.get_json()["added"]


def test_a_section_has_to_be_said(client: HeldClient) -> None:
    """CSV has no sheets by which it could be told."""
    assert client.get(CSV).status_code == 400
    assert posted(client, CSV, section_csv("trays", ())).status_code == 400
