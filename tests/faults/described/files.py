"""Files that can be read, for the operations that take one."""

from __future__ import annotations

import json

from service.api.importing.tables import catalogue_tables, points_examples, points_table
from service.api.spec import load_spec
from service.sheets.tabular.csv_files import csv_file
from service.sheets.tabular.xlsx_files import xlsx_file
from tests.faults.written import catalogue, request

SECTION = "sleeves"


def _map() -> bytes:
    place = {"type": "Point", "coordinates": [4.5, 51.9]}
    feature = {"type": "Feature", "geometry": place, "properties": request()}
    return json.dumps({"type": "FeatureCollection", "features": [feature]}).encode()


_CATALOGUE, _POINTS = catalogue_tables(load_spec()), points_table(load_spec())
_EXAMPLES = points_examples(load_spec())
FILES = {
    "/v1/catalogue.csv": (SECTION, csv_file(_CATALOGUE[SECTION], catalogue()[SECTION])),
    "/v1/catalogue.xlsx": (None, xlsx_file(list(_CATALOGUE.values()), catalogue())),
    "/v1/takeoffs.csv": (None, csv_file(_POINTS, _EXAMPLES["points"])),
    "/v1/takeoffs.xlsx": (None, xlsx_file([_POINTS], _EXAMPLES)),
    "/v1/takeoffs.geojson": (None, _map()),
}
"""By their paths: the section of the catalogue that is to be told with it, and the file."""
