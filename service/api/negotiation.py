"""Which media type an answer has, by the Accept header (RFC 9110, section 12.5.1)."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

_TOKEN = r"[!#$%&'*+.^_`|~0-9A-Za-z-]+"
_RANGE = re.compile(rf"\s*({_TOKEN})/({_TOKEN})\s*((?:;[^,]*)?)\Z")
_QUALITY = re.compile(r"(?:0(?:\.[0-9]{0,3})?|1(?:\.0{0,3})?)\Z")


@dataclass(frozen=True, slots=True)
class _Accepted:
    kind: str
    subkind: str
    quality: float

    def precedence(self, media_type: str) -> int:
        """How narrowly this range names the media type: 0 not at all, 3 by its very name."""
        kind, _, subkind = media_type.partition("/")
        if (self.kind, self.subkind) == ("*", "*"):
            return 1
        if self.kind != kind:
            return 0
        if self.subkind == "*":
            return 2
        return 3 if self.subkind == subkind else 0


def chosen(accept: str | None, offered: Sequence[str]) -> str | None:
    """The media type of ``offered`` that the caller likes best, the first of equals; None: it accepts none of them.

    A header that is missing or cannot be read at all accepts anything. Parameters other than ``q`` do not narrow.
    """
    accepted = _read(accept or "")
    if not accepted:
        return offered[0]
    best, best_quality = None, 0.0
    for media_type in offered:
        quality = _quality(accepted, media_type)
        if quality > best_quality:
            best, best_quality = media_type, quality
    return best


def _quality(accepted: list[_Accepted], media_type: str) -> float:
    """The quality of the narrowest range that names the media type, 0 where none does."""
    named = [(each.precedence(media_type), each.quality) for each in accepted if each.precedence(media_type)]
    return max(named)[1] if named else 0.0


def _read(accept: str) -> list[_Accepted]:
    ranges = []
    for part in accept.lower().split(","):
        match = _RANGE.match(part)
        if match and not (match[1] == "*" and match[2] != "*"):
            ranges.append(_Accepted(match[1], match[2], _stated_quality(match[3])))
    return ranges


def _stated_quality(parameters: str) -> float:
    for parameter in parameters.split(";"):
        name, _, value = parameter.partition("=")
        if name.strip() == "q":
            value = value.strip()
            return float(value) if _QUALITY.match(value) else 0.0
    return 1.0
