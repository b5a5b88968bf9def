"""A PostgreSQL cluster of a test's own, which may be killed as a power cut would kill it."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import psycopg
import pytest

from tests.api.live_server import free_port

USER = "traywright"
PROGRAMS = ("initdb", "pg_ctl", "postgres")


def programs(installed: Path = Path("/usr/lib/postgresql")) -> Path | None:
    """Where PostgreSQL's own programs lie: on the path, or of the newest version; None where there are none."""
    found = shutil.which("initdb")
    on_path = [Path(found).resolve().parent] if found else []
    versions = [folder for folder in installed.glob("*/bin") if folder.parent.name.isdigit()]
    folders = [*on_path, *sorted(versions, key=lambda folder: -int(folder.parent.name))]
    return next((folder for folder in folders if all((folder / name).exists() for name in PROGRAMS)), None)


def insisted_on() -> Path:
    """The same; where there are none the test is skipped, and fails where ``TRAYWRIGHT_REQUIRE_POSTGRES`` is set."""
    found = programs()
    if found is None:
        why = "PostgreSQL's programs (initdb, pg_ctl) are not installed"
        if os.environ.get("TRAYWRIGHT_REQUIRE_POSTGRES"):
            pytest.fail(f"TRAYWRIGHT_REQUIRE_POSTGRES is set and {why}")
        pytest.skip(why)
    return found


class PrivatePostgres:
    """The cluster in a folder; ``url`` is that of its database. Commits are forced to the disk (fsync is on)."""

    def __init__(self, folder: Path, bin: Path) -> None:
        self.folder, self._bin, self.port = folder, bin, free_port()
        self.url = f"postgresql://{USER}@127.0.0.1:{self.port}/postgres"
        self._run(f"{bin}/initdb -D {folder}/data -U {USER} -A trust -E UTF8 --locale=C.UTF-8")

    def start(self) -> None:
        """Start, after a kill as well; returns when it answers."""
        options = f"-p {self.port} -c listen_addresses=127.0.0.1 -c unix_socket_directories= -c fsync=on"
        self._run(f'{self._bin}/pg_ctl -D {self.folder}/data -l {self.folder}/log -t 120 -w -o "{options}" start')

    def kill(self) -> None:
        """Kill the server and every process of it at once, and wait until the last of them is gone."""
        parent = int((self.folder / "data" / "postmaster.pid").read_text("ascii").split()[0])
        # Stopped first, so that it neither begins another process nor restarts those that die.
        os.kill(parent, signal.SIGSTOP)
        whole = [*_children(parent), parent]
        for process in whole:
            os.kill(process, signal.SIGKILL)
        while any(_runs(process) for process in whole):
            time.sleep(0.01)
        # Where nobody collects the dead, a dead server's number looks alive to the next one. After a power cut none is.
        (self.folder / "data" / "postmaster.pid").unlink()

    def stop(self) -> None:
        """End without waiting for anybody."""
        self._run(f"{self._bin}/pg_ctl -D {self.folder}/data -m immediate -w stop", check=False)

    def _run(self, command: str, check: bool = True) -> None:
        as_user = ["su", "postgres", "-s", "/bin/sh", "-c", command] if os.geteuid() == 0 else ["sh", "-c", command]
        done = subprocess.run(as_user, cwd=self.folder, capture_output=True, check=False, stdin=subprocess.DEVNULL)
        if check and done.returncode:
            log = self.folder / "log"
            raise RuntimeError(f"{command}: {done.stderr.decode()}{log.read_text() if log.exists() else ''}")


@contextmanager
def private_postgres(folder: Path | None = None) -> Iterator[PrivatePostgres]:
    """A running cluster, in ``folder`` or one of its own; where there can be none, see ``insisted_on``."""
    bin = insisted_on()
    own = Path(tempfile.mkdtemp(prefix="traywright-cluster-")) if folder is None else folder
    own.mkdir(exist_ok=True)
    if os.geteuid() == 0:
        shutil.chown(own, "postgres")
    own.chmod(0o700)
    cluster = PrivatePostgres(own, bin)
    try:
        cluster.start()
        yield cluster
    finally:
        cluster.stop()
        shutil.rmtree(own, ignore_errors=folder is not None)


def answers(url: str) -> bool:
    """Whether the server takes a connection."""
    try:
        psycopg.connect(url, connect_timeout=2).close()
    except psycopg.OperationalError:
        return False
    return True


def _children(parent: int) -> list[int]:
    found = []
    for entry in Path("/proc").iterdir():
        if entry.name.isdigit():
            try:
                fields = (entry / "stat").read_text("ascii", "replace").rpartition(")")[2].split()
            except OSError:
                continue
            if int(fields[1]) == parent:
                found.append(int(entry.name))
    return found


def _runs(process: int) -> bool:
    try:
        state = Path(f"/proc/{process}/stat").read_text("ascii", "replace").rpartition(")")[2].split()[0]
    except OSError:
        return False
    return state != "Z"
