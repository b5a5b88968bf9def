"""Where things lie: the demo's files and the database that a command works on."""

from __future__ import annotations

import os
from pathlib import Path

from service.cli.failures import CommandError
from service.settings import SettingError, Settings, settings_from

_HERE = Path(__file__).resolve()
_DEMO_FOLDERS = (_HERE.parents[2] / "demo", _HERE.parents[1] / "demo")
"""Beside the code in a checkout; inside the package where it was installed."""


def demo_file(name: str) -> Path:
    """A file of the demo build, ``catalogue.json`` or ``splice-points.ndjson``."""
    for folder in _DEMO_FOLDERS:
        if (folder / name).is_file():
            return folder / name
    raise CommandError(f"the demo's {name} is missing from this installation")


def database_url(text: str) -> str:
    """A database URL; a plain path means an SQLite file."""
    return text if "://" in text else f"sqlite:///{text}"


def database_file(url: str) -> Path | None:
    """The file of an SQLite URL, None for any other database."""
    scheme, _, path = url.partition("://")
    if not scheme.startswith("sqlite") or not path.lstrip("/"):
        return None
    return Path(path.removeprefix("/"))


def settings() -> Settings:
    """The settings of the environment; raises ``CommandError`` where one cannot be read."""
    try:
        return settings_from(os.environ)
    except SettingError as error:
        raise CommandError(str(error)) from error
