"""The exact versions of everything that is depended on, near and far, as this environment has them.

``python .ci/pins.py`` writes them to ``.ci/constraints.txt``. ``python .ci/pins.py --compare`` says where this
environment differs from that file, and fails for nothing: newer versions within the ranges are to be found out about.
"""

from __future__ import annotations

import sys
import tomllib
from datetime import UTC, datetime
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).resolve().parents[1]
PINS = ROOT / ".ci" / "constraints.txt"
HEAD = """\
# The versions that the checks last ran with, on {day} with Python {python}: what the ranges of pyproject.toml came to.
# Written by: python .ci/pins.py. To be looked up among known vulnerabilities by: .ci/audit
"""


def declared() -> list[Requirement]:
    """What pyproject.toml asks for, extras too."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    lists = [project["dependencies"], *project["optional-dependencies"].values()]
    return [Requirement(text) for each in lists for text in each]


def installed() -> dict[str, str]:
    """The version of everything that is asked for here, and of what that asks for, by name."""
    found: dict[str, str] = {}
    seen: set[tuple[str, str]] = set()
    waiting = [(each, "") for each in declared()]
    while waiting:
        asked, extra = waiting.pop()
        if asked.marker is not None and not asked.marker.evaluate({"extra": extra}):
            continue
        name = canonicalize_name(asked.name)
        try:
            there = distribution(asked.name)
        except PackageNotFoundError:
            continue
        found[name] = there.version
        for wanted in ("", *sorted(asked.extras)):
            if (name, wanted) not in seen:
                seen.add((name, wanted))
                waiting += [(Requirement(text), wanted) for text in there.requires or ()]
    return dict(sorted(found.items()))


def pinned() -> dict[str, str]:
    """What the file says."""
    lines = (line for line in PINS.read_text("utf-8").splitlines() if line and not line.startswith("#"))
    return {name: version for name, _, version in (line.partition("==") for line in lines)}


def main() -> None:
    """Write the file, or compare."""
    here = installed()
    if "--compare" not in sys.argv:
        day, python = datetime.now(UTC).date(), ".".join(map(str, sys.version_info[:2]))
        lines = "".join(f"{name}=={version}\n" for name, version in here.items())
        PINS.write_text(HEAD.format(day=day, python=python) + lines, "utf-8")
        return
    kept = pinned()
    for name in sorted(here.keys() | kept.keys()):
        if here.get(name) != kept.get(name):
            print(f"{name}: {here.get(name, 'none')} here, {kept.get(name, 'none')} in .ci/constraints.txt")


if __name__ == "__main__":
    main()
