"""What is sent and answered, as pages of the reference tell it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from http import HTTPStatus
from typing import Any

from service.api.spec import Node, Spec
from service.pages.docs.described import Told, told


@dataclass(frozen=True, slots=True)
class Content:
    """A body in one media type: its schema, and the names of its examples that have pages."""

    media_type: str
    schema: Told
    examples: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Answer:
    """An answer of an operation. ``after`` are operations that go on from it, by id."""

    status: str
    text: str
    contents: tuple[Content, ...]
    headers: tuple[str, ...]
    after: tuple[str, ...]


def answers(spec: Spec, node: Node) -> Iterator[Answer]:
    """The answers of an operation, given as it is described."""
    for status, each in node["responses"].items():
        answer = spec.resolved(each)
        after = tuple(spec.resolved(link)["operationId"] for link in answer.get("links", {}).values())
        yield Answer(
            _spoken(status), answer["description"], contents(spec, answer), tuple(answer.get("headers", ())), after
        )


def _spoken(status: str) -> str:
    if status.isdigit():
        return f"{status} {HTTPStatus(int(status)).phrase}"
    return "Any other" if status == "default" else f"Any {status.lower()}"


def contents(spec: Spec, node: Node) -> tuple[Content, ...]:
    """The bodies of a request or an answer, one for each media type."""
    return tuple(
        Content(media_type, told(spec, media["schema"]), _examples(media))
        for media_type, media in node.get("content", {}).items()
    )


def _examples(media: Mapping[str, Any]) -> tuple[str, ...]:
    referred = (str(each.get("$ref", "")) for each in media.get("examples", {}).values())
    return tuple(each.removeprefix("#/components/examples/") for each in referred if each)
