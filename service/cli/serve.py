"""``serve``: answer over HTTP on this machine's own address."""

from __future__ import annotations

import argparse
import ipaddress
import logging
import signal
from dataclasses import replace

from service.cli.failures import CommandError
from service.cli.opening import chosen_url, opened
from service.cli.places import settings


def run(arguments: argparse.Namespace) -> int:
    """Upgrade the database and serve until interrupted."""
    check_host(arguments.host)
    url = chosen_url(arguments)
    with opened(url, make=True):
        pass
    return serve(url, arguments.host, arguments.port, arguments.workers)


def serve(url: str, host: str, port: int, workers: int) -> int:
    """Serve a database that is up to date until interrupted; several workers are processes of their own."""
    # The server's modules are imported here: no other command needs them.
    from service.api.serving import serve_embedded, serve_workers
    from service.app import create_app

    chosen = replace(settings(), database=url, hosts=(host,), port=port, workers=workers)
    logging.basicConfig(format="%(asctime)s %(levelname)s %(name)s: %(message)s", level=logging.INFO)
    logging.getLogger("alembic").setLevel(logging.WARNING)
    signal.signal(signal.SIGTERM, _end)
    shown = f"[{host}]" if ":" in host else host
    print(f"Serving on http://{shown}:{port} (Ctrl-C ends it)", flush=True)
    try:
        if workers == 1:
            serve_embedded(create_app(chosen), chosen)
        else:
            serve_workers(chosen)
    except OSError as error:
        raise CommandError(f"{shown}:{port}: {error.strerror or error}") from error
    return 0


def _end(_signal: int, _frame: object) -> None:
    """End as after Ctrl-C; in a container, where it is process 1, nothing else would make it end."""
    raise KeyboardInterrupt


def check_host(host: str) -> None:
    """Refuse every address but a loopback one: there are no tokens yet that could keep others out."""
    if host == "localhost":
        return
    try:
        loopback = ipaddress.ip_address(host).is_loopback
    except ValueError:
        raise CommandError(f"--host {host}: give an IP address of the loopback network, or localhost") from None
    if not loopback:
        raise CommandError(f"--host {host}: without access tokens the server listens on a loopback address alone")
