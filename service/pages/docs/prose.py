"""Markdown as HTML: the guide's pages, and the descriptions in ``openapi.yaml``."""

from __future__ import annotations

from markdown_it import MarkdownIt
from markupsafe import Markup

from service.pages.blueprint import routes

# Raw HTML stays text, so that nothing in a description can become an element.
_MARKDOWN = MarkdownIt("commonmark", {"html": False}).enable("table")


def prose(text: str) -> Markup:
    """The text as paragraphs, lists, tables and blocks of code; raw HTML is shown as text."""
    return Markup(_MARKDOWN.render(text))


def prose_in_line(text: str) -> Markup:
    """A sentence or two without a paragraph around them, for a cell of a table."""
    return Markup(_MARKDOWN.renderInline(text))


def first_heading(text: str) -> str:
    """What the page is called: its first line, without the mark of a heading."""
    return text.partition("\n")[0].lstrip("# ").strip()


routes.add_app_template_filter(prose, "prose")
routes.add_app_template_filter(prose_in_line, "prose_in_line")
