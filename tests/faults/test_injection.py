"""Text that would be a formula, markup, a path, a header or a statement somewhere is text everywhere.

Whole documents are made of it: catalogue, plan, takeoff, order, hung closure, records. Every sheet, drawing, page and
header that comes out is read back.
"""

from __future__ import annotations

import csv
import io
import re
import shutil
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple
from urllib.parse import urlencode
from xml.etree import ElementTree

import pypdf
import pytest
from flask.testing import FlaskClient
from openpyxl import load_workbook
from werkzeug.test import TestResponse

from service.api.spec import Spec
from service.app import create_app
from service.settings import Settings
from service.sheets.safe_text import not_a_formula
from service.store import Store, open_store
from tests.api.conftest import app, catalogue, client, handhole, migrated, spec, store
from tests.api.held_client import HeldClient
from tests.api.sent_takeoffs import finished
from tests.faults.mischief import FORMULAS, MARKUP, MISCHIEF, mischievous
from tests.pages.seen import SAME, Seen

__all__ = ["app", "catalogue", "client", "handhole", "migrated", "spec", "store"]

NUMBER = re.compile(r"-?[0-9]+(\.[0-9]+)?\Z")
OWN_FORMULA = re.compile(r"=(SUM|SUMIF)\([A-Za-z0-9 :,'!\"-]+\)\Z")
LEADS = "=+-@\uff1d\uff0b\uff0d\uff20"
SHEETS = ("schedule.csv", "materials.csv", "sheet.pdf", "plan.xlsx", "drawing.svg", "drawing.svg?layout=phone")
TURNS = range(0, len(MISCHIEF), 12)


class Scene(NamedTuple):
    """What is there, and the texts that went into it."""

    client: HeldClient
    browser: FlaskClient
    plan: str
    takeoff: str
    order: str
    installation: str
    cable: str
    texts: list[str]


@pytest.fixture(scope="module", params=TURNS, ids=lambda turn: f"from {turn}")
def scene(
    request: pytest.FixtureRequest, spec: Spec, migrated: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Scene]:
    """Everything that can be stored, made of mischief; another part of it each time."""
    copy = tmp_path_factory.mktemp("mischief") / "store.db"
    shutil.copy(migrated, copy)
    store = open_store(f"sqlite:///{copy}")
    made = create_app(Settings(), store)
    made.test_client_class = HeldClient
    yield arranged(request.param, made.test_client(), store, spec)
    store.close()


def arranged(turn: int, client: HeldClient, store: Store, spec: Spec) -> Scene:
    """The catalogue and what was planned, ordered, hung and recorded by it."""
    examples = spec.document["components"]["examples"]
    catalogue, handhole = (examples[name]["value"] for name in ("smallCatalogue", "handholeRequest"))
    entries, texts = mischievous("Catalogue", catalogue, turn)
    assert client.put("/v1/catalogue", json=entries, headers={"If-None-Match": "*"}).status_code == 200
    point, said = mischievous("PlanRequest", handhole, turn + 7)
    point["tags"] = {"area": MISCHIEF[(turn + 3) % len(MISCHIEF)]}
    texts += said

    def sent(path: str, schema: str, document: dict[str, Any], offset: int) -> str:
        made, used = mischievous(schema, document, turn + offset)
        texts.extend(used)
        answer = client.post(path, json=made)
        assert answer.status_code in (200, 201), answer.get_data(as_text=True)
        return str(answer.get_json().get("id"))

    tags = point.pop("tags")
    plan = client.post("/v1/plans", json=point).get_json()["id"]
    takeoff = finished(client, store, [{**point, "tags": tags}])
    order = {"name": "n", "plans": [plan], "takeoffs": [takeoff], "supplier": "s", "deliver_to": "d", "reference": "r"}
    ordered = sent("/v1/orders", "OrderRequest", order, 11)
    hung = {"plan": plan, "name": "n", "place": "p", "by": "b", "note": "t"}
    installation = sent("/v1/installations", "HangingRequest", hung, 17)
    records = {"records": [{"splice": 1, "remakes": 0}], "by": "b"}
    sent(f"/v1/installations/{installation}/splice-records", "SpliceRecordsRequest", records, 23)
    browser = FlaskClient(client.application, client.response_wrapper)
    return Scene(client, browser, plan, takeoff, ordered, installation, point["cables"][1]["tag"], texts)


