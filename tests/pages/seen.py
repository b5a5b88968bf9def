"""A page as it is read in tests: its elements with their attributes, and its words."""

from __future__ import annotations

from html.parser import HTMLParser

from werkzeug.test import TestResponse

SAME = {"Origin": "http://localhost"}
"""The header by which a browser says that a form was sent from a page of the test client's server."""
_EMPTY = frozenset({"meta", "link", "input", "img", "br", "option"})


class Seen(HTMLParser):
    """The elements of a page as (name, attributes) and its words; fails on elements that are closed out of order."""

    def __init__(self, response: TestResponse) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str]]] = []
        self.words: list[str] = []
        self._open: list[str] = []
        assert response.mimetype == "text/html", response.mimetype
        self.feed(response.get_data(as_text=True))
        self.close()
        assert self._open == [], self._open

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, {name: value or "" for name, value in attrs}))
        if tag not in _EMPTY:
            self._open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if tag not in _EMPTY:
            assert self._open.pop() == tag

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict.fromkeys([name for name, _ in attrs], "")))

    def handle_data(self, data: str) -> None:
        self.words.append(data)

    @property
    def text(self) -> str:
        """All words, single-spaced."""
        return " ".join("".join(self.words).split())

    def by_id(self, id: str) -> dict[str, str]:
        """The attributes of the one element with this id."""
        found = [attributes for _, attributes in self.elements if attributes.get("id") == id]
        assert len(found) == 1, (id, found)
        return found[0]

    def all(self, tag: str) -> list[dict[str, str]]:
        """The attributes of every element of a name."""
        return [attributes for name, attributes in self.elements if name == tag]

    def fields(self, action: str) -> dict[str, str]:
        """The hidden fields of the page's forms that are sent to an address (all hidden fields after its form)."""
        inside, found = False, {}
        for tag, attributes in self.elements:
            if tag == "form":
                inside = attributes.get("action") == action and attributes.get("method") == "post"
            elif inside and tag == "input" and attributes.get("type") == "hidden":
                found[attributes["name"]] = attributes["value"]
        return found
