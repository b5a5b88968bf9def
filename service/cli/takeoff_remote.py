"""A takeoff sent to a server that runs already, and watched from here."""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from os import SEEK_END
from pathlib import Path
from shutil import copyfileobj
from tempfile import TemporaryFile
from typing import IO, Any
from urllib.error import HTTPError, URLError
from urllib.parse import urlencode
from urllib.request import Request, urlopen

from service.cli.failures import CommandError
from service.cli.takeoff_files import PATHS
from service.cli.takeoff_input import points_file
from service.cli.takeoff_watch import watch
from service.sheets.takeoff_text import outcome_text, totals_text

_WAIT_S = 600
_BLOCK = 1024 * 1024


def run_remote(arguments: argparse.Namespace) -> int:
    """Send the file, watch the takeoff, print what it comes to."""
    server = arguments.server.rstrip("/")
    if not server.startswith(("http://", "https://")):
        raise CommandError(f"--server {arguments.server}: an address begins with http:// or https://")
    told = {"name": arguments.name, "closure_kinds": arguments.closure_kinds, "strict": arguments.strict or None}
    query = urlencode({name: str(value).lower() if value is True else value for name, value in told.items() if value})
    with points_file(arguments.file) as given, _measured(given) as (stream, length):
        # Read as it is sent, so that neither side holds all of it; the length tells the server that all of it came.
        headers = {"Content-Type": "application/x-ndjson", "Content-Length": str(length)}
        takeoff = _answer(Request(f"{server}/v1/takeoffs?{query}", stream, headers, method="POST"))
    address = f"{server}/v1/takeoffs/{takeoff['id']}"
    takeoff = watch(lambda: _answer(Request(address)), sys.stderr)
    lines = outcome_text(takeoff)
    if takeoff["state"] == "finished":
        lines += totals_text(takeoff["totals"], _answer(Request(f"{address}/materials"))["items"])
    else:
        lines.append(f"It was {takeoff['state']}. {takeoff.get('why', '')}".rstrip())
    print("\n".join([*lines, "", address]))
    if arguments.out is not None and takeoff["state"] == "finished":
        _fetch(address, Path(arguments.out))
    return 0 if takeoff["state"] == "finished" else 1


@contextmanager
def _measured(stream: IO[bytes]) -> Iterator[tuple[IO[bytes], int]]:
    """A stream and how many bytes are left in it; what comes through a pipe is kept in a file first."""
    if stream.seekable():
        start = stream.tell()
        length = stream.seek(0, SEEK_END) - start
        stream.seek(start)
        yield stream, length
        return
    with TemporaryFile() as kept:
        copyfileobj(stream, kept, _BLOCK)
        length = kept.tell()
        kept.seek(0)
        yield kept, length


def _fetch(address: str, file: Path) -> None:
    """Write the plans, or by the file's ending the table or workbook, as they come."""
    path = PATHS.get(file.suffix.lower(), "plans.ndjson")
    with _opened(Request(f"{address}/{path}")) as answer, file.open("wb") as stream:
        while block := answer.read(_BLOCK):
            stream.write(block)


def _answer(request: Request) -> dict[str, Any]:
    with _opened(request) as answer:
        document: dict[str, Any] = json.load(answer)
    return document


def _opened(request: Request) -> IO[bytes]:
    # Not an argument of the command: those of every process can be read by whoever is on this machine.
    token = os.environ.get("TRAYWRIGHT_TOKEN", "").strip()
    if token:
        request.add_unredirected_header("Authorization", f"Bearer {token}")
    try:
        answer: IO[bytes] = urlopen(request, timeout=_WAIT_S)
    except HTTPError as error:
        raise CommandError(*_told(error)) from error
    except URLError as error:
        raise CommandError(f"{request.full_url}: {error.reason}") from error
    return answer


def _told(error: HTTPError) -> list[str]:
    """What the server's problem document says, a line a fault."""
    try:
        problem: Mapping[str, Any] = json.load(error)
    except ValueError:
        return [f"{error.url}: {error.code} {error.reason}"]
    faults = [
        f"{'line ' + str(fault['line']) + ': ' if 'line' in fault else ''}"
        f"{fault.get('pointer') or fault.get('parameter') or '/'}: {fault['detail']}"
        for fault in problem.get("errors", ())
    ]
    return [*faults, str(problem.get("detail", error.reason))]