@pytest.fixture(scope="module")
def sheets(scene: Scene) -> dict[str, TestResponse]:
    """Every sheet and drawing, by its address."""
    client = scene.client
    paths = [f"/v1/plans/{scene.plan}/{sheet}" for sheet in SHEETS]
    paths += [f"/v1/takeoffs/{scene.takeoff}/materials.{kind}" for kind in ("csv", "xlsx")]
    paths += [f"/v1/orders/{scene.order}/order.{kind}" for kind in ("csv", "xlsx", "pdf")]
    answers = {path: client.get(path) for path in paths}
    assert {answer.status_code for answer in answers.values()} == {200}
    return answers


def of_kind(sheets: dict[str, TestResponse], ending: str) -> Iterator[tuple[str, bytes]]:
    """The sheets of a kind."""
    found = [(path, answer.get_data()) for path, answer in sheets.items() if path.partition("?")[0].endswith(ending)]
    assert found
    yield from found


def test_the_mischief_comes_in_everywhere(scene: Scene, sheets: dict[str, TestResponse]) -> None:
    """Dozens of texts were taken, and tables and workbooks have some of them: the other tests look at something."""
    assert len(scene.texts) > 20
    cells = {cell for _, content in of_kind(sheets, ".csv") for row in rows_of(content) for cell in row}
    assert len(cells & {not_a_formula(text) for text in scene.texts}) >= 5
    texts = {str(cell.value) for _, content in of_kind(sheets, ".xlsx") for cell in cells_of(content)}
    assert len({text.strip() for text in texts} & {text.strip() for text in scene.texts}) >= 3


def rows_of(content: bytes, delimiter: str = ",") -> list[list[str]]:
    """The rows of a CSV as a program reads them that takes this for the end of a cell."""
    return list(csv.reader(io.StringIO(content.decode(), newline=""), delimiter=delimiter))


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_no_cell_of_a_csv_is_a_formula(sheets: dict[str, TestResponse], delimiter: str) -> None:
    """Whichever delimiter the spreadsheet goes by; what begins like one is a number or has an apostrophe before it."""
    for path, content in of_kind(sheets, ".csv"):
        for row in rows_of(content, delimiter):
            for cell in row:
                seen = cell.strip().strip("\ufeff\u200b").strip()
                assert seen[:1] not in LEADS or not seen or NUMBER.match(seen), (path, cell)
                assert cell.isprintable() or not any(ord(letter) < 32 for letter in cell), (path, cell)


def cells_of(content: bytes) -> Iterator[Any]:
    """Every cell of every sheet of a workbook that has something in it."""
    for sheet in load_workbook(io.BytesIO(content)):
        for row in sheet.iter_rows():
            yield from (cell for cell in row if cell.value is not None)


def test_no_cell_of_a_workbook_is_a_formula_that_was_not_ours(sheets: dict[str, TestResponse]) -> None:
    """Sums alone; no link, no other file, no macro, and no field in a head or foot."""
    for path, content in of_kind(sheets, ".xlsx"):
        for cell in cells_of(content):
            if cell.data_type == "f":
                assert OWN_FORMULA.match(str(cell.value)), (path, cell.value)
            assert cell.hyperlink is None, (path, cell.coordinate)
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            names = archive.namelist()
            assert not any("external" in name.lower() or "vba" in name.lower() for name in names), names
            for name in names:
                assert b'TargetMode="External"' not in archive.read(name), (path, name)
                ElementTree.fromstring(archive.read(name))


def test_a_pdf_does_nothing_but_lie_there(sheets: dict[str, TestResponse]) -> None:
    """No script, no action, no attachment, no form; what can be followed leads to this server alone."""
    for path, content in of_kind(sheets, ".pdf"):
        reader = pypdf.PdfReader(io.BytesIO(content), strict=True)
        root = reader.trailer["/Root"]
        assert not {"/AA", "/AcroForm", "/Names"} & set(root), path
        # Where the first page is shown from is a place; an action would be a dictionary.
        assert isinstance(root.get("/OpenAction", []), list), path
        for page in reader.pages:
            for annotation in page.get("/Annots", ()):
                target = annotation.get_object().get("/A", {})
                assert str(target.get("/URI", "http://localhost/")).startswith("http://localhost/"), (path, target)
        assert not re.search(rb"/(JavaScript|JS|Launch|EmbeddedFile|SubmitForm)\b", content), path
        assert "".join(page.extract_text() for page in reader.pages).strip()


