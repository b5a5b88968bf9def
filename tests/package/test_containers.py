"""The container description and the compose file, read and not run: no container engine is needed here.

That they say what they are to say is checked; that an image is built from them is not.
"""

from __future__ import annotations

import json
import re
import shlex
import tomllib
from typing import Any

import pytest
import yaml

from service.cli.arguments import parser
from service.cli.settings import unknown_variables
from service.settings import settings_from
from tests.package.conftest import ROOT

DOCKERFILE = (ROOT / "Dockerfile").read_text("utf-8")
COMPOSE = (ROOT / "demo" / "compose.yaml").read_text("utf-8")
OURS = ("upgrade", "serve", "worker")


def _instructions() -> list[tuple[str, str]]:
    """The instructions of the Dockerfile in order, comments taken out and continued lines joined."""
    text = re.sub(r"^#.*\n", "", DOCKERFILE, flags=re.MULTILINE).replace("\\\n", "")
    return [(line.split(None, 1)[0], line.split(None, 1)[1].strip()) for line in text.splitlines() if line.strip()]


def _last_stage() -> list[tuple[str, str]]:
    every = _instructions()
    begins = max(place for place, (name, _) in enumerate(every) if name == "FROM")
    return every[begins:]


@pytest.fixture(scope="module")
def services() -> dict[str, Any]:
    """The services of the compose file."""
    found: dict[str, Any] = yaml.safe_load(COMPOSE)["services"]
    return found


def test_the_image_runs_as_nobody_special() -> None:
    """By number, so that an engine can tell that it is not root, and after everything that needs root."""
    names = [name for name, _ in _last_stage()]
    (user,) = [value for name, value in _last_stage() if name == "USER"]
    assert int(user) >= 10_000
    assert "RUN" not in names[names.index("USER") :]


def test_the_image_has_no_sources_and_no_build_tools() -> None:
    """What runs is the installed package, copied from the stage that built it."""
    copied = [value for name, value in _last_stage() if name in ("COPY", "ADD")]
    assert copied == ["--from=build /opt/traywright /opt/traywright"]
    assert not any("pip install" in value for name, value in _last_stage() if name == "RUN")


def test_what_is_copied_into_the_build_is_what_the_package_is_made_of() -> None:
    """Every file that pyproject.toml names is there when the image installs it, and the extras exist."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    copied = {each for name, value in _instructions() if name == "COPY" for each in value.split()[:-1]}
    needed = {project["project"]["readme"], *project["project"]["license-files"], "pyproject.toml", "service"}
    needed |= {name.split("/")[0] for name in project["tool"]["hatch"]["build"]["targets"]["wheel"]["force-include"]}
    assert needed <= copied
    assert not needed & {line.strip("*/") for line in (ROOT / ".dockerignore").read_text("utf-8").splitlines()}
    extras = re.search(r"'\.\[([a-z,]+)\]'", DOCKERFILE)
    assert extras is not None
    assert set(extras[1].split(",")) <= set(project["project"]["optional-dependencies"])


def test_the_images_health_check_asks_the_server() -> None:
    """A check that is a program of Python, without a shell, and that can be compiled."""
    (check,) = [value for name, value in _last_stage() if name == "HEALTHCHECK"]
    program, flag, code = json.loads(check.partition("CMD ")[2])
    assert (program, flag) == ("python", "-c")
    compile(code, "check", "exec")
    assert "/healthz" in code


def test_the_image_writes_only_where_it_is_told_to(services: dict[str, Any]) -> None:
    """The database lies on the volume, no byte code is written, and every container of ours is read-only."""
    environment = next(value for name, value in _last_stage() if name == "ENV")
    assert "sqlite:////data/" in environment
    assert "PYTHONDONTWRITEBYTECODE=1" in environment
    assert ("VOLUME", "/data") in _last_stage()
    for name in OURS:
        assert services[name]["read_only"] is True
        assert services[name]["tmpfs"] == ["/tmp"]
        assert services[name]["cap_drop"] == ["ALL"]
        assert services[name]["user"] == "10001"


def test_the_queue_needs_two_workers_and_no_server_of_its_own(services: dict[str, Any]) -> None:
    """PostgreSQL, one server that plans no takeoffs itself, two workers; all of ours on the same database."""
    assert set(services) == {"db", *OURS}
    assert services["db"]["image"].startswith("postgres:")
    assert services["worker"]["deploy"]["replicas"] == 2
    for name in OURS:
        settings = settings_from(services[name]["environment"])
        assert settings.database == "postgresql://traywright@db/traywright"
        assert settings.engine
    assert settings_from(services["serve"]["environment"]).takeoff_workers == 0


@pytest.mark.parametrize("name", OURS)
def test_each_service_runs_a_command_that_there_is(name: str, services: dict[str, Any]) -> None:
    """The command line is understood, and every variable of ours sets something."""
    assert parser().parse_args(services[name]["command"]).command == services[name]["command"][0]
    assert unknown_variables(services[name]["environment"]) == []


def test_nothing_starts_before_the_tables_are_there(services: dict[str, Any]) -> None:
    """Server and workers wait for the upgrade, which waits for a database that answers."""
    assert services["upgrade"]["depends_on"] == {"db": {"condition": "service_healthy"}}
    for name in ("serve", "worker"):
        assert services[name]["depends_on"] == {"upgrade": {"condition": "service_completed_successfully"}}


def test_passwords_are_the_operators_and_ports_are_this_machines(services: dict[str, Any]) -> None:
    """No password is written down, starting without one is refused, and only the loopback address is published."""
    assert set(re.findall(r"PASSWORD: (\S+)", COMPOSE)) == {"${TRAYWRIGHT_DB_PASSWORD:?a"}
    assert services["serve"]["ports"] == ["127.0.0.1:8080:8080"]
    assert "ports" not in services["db"]


def test_the_commands_in_its_comments_can_be_read() -> None:
    """What the comments tell an operator to run inside of a container is a command that there is."""
    told = re.findall(r"^# +docker compose -f demo/compose.yaml run --rm (.*)$", COMPOSE, re.MULTILINE)
    assert len(told) == 3
    for line in told:
        words = shlex.split(line)
        assert words[0] in OURS
        if words[1:2] == ["database"]:
            assert parser().parse_args(words[1:]).command == "database"
