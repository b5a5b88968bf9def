"""Why a body was refused: every fault with a pointer to its place, a code and a sentence.

Runs only after the compiled schema has refused a body. Its verdict stands whatever the explanation says: where the
explaining schema finds nothing wrong, the compiled schema's own errors are told.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

import jsonschema_rs
from marshmallow import Schema

from service.api.fields import Said
from service.api.schemas import SCHEMAS
from service.domain.faults import Fault

_LONGEST_POINTER = 1000


@cache
def _schema(name: str) -> Schema:
    return SCHEMAS[name]()


def explained(name: str, document: Any) -> list[Fault]:
    """The faults that the explaining schema of this name finds; none where it finds the body in order."""
    errors = _schema(name).validate(document) if isinstance(document, dict) else _NO_OBJECT
    return list(_faults(errors, ""))


def own_errors(validator: jsonschema_rs.Validator, document: Any) -> list[Fault]:
    """The compiled schema's own errors as faults."""
    return [
        Fault(_joined("", error.instance_path), "schema", f"The published schema refuses this ({error.kind.name}).")
        for error in validator.iter_errors(document)
    ]


_NO_OBJECT = {"_schema": [Said("type", "The body is an object.")]}


def _faults(errors: Any, pointer: str) -> Iterator[Fault]:
    """Walk marshmallow's errors: members and items by name and number, messages in lists."""
    if isinstance(errors, Mapping):
        for name, inside in errors.items():
            yield from _faults(inside, pointer if _of_object(name, inside) else _joined(pointer, [name]))
        return
    for message in errors:
        code = message.code if isinstance(message, Said) else "invalid"
        yield Fault(pointer, code, str(message))


def _of_object(name: Any, inside: Any) -> bool:
    """Whether errors under this name are of the object itself, and not of a member that is called ``_schema``."""
    if name != "_schema" or not isinstance(inside, list):
        return False
    return not any(isinstance(message, Said) and message.code == "unknown_member" for message in inside)


def _joined(pointer: str, names: list[Any]) -> str:
    """The pointer to a place further in. One that gets too long for an answer ends at the place before."""
    for name in names:
        longer = f"{pointer}/{str(name).replace('~', '~0').replace('/', '~1')}"
        if len(longer) > _LONGEST_POINTER:
            return pointer
        pointer = longer
    return pointer
