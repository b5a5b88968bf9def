"""From a request to the bytes of its answer, as the API writes it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import orjson

from service.api.strict_json import read_json
from service.documents.plan import plan_to
from service.documents.request import request_from
from service.domain.catalogue import Catalogue
from service.domain.plan import Plan
from service.domain.records import Tally
from service.domain.request import PlanRequest
from service.planning.plan import plan_splice_point


@dataclass(frozen=True, slots=True)
class Answered:
    """A request with its plan; ``document`` is the request as it was read, written as the API would store it."""

    document: bytes
    request: PlanRequest
    plan: Plan


def answered(source: bytes, catalogue: Catalogue, recorded: Sequence[Tally] = ()) -> Answered:
    """Plan a request given as JSON that the schema lets pass; raises ``Refused``.

    ``recorded``: what splice records have taught, for a request that asks for it.
    """
    document = read_json(source)
    request = request_from(document)
    return Answered(orjson.dumps(document), request, plan_splice_point(request, catalogue, recorded=recorded))


def answer_bytes(plan: Plan) -> bytes:
    """The answer as the service writes it, less ``id`` and ``created``."""
    return orjson.dumps(plan_to(plan))
