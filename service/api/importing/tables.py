"""The tables of the published description, made once for each description, and the files that hold them."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from service.api.spec import Spec
from service.sheets.tabular.described import POINTS, Described
from service.sheets.tabular.shape import Table

CSV = "text/csv"
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@cache
def catalogue_tables(spec: Spec) -> Mapping[str, Table]:
    """The table of each section of the catalogue."""
    return Described(spec.document).catalogue()


@cache
def points_table(spec: Spec) -> Table:
    """The table of splice points."""
    return Described(spec.document).points()


def catalogue_examples(spec: Spec) -> dict[str, list[dict[str, Any]]]:
    """The entries that templates show."""
    shown: dict[str, list[dict[str, Any]]] = spec.document["components"]["examples"]["smallCatalogue"]["value"]
    return shown


def points_examples(spec: Spec) -> dict[str, list[dict[str, Any]]]:
    """The splice points that templates show."""
    return {POINTS: spec.document["components"]["examples"]["takeoffRequest"]["value"]["splice_points"]}
