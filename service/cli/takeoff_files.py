"""Writing the results of a takeoff to a file: its plans, or what it needs as a table or a workbook."""

from __future__ import annotations

from pathlib import Path

from service.building.adding_up import added_up
from service.building.material_rows import item_rows, point_rows
from service.building.written_points import point_lines
from service.sheets.materials_csv import materials_csv
from service.sheets.materials_workbook import materials_xlsx
from service.store import TakeoffStore

PATHS = {".csv": "materials.csv", ".xlsx": "materials.xlsx"}
"""Where a server has what goes into a file of this ending; anything else is for the plans, at ``plans.ndjson``."""


def write_results(takeoffs: TakeoffStore, takeoff_id: str, file: Path) -> None:
    """Write what a finished takeoff needs to a .csv or .xlsx file, or every splice point with its plan, one a line."""
    ending = file.suffix.lower()
    if ending not in PATHS:
        with file.open("wb") as stream:
            for lines in point_lines(takeoffs, takeoff_id):
                stream.write(lines)
        return
    items = item_rows(added_up(takeoffs, takeoff_id)["materials"])
    if ending == ".csv":
        file.write_bytes(materials_csv(items))
        return
    takeoff = takeoffs.get(takeoff_id)
    file.write_bytes(materials_xlsx(takeoff.name, takeoff.created, items, point_rows(takeoffs, takeoff_id)))
