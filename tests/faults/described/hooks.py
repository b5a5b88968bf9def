"""What Schemathesis is told beside the description: how lines and workbooks are sent, and what is no fault."""

from __future__ import annotations

import json
import os
import zlib
from typing import Any

import schemathesis
from schemathesis.specs.openapi import checks

from tests.api.hung import DROP
from tests.contract.live_hooks import as_lines, as_map, as_table, as_workbook
from tests.faults.described.files import FILES
from tests.faults.written import request

__all__ = ["as_lines", "as_map", "as_table", "as_workbook", "is_a_fault", "meant"]

SAID_IN_WORDS = {
    # Whether a header is a list of entity tags (RFC 9110, section 8.8.3) and a cursor one that was given is no pattern.
    ("If-Match", "syntax"),
    ("If-None-Match", "syntax"),
    ("cursor", "cursor"),
    # Two parameters, each good by itself, that say the opposite of each other or of the body.
    ("If-None-Match", "contradiction"),
    ("apply", "contradiction"),
    ("within_km", "contradiction"),
    ("name", "contradiction"),
    ("tags", "contradiction"),
    ("closure_kinds", "contradiction"),
    # The published limits that there are come with the version, not with the description.
    ("preset", "unknown_preset"),
    # A pair of figures, each with bounds of its own.
    ("near", "range"),
    # Splice points are read one by one, so the list of them takes anything; the strict reader reads them all the same.
    ("", "number"),
}
"""Parameters that a schema allows and the words beside it do not, with the code that they are refused with."""
# After ten bad tokens in a minute the next ones are refused unread, with 429: the check ``ignored_auth`` is to know.
checks.AUTH_REJECTION_STATUSES = frozenset({401, 403, 429})
OWN_TOKEN = os.environ.get("FUZZED_WITH", "")
"""The id of the token that the run itself shows."""


JOINED = {"/v1/plans": request(), "/v1/fit-checks": request(), "/v1/installations/{id}/additions": DROP}
"""What is good to plan, by the path that it is sent to."""


@schemathesis.hook("map_case")
def meant(context: Any, case: Any) -> Any:
    """Give requests that are valid by the schema a chance to be good by the rules of the trade, too.

    The run keeps its own token. Drawn at random, joints hardly ever are of cables that are there, and the two codes of
    what is put never the same; both preconditions at once say the opposite of each other.
    """
    path = case.path_parameters or {}
    if case.method == "DELETE" and path.get("id") == OWN_TOKEN:
        path["id"] = "0" * 32
    if case.meta is None or not case.meta.generation.mode.is_positive:
        return case
    if case.method == "POST" and case.operation.path in FILES:
        return _with_file(case)
    if not isinstance(case.body, dict):
        return case
    good = JOINED.get(case.operation.path)
    if good is not None and "site" not in case.body:
        case.body = {**case.body, "cables": good["cables"], "joints": good["joints"]}
    if case.method == "PUT":
        _put(case, path)
    return case


def _with_file(case: Any) -> Any:
    """Every other file is one that can be read: drawn at random none is."""
    if zlib.crc32(repr(case.body).encode()) % 2:
        section, case.body = FILES[case.operation.path]
        if section:
            case.query = {**(case.query or {}), "section": section}
    return case


def _put(case: Any, path: dict[str, Any]) -> None:
    if "code" in case.body and "code" in path:
        case.body["code"] = path["code"]
    if "If-Match" in case.headers and "If-None-Match" in case.headers:
        del case.headers["If-None-Match" if case.headers["If-Match"] == "*" else "If-Match"]


@schemathesis.hook("filter_failure")
def is_a_fault(context: Any, failure: Any, case: Any, response: Any) -> bool:
    """Whether what a check complains of is one: all of it is, but for what ``SAID_IN_WORDS`` has, and what stays."""
    kind = type(failure).__name__
    if kind == "UseAfterFree" and response.status_code == 200:
        return not _stays(case.operation.path, response.content)
    if kind == "AcceptedNegativeData" and case.operation.path in FILES:
        # A schema of text cannot tell bytes that are a file from bytes that are none.
        return False
    if kind == "RejectedPositiveData" and response.status_code == 400:
        # From the pattern ^[*]$ Schemathesis makes "0" as well.
        return not _said_in_words(response.content) and case.headers.get("If-None-Match") != "0"
    return True


def _said_in_words(content: bytes) -> bool:
    faults = json.loads(content).get("errors", [])
    told = {(each.get("parameter", each.get("pointer")), each["code"]) for each in faults}
    return bool(told) and told <= SAID_IN_WORDS


def _stays(path: str, content: bytes) -> bool:
    """Whether what was removed is there by its description: retired, a revoked token, or a cancelled takeoff."""
    if path.startswith("/v1/takeoffs/{id}/"):
        # What was planned until then can be read. That a removed one leaves nothing, lives of a service hold.
        return True
    left = json.loads(content) if content.startswith(b"{") else {}
    return left.get("retired") is True or left.get("state") == "cancelled" or bool(left.get("revoked"))
