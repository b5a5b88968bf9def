"""The documentation that the service carries: all of the description is in it, and every link of it leads somewhere."""

from __future__ import annotations

import re

import pytest
import yaml
from flask.testing import FlaskClient

from service.api.problem_kinds import KINDS
from service.api.spec import load_spec
from service.pages.docs.described import is_simple, members, told
from service.pages.docs.guide import CHAPTERS, FOLDER
from service.pages.docs.prose import prose
from tests.cli.command_line import ROOT
from tests.pages.seen import Seen

SPEC = load_spec()
COMPONENTS = SPEC.document["components"]
PAGES = [
    *("/docs", "/docs/guide", "/docs/schemas", "/docs/problems"),
    *(f"/docs/guide/{chapter.name}" for chapter in CHAPTERS),
    *(f"/docs/operations/{operation.id}" for operation in SPEC.operations.values()),
    *(f"/docs/webhooks/{name}" for name in SPEC.document["webhooks"]),
    *(f"/docs/schemas/{name}" for name in COMPONENTS["schemas"] if not is_simple(SPEC, name)),
    *(f"/docs/examples/{name}" for name in COMPONENTS["examples"]),
]


def test_every_page_of_the_documentation_is_small_and_brings_all_it_needs(browser: FlaskClient) -> None:
    """Under 30 kB, with one heading of the first order; every link stays on this server and leads to a page."""
    linked: set[str] = set()
    for path in PAGES:
        answer = browser.get(path)
        assert answer.status_code == 200 and len(answer.get_data()) < 30_000, path
        page = Seen(answer)
        assert len(page.all("h1")) == 1, path
        assert not page.all("script"), path
        linked |= {each["href"] for each in page.all("a")}
    outside = {address for address in linked if not address.startswith(("/", "#"))}
    assert outside == set()
    for address in sorted(linked - set(PAGES) - {"#content"}):
        assert browser.get(address).status_code == 200, address


def test_the_reference_lists_every_operation(browser: FlaskClient) -> None:
    """Nothing that the description describes is missing from the reference."""
    text = Seen(browser.get("/docs")).text
    assert [each.id for each in SPEC.operations.values() if f"{each.method.upper()} {each.path}" not in text] == []


def test_the_reference_tells_what_webhooks_are_told(browser: FlaskClient) -> None:
    """Each is listed and has a page with its headers, its event, an example of it, and what may be answered."""
    listed = {each["href"] for each in Seen(browser.get("/docs")).all("a")}
    for name, item in SPEC.document["webhooks"].items():
        assert f"/docs/webhooks/{name}" in listed
        page = Seen(browser.get(f"/docs/webhooks/{name}"))
        assert [
            word for word in ("webhook-id", "webhook-timestamp", "webhook-signature") if word not in page.text
        ] == []
        (media,) = item["post"]["requestBody"]["content"].values()
        schema = media["schema"]["$ref"].removeprefix("#/components/schemas/")
        (example,) = (each["$ref"].removeprefix("#/components/examples/") for each in media["examples"].values())
        links = {each["href"] for each in page.all("a")}
        assert {f"/docs/schemas/{schema}", f"/docs/examples/{example}"} <= links
        assert "Any 2xx" in page.text and "410 Gone" in page.text and "Any other" in page.text


@pytest.mark.parametrize("id", ["createPlan", "putClosure", "createTakeoff"])
def test_an_operation_tells_its_parameters_and_answers(browser: FlaskClient, id: str) -> None:
    """Every parameter, every status and every header of an operation stands on its page."""
    (operation,) = (each for each in SPEC.operations.values() if each.id == id)
    text = Seen(browser.get(f"/docs/operations/{id}")).text
    assert [each.name for each in operation.parameters if each.name not in text] == []
    assert [status for status in operation.node["responses"] if status.isdigit() and f"{status} " not in text] == []
    assert operation.node["summary"] in text


def test_members_are_told_with_kind_bounds_and_default() -> None:
    """A rule of a plan is told as it is described: what it can be, and what it is where it is left out."""
    rules = {member.name: member.told for member in members(SPEC, {"$ref": "#/components/schemas/Rules"})}
    assert (
        rules["keep"].kind == "one of `tube`, `joint`, `none`" and "`tube` where it is left out" in rules["keep"].bounds
    )
    assert rules["remakes"].kind == "whole number" and "at most `100`" in rules["remakes"].bounds
    assert rules["reserve"].schemas == ("Reserve",)
    assert rules["rework"].kind == "number or one of `recorded` or null"


def test_the_parts_of_a_schema_are_told_as_one() -> None:
    """A stored plan has the members of a plan and its own, those that are always there first."""
    listed = members(SPEC, {"$ref": "#/components/schemas/StoredPlan"})
    assert {"id", "created", "fits", "trays"} <= {member.name for member in listed}
    required = [member.required for member in listed]
    assert required == sorted(required, reverse=True)
    assert told(SPEC, {"$ref": "#/components/schemas/StoredPlan"}).schemas == ("StoredPlan",)


def test_markup_in_a_description_stays_text() -> None:
    """What is written into the description cannot become an element of the page."""
    assert "<script" not in prose("<script>alert(1)</script> and <b>more</b>")


def test_every_kind_of_problem_is_explained(browser: FlaskClient) -> None:
    """Each has its own address, where its title and what to do about it stand, and all are listed."""
    text = Seen(browser.get("/docs/problems")).text
    for kind in KINDS.values():
        assert kind.title in text and f"/problems/{kind.slug}" in text
        own = browser.get(f"/problems/{kind.slug}").get_data(as_text=True)
        assert kind.title.replace("'", "&#x27;") in own


@pytest.mark.parametrize(
    "path",
    ["/docs/operations/none", "/docs/webhooks/none", "/docs/schemas/Code", "/docs/examples/none", "/docs/guide/none"],
)
def test_what_is_not_there_is_not_found(browser: FlaskClient, path: str) -> None:
    """An unknown name is a page that says so, also that of a schema that is told where it is used."""
    assert browser.get(path).status_code == 404


def test_the_guide_has_every_page_once() -> None:
    """Each file of the guide has a place in its order, a title of its own, and nothing left to be written."""
    assert sorted(path.stem for path in FOLDER.glob("*.md")) == sorted(chapter.name for chapter in CHAPTERS)
    assert len({chapter.title for chapter in CHAPTERS}) == len(CHAPTERS)
    assert [chapter.name for chapter in CHAPTERS if re.search(r"\b(TODO|TBD)\b", chapter.text)] == []


def test_the_guide_tells_generators_what_the_tests_tell_them() -> None:
    """The media types that the page on programs has readers write down are those that the client is made with."""
    (chapter,) = (each for each in CHAPTERS if each.name == "clients")
    shown = re.search(r"^content_type_overrides:\n(?:  .*\n)+", chapter.text, re.MULTILINE)
    told_in_tests = (ROOT / "tests" / "clients" / "python_client.yml").read_text("utf-8")
    assert shown is not None and yaml.safe_load(shown[0]) == yaml.safe_load(told_in_tests)
