"""The stylesheet, the script and the mark, each at a path that changes with its content and so may be kept for ever."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path

_FOLDER = Path(__file__).parent / "static"


@dataclass(frozen=True, slots=True)
class Asset:
    """A file that pages refer to: its path on the server, its media type, its bytes."""

    path: str
    content_type: str
    content: bytes


def _asset(name: str, content_type: str) -> Asset:
    content = (_FOLDER / name).read_bytes()
    stem, _, ending = name.partition(".")
    return Asset(f"/assets/{stem}-{hashlib.sha256(content).hexdigest()[:12]}.{ending}", content_type, content)


STYLE = _asset("style.css", "text/css; charset=utf-8")
SCRIPT = _asset("progress.js", "text/javascript; charset=utf-8")
MARK = _asset("mark.svg", "image/svg+xml")
BY_PATH = {asset.path: asset for asset in (STYLE, SCRIPT, MARK)}
