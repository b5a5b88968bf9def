"""A hung closure as an answer, with its entity tag.

The tag is the installation's revision and, after a dot, the catalogue's: what room is left follows from that too. A
change is guarded by the first number alone, and a tag of that number alone will do.
"""

from __future__ import annotations

from typing import NamedTuple

import orjson
from flask import Response, request

from service.api.answers import tagged
from service.api.preconditions import expected_of_compound
from service.api.state import state
from service.documents.free_room import free_room_to
from service.documents.installation import installation_to
from service.domain.installation import Installation
from service.planning.hanging.free_room import free_room
from service.store import Expectation, StoredAnswer, as_hung


class Told(NamedTuple):
    """An installation's document in bytes, and its entity tag without quotes."""

    body: bytes
    tag: str


def told(installation: Installation) -> Told:
    """An installation as it is answered, with the room that is left in it by the catalogue as it is."""
    snapshot = state().store.snapshot()
    room = free_room_to(free_room(installation.contents, as_hung(snapshot, installation.contents)))
    body = orjson.dumps(installation_to(installation, room))
    return Told(body, f"{installation.revision}.{snapshot.catalogue_revision}")


def replayed_installation(earlier: StoredAnswer) -> Response:
    """The answer to a change as its key has it, with the tag that the installation had then."""
    body = earlier.body or b"{}"
    return tagged(body, orjson.loads(body)["revision"])


def expected_installation() -> Expectation:
    """What the caller expects to change; raises the 428 problem where it does not say."""
    return expected_of_compound()


def expected_if_said() -> Expectation | None:
    """What the caller expects to change, None where it does not say: then whatever is read first is meant."""
    return expected_of_compound() if "If-Match" in request.headers else None
