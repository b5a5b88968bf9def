"""The bodies of a takeoff: the whole document, and a single splice point."""

from __future__ import annotations

from typing import Any

from marshmallow import fields

from service.api.fields import Entries, Integer, Items, Number, Text
from service.api.schemas import words
from service.api.schemas.plan_requests import PlanRequestSchema

_TAG_NAME = r"[A-Za-z0-9][A-Za-z0-9._-]{0,39}"


def tags() -> Entries:
    """Tags of the caller's own."""
    expects = "The name of a tag has letters, digits, dots, dashes and underscores, and starts with a letter or digit."
    name = Text(longest=40, shortest=1, pattern=_TAG_NAME, expects=expects)
    return Entries(name, words.line(100), most=10)


class MapPositionSchema(words.Body):
    """Where a splice point is."""

    longitude = Number(least=-180, most=180, required=True)
    latitude = Number(least=-90, most=90, required=True)
    altitude_m = Number(least=-20_000, most=20_000)


class SplicePointSchema(PlanRequestSchema):
    """A plan request with tags, and where it is."""

    tags = tags()
    position = words.inner(MapPositionSchema)


class AskedKindsSchema(words.Body):
    """How many models of closure are to do."""

    most = Integer(least=1, most=100, required=True)


def _anything() -> fields.Field[Any]:
    return fields.Raw(allow_none=True)


class TakeoffRequestSchema(words.Body):
    """A whole build in one document; its splice points are judged one by one, elsewhere."""

    name = words.line(shortest=0)
    tags = tags()
    closure_kinds = words.inner(AskedKindsSchema)
    splice_points = Items(_anything(), fewest=1, most=10_000, required=True)