def test_a_drawing_has_no_element_that_was_not_ours(sheets: dict[str, TestResponse]) -> None:
    """Well-formed, of shapes and words alone, and nothing in it leads anywhere."""
    ours = {"svg", "title", "desc", "defs", "pattern", "g", "rect", "circle", "path", "text"}
    for path, content in of_kind(sheets, ".svg"):
        parts = list(ElementTree.fromstring(content).iter())
        assert {part.tag.rpartition("}")[2] for part in parts} <= ours, path
        assert not [name for part in parts for name in part.attrib if name[:2] == "on" or "href" in name], path


def test_no_header_has_text_of_a_caller_in_it(scene: Scene, sheets: dict[str, TestResponse]) -> None:
    """Addresses, tags and file names are made of our own words and ids."""
    answers = [*sheets.values(), *(scene.client.get(path) for path in (f"/v1/plans/{scene.plan}", "/v1/plans"))]
    for answer in answers:
        said = answer.headers.get("Content-Disposition", 'attachment; filename="none"')
        assert re.fullmatch(r'(inline|attachment); filename="[a-z0-9.-]+"', said), said
        for name, value in answer.headers.items():
            assert value.isascii() and value.isprintable(), (name, value)
            assert not any(text in value for text in scene.texts), (name, value)


def test_no_page_has_an_element_that_was_not_ours(scene: Scene) -> None:
    """No element, handler or address of a text's making, wherever it stands, and no text turned around."""
    hung = f"/installations/{scene.installation}"
    paths = ["/", "/plans", f"/plans/{scene.plan}", f"/plans/{scene.plan}/hang", "/catalogue", "/takeoffs", "/orders"]
    paths += [f"/takeoffs/{scene.takeoff}?watch=no", f"/orders/{scene.order}", "/stock", "/installations", hung]
    paths += [f"{hung}/{part}" for part in ("fit", "label", "records", "place", "remove")]
    paths += [f"{hung}/give-up?{urlencode({'cable': scene.cable})}"]
    paths += [f"/catalogue/{kind}" for kind in ("sleeves", "trays", "closures", "cables", "methods", "materials")]
    paths += ["/catalogue/cables/flat-288", "/catalogue/closures/dome-48"]
    for path in paths:
        answer = scene.browser.get(path)
        assert answer.status_code == 200, path
        page = Seen(answer)
        for tag, attributes in page.elements:
            assert not [name for name in attributes if name[:2] == "on" or name == "style"], (path, tag)
            for name in ("href", "src", "action"):
                assert re.match(r"(/|\?|#|data:image/svg)", attributes.get(name, "/")), (path, tag, attributes)
        assert {tag for tag, _ in page.elements}.isdisjoint({"i", "u", "image", "iframe", "object", "base"}), path
        assert all("src" in each for each in page.all("script")), path
        assert "4949" not in page.text, path
        assert not set("\u202a\u202b\u202d\u202e\u2066\u2067\u2068") & set(answer.get_data(as_text=True)), path


def test_what_is_typed_into_a_form_comes_back_as_typed_words(scene: Scene) -> None:
    """Sent by a form, refused or taken, mischief stands on the page that follows as words."""
    for text in (*FORMULAS, *MARKUP):
        fields = {"name": text, "cable-1": text, "tag-1": text, "closure": text}
        answer = scene.browser.post("/fit", data=fields, headers=SAME, follow_redirects=True)
        assert answer.status_code in (200, 422)
        page = Seen(answer)
        assert not any(name[:2] == "on" for _, attributes in page.elements for name in attributes)
        assert all("src" in each for each in page.all("script"))


@pytest.mark.parametrize("text", MISCHIEF)
def test_a_text_is_searched_for_as_it_stands(client: HeldClient, catalogue: Any, handhole: Any, text: str) -> None:
    """Marks of SQL and of its patterns find what has them in it alone, and the tables are there afterwards."""
    client.put("/v1/catalogue", json=catalogue, headers={"If-None-Match": "*"})
    for name in (text, "100 x", "quite another"):
        assert client.post("/v1/plans", json={**handhole, "name": name}).status_code == 201
    found = client.get("/v1/plans", query_string={"name": text}).get_json()["items"]
    assert [each["name"] for each in found] == [text]
    assert len(client.get("/v1/plans").get_json()["items"]) == 3
