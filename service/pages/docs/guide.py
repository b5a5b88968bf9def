"""The guide: short pages in ``guide/``, each about one thing that people come to do."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from flask import Response
from werkzeug.exceptions import NotFound

from service.pages.blueprint import routes
from service.pages.docs.prose import first_heading, prose
from service.pages.rendering import page

FOLDER = Path(__file__).parent / "guide"
ORDER = (
    "quickstart", "catalogue", "planning-rules", "takeoffs", "importing", "orders", "field", "clients", "webhooks",
    "operating", "keeping", "threats", "glossary", "algorithm",
)  # fmt: skip
"""The pages in the order in which they are read."""


@dataclass(frozen=True, slots=True)
class Chapter:
    """A page of the guide; ``text`` is Markdown and begins with the title."""

    name: str
    title: str
    text: str


def _chapter(name: str) -> Chapter:
    text = (FOLDER / f"{name}.md").read_text("utf-8")
    return Chapter(name, first_heading(text), text)


CHAPTERS = tuple(_chapter(name) for name in ORDER)


@routes.get("/docs/guide")
def list_chapters() -> Response:
    """What there is to read."""
    return page("docs/guide.html", chapters=CHAPTERS)


@routes.get("/docs/guide/<name>")
def read_chapter(name: str) -> Response:
    """One page, with the way to the next."""
    place = next((place for place, each in enumerate(CHAPTERS) if each.name == name), None)
    if place is None:
        raise NotFound
    following = CHAPTERS[place + 1] if place + 1 < len(CHAPTERS) else None
    return page("docs/chapter.html", chapter=CHAPTERS[place], body=prose(CHAPTERS[place].text), following=following)
