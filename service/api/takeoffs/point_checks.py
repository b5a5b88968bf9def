"""Holding a splice point against the published schema, whether it came as a line of text or inside a document."""

from __future__ import annotations

from typing import Any

from service.api.explaining import explained, own_errors
from service.api.narrower import Narrower
from service.api.spec import Spec
from service.api.strict_json import MalformedJson, read_json
from service.building.reading import Checked
from service.domain.faults import Fault

SCHEMA = "SplicePoint"
_FAULTS_MOST = 50
"""Faults told of one splice point; a takeoff of a hundred thousand with a thousand faults each helps nobody."""

_TOO_LONG = Fault("", "too_long", "This line is longer than a single request may be.")


class PointChecks:
    """The checks of one takeoff's splice points.

    ``depth`` is how many levels a line may be nested, ``narrower`` what the operator allows less of than the schema.
    """

    def __init__(self, spec: Spec, depth: int, narrower: Narrower | None = None) -> None:
        self._narrower = narrower
        self._validator = spec.validator(SCHEMA)
        self._depth = depth

    def of_line(self, text: bytes | None) -> Checked:
        """Check a line; None is one that was too long to be read."""
        if text is None:
            return Checked(None, (_TOO_LONG,))
        try:
            document = read_json(text, self._depth, "line")
        except MalformedJson as error:
            return Checked(None, (Fault("", error.code, str(error)),))
        return self.of_document(document)

    def of_document(self, document: Any) -> Checked:
        """Check a document; the compiled schema has the verdict, and only what it refuses is explained."""
        if self._validator.is_valid(document):
            beyond = self._narrower.faults(document) if self._narrower else ()
            return Checked(document, tuple(sorted(beyond))[:_FAULTS_MOST])
        faults = explained(SCHEMA, document) or own_errors(self._validator, document)
        shown = tuple(sorted(set(faults)))[:_FAULTS_MOST]
        return Checked(document if isinstance(document, dict) else None, shown)
