"""``serve``: answer over HTTP on this machine's own address."""

from __future__ import annotations

import argparse
import ipaddress
import os
import signal
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext
from dataclasses import replace
from tempfile import TemporaryDirectory

from service.cli.failures import CommandError
from service.cli.opening import chosen_url, opened
from service.cli.places import database_file, settings
from service.cli.telling import telling
from service.logs import log_to_stderr
from service.settings import Settings
from service.store import NotMigrated, StoreError, open_store


def run(arguments: argparse.Namespace) -> int:
    """Upgrade the database and serve until interrupted."""
    url = chosen_url(arguments)
    check_hosts(arguments, url)
    with opened(url, make=True) as store:
        # A damaged file is told before anything of it is served.
        store.insist_on_sound()
    return serve(url, arguments)


def serve(url: str, arguments: argparse.Namespace) -> int:
    """Serve a database that is up to date until interrupted; several workers are processes of their own.

    Where the arguments do not say how takeoffs are worked on, the settings do.
    """
    chosen = replace(asked(arguments, settings()), database=url)
    with _counting_together(chosen.workers):
        return _serve(chosen, arguments.engine)


@contextmanager
def _counting_together(processes: int) -> Iterator[None]:
    """Let several server processes count in one folder, so that whichever tells the metrics tells those of all."""
    if processes == 1:
        yield
        return
    with TemporaryDirectory(prefix="traywright-metrics-") as folder:
        # What counts looks at this once, when it is imported: so it is set before the server's modules are.
        os.environ["PROMETHEUS_MULTIPROC_DIR"] = folder
        yield


def _serve(chosen: Settings, engine: bool) -> int:
    # The server's modules are imported here: no other command needs them.
    from service.api.serving import serve_embedded, serve_workers
    from service.api.traces import TracesNotInstalled, collector
    from service.app import create_app

    if engine or chosen.engine:
        chosen = replace(chosen, engine=True)
        with opened(chosen.database) as store:
            store.takeoffs.deliver_by_engine()
    if chosen.traces:
        try:
            # Tried here, so that a worker process need not find out.
            collector(chosen.traces).shutdown()
        except TracesNotInstalled as error:
            raise CommandError(str(error)) from error
    _check_rate(chosen)
    log_to_stderr(chosen)
    signal.signal(signal.SIGTERM, _end)
    addresses = [f"{f'[{host}]' if ':' in host else host}:{chosen.port}" for host in chosen.hosts]
    print(f"Serving on {' and '.join(f'http://{each}' for each in addresses)} (Ctrl-C ends it)", flush=True)
    if not _has_token(chosen.database):
        print("There is no access token: whoever is on this machine may do everything (python -m service tokens add)")
    try:
        # The application comes first, so that the server need not share the processor with workers that begin.
        app = create_app(chosen) if chosen.workers == 1 else None
        with _at_work_on_takeoffs(chosen), telling(chosen):
            if app is not None:
                serve_embedded(app, chosen)
            else:
                serve_workers(chosen)
    except OSError as error:
        raise CommandError(f"{' and '.join(addresses)}: {error.strerror or error}") from error
    return 0


def _check_rate(chosen: Settings) -> None:
    """Refuse a rate that could not be kept."""
    if chosen.rate_limit is None:
        return
    if chosen.rate_store:
        from service.api.rate.shared import NoSharedWindows, SharedWindows

        try:
            SharedWindows(chosen.rate_store, chosen.rate_limit.seconds).close()
        except NoSharedWindows as error:
            raise CommandError(f"TRAYWRIGHT_RATE_STORE: {error}") from error
    elif chosen.workers > 1:
        # Each process would let pass what was set for all of them.
        raise CommandError("TRAYWRIGHT_RATE_LIMIT: several processes count in Redis; set TRAYWRIGHT_RATE_STORE as well")


def asked(arguments: argparse.Namespace, chosen: Settings) -> Settings:
    """The settings of the environment with what the arguments say instead."""
    said = {name: getattr(arguments, name) for name in ("port", "workers", "takeoff_workers")}
    if arguments.host is not None:
        said["hosts"] = (arguments.host,)
    return replace(chosen, **{name: value for name, value in said.items() if value is not None})


def _at_work_on_takeoffs(chosen: Settings) -> AbstractContextManager[object]:
    from service.building.demand_work import demand_work
    from service.building.embedded import EmbeddedWorkers

    if chosen.takeoff_workers == 0:
        return nullcontext()
    return EmbeddedWorkers(chosen.database, demand_work(chosen.max_splices), chosen.takeoff_workers)


def _end(_signal: int, _frame: object) -> None:
    """End as after Ctrl-C; in a container, where it is process 1, nothing else would make it end."""
    raise KeyboardInterrupt


def check_hosts(arguments: argparse.Namespace, url: str) -> None:
    """Refuse to serve where an address that is to be listened on needs tokens, and the database has none."""
    for host in asked(arguments, settings()).hosts:
        check_host(host, url)


def check_host(host: str, url: str) -> None:
    """Refuse every address but a loopback one where the database has no token that could keep others out.

    A database that is not there yet, or is older than tokens, has none. Nothing is made or upgraded by looking.
    """
    if host == "localhost":
        return
    try:
        loopback = ipaddress.ip_address(host).is_loopback
    except ValueError:
        raise CommandError(f"--host {host}: give an IP address, or localhost") from None
    if not loopback and not _has_token(url):
        raise CommandError(
            f"--host {host}: the database has no access token yet, so the server listens on a loopback address alone; "
            "make one with: python -m service tokens add"
        )


def _has_token(url: str) -> bool:
    path = database_file(url)
    if path is not None and not path.exists():
        return False
    store = open_store(url)
    try:
        return store.access.any_token()
    except NotMigrated:
        return False
    except StoreError as error:
        raise CommandError(str(error)) from error
    finally:
        store.close()
