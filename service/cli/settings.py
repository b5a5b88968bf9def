"""``settings``: what is in force, and where it comes from."""

from __future__ import annotations

import argparse
import json
import os
import re
import sys
from collections.abc import Mapping
from dataclasses import fields
from typing import NamedTuple

from service.cli.failures import printed
from service.cli.places import settings
from service.settings import Settings, environment_of, variable
from service.sheets.layout import columns

_USER = re.compile(r"://([^:@/]*):.*@", re.DOTALL)
"""A name and a password before the last @: in a password that is written wrongly there may be more of them."""

_QUERY = re.compile(r"([?&](?=[^=&]*(?:pass|secret|token|key))[^=&]*=)[^&]*", re.IGNORECASE)
_FOR_TESTS = re.compile(r"TRAYWRIGHT_(?:TEST|REQUIRE|SHARED|SEARCH|SLOW)(?:_.*)?\Z")


class Standing(NamedTuple):
    """A setting, its value as text (passwords left out), where that comes from, and the variable that sets it."""

    setting: str
    value: str
    source: str
    variable: str


def run(arguments: argparse.Namespace) -> int:
    """Print the settings; 1 where a variable is set that sets nothing."""
    standings = settings_in_force(os.environ)
    if arguments.format == "json":
        shown = {each.setting: {"value": each.value, "source": each.source} for each in standings}
        print(json.dumps(shown, indent=2, ensure_ascii=False))
    else:
        print("\n".join(columns([Standing._fields, *(each._replace(value=each.value or "-") for each in standings)])))
    unknown = unknown_variables(os.environ)
    sys.stderr.write(printed(f"{name}: there is no such setting" for name in unknown))
    return 1 if unknown else 0


def settings_in_force(environment: Mapping[str, str]) -> list[Standing]:
    """Every setting in the order of their definition. Raises ``CommandError`` where one cannot be read."""
    texts = environment_of(settings())
    found = []
    for field in fields(Settings):
        name = variable(field.name)
        source = "environment" if environment.get(name, "").strip() else "default"
        found.append(Standing(field.name, without_passwords(texts[name]), source, name))
    return found


def without_passwords(text: str) -> str:
    """An address with stars where it has a password; anything else as it is."""
    return _QUERY.sub(r"\1***", _USER.sub(r"://\1:***@", text))


def unknown_variables(environment: Mapping[str, str]) -> list[str]:
    """Variables that begin like the service's and set nothing, such as misspelt ones; those of its tests are known."""
    known = set(environment_of(settings()))
    return sorted(
        name
        for name in environment
        if name.startswith("TRAYWRIGHT_") and name not in known and not _FOR_TESTS.match(name)
    )
