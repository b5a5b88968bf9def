"""Documents held against the published description before a command uses them, as the API holds a body against it."""

from __future__ import annotations

from functools import cache
from typing import Any

from service.api.explaining import explained, own_errors
from service.api.spec import Spec, load_spec
from service.api.strict_json import MalformedJson, read_json
from service.api.takeoffs.point_checks import PointChecks
from service.cli.failures import CommandError
from service.cli.places import settings

_FAULTS_MOST = 100
"""Faults named of one document; more are counted."""


def checked_catalogue(source: bytes, name: str) -> dict[str, Any]:
    """A catalogue document that the description allows; raises ``CommandError`` with a line for each fault."""
    return _checked(source, name, "Catalogue")


def checked_request(source: bytes, name: str) -> dict[str, Any]:
    """A plan request that the description allows; raises ``CommandError`` with a line for each fault."""
    return _checked(source, name, "PlanRequest")


def _checked(source: bytes, name: str, schema: str) -> dict[str, Any]:
    try:
        document = read_json(source, settings().json_depth)
    except MalformedJson as error:
        raise CommandError(f"{name}: {error}") from error
    validator = _spec().validator(schema)
    if validator.is_valid(document):
        return dict(document)
    faults = explained(schema, document) or own_errors(validator, document)
    more = len(faults) - _FAULTS_MOST
    raise CommandError(
        *(f"{name}: {fault.pointer or '/'}: {fault.detail}" for fault in faults[:_FAULTS_MOST]),
        *([f"{name}: and {more} more faults"] if more > 0 else []),
    )


def point_checks() -> tuple[PointChecks, str]:
    """What holds splice points of a takeoff against the description, and the version that it is of."""
    return PointChecks(_spec(), settings().json_depth), _spec().version


def description() -> Spec:
    """The published description that the settings name."""
    return _spec()


@cache
def _spec() -> Spec:
    """The description, read once a process."""
    return load_spec(settings().spec)
