"""The routes of the application and the paths of the description are the same."""

from __future__ import annotations

from pathlib import Path

from flask import Flask

from service.api.gate import described_path
from service.api.spec import Spec

ROOT = Path(__file__).resolve().parents[2]


def routes(app: Flask) -> set[tuple[str, str]]:
    """Path and method of every route, as the description writes them; pages are for people and not described."""
    return {
        (described_path(rule.rule), method.lower())
        for rule in app.url_map.iter_rules()
        if not rule.endpoint.startswith("pages.")
        for method in (rule.methods or set()) - {"HEAD", "OPTIONS"}
    }


def test_every_route_is_described(app: Flask, spec: Spec) -> None:
    """There is no address that the description keeps quiet about."""
    assert routes(app) - set(spec.operations) == set()


def test_everything_described_has_a_route(app: Flask, spec: Spec) -> None:
    """Nothing that does not exist is in the description."""
    assert set(spec.operations) - routes(app) == set()


def test_the_description_has_the_version_of_the_package(spec: Spec) -> None:
    """A stored plan names the version that made it, so there is one number."""
    project = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    assert f'\nversion = "{spec.version}"\n' in project
