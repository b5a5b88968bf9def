"""Small catalogue documents of fictional entries, one function a kind; keywords replace or add members."""

from __future__ import annotations

from typing import Any


def sleeve(code: str = "rs-12", **members: Any) -> dict[str, Any]:
    document = {
        "code": code,
        "title": "Ribbon sleeve 12",
        "form": "ribbon",
        "fibres": 12,
        "length_mm": 40,
        "slot_kind": "ribbon-12",
        "pack_of": 25,
    }
    return {**document, **members}


def tray(code: str = "r6", **members: Any) -> dict[str, Any]:
    document = {
        "code": code,
        "title": "Tray of six",
        "pitch_mm": 12,
        "banks": [{"count": 2, "slots": {"ribbon-12": 3, "single": 6}}],
        "turn_mm": 320.5,
        "bend_radius_mm": 30,
    }
    return {**document, **members}


def closure(code: str = "dome-24", **members: Any) -> dict[str, Any]:
    document = {
        "code": code,
        "title": "Dome of 24",
        "form": "dome",
        "stack_mm": 48,
        "trays": [{"tray": "r6", "most": 4}],
        "ports": [{"name": "oval", "count": 1, "od_min_mm": 10, "od_max_mm": 25, "cables": 2}],
        "lead_mm": 450,
    }
    return {**document, **members}


def cable(code: str = "flat-288", **members: Any) -> dict[str, Any]:
    document = {
        "code": code,
        "title": "Flat ribbon cable 288",
        "od_mm": 18.5,
        "fibres": 288,
        "ribbon_fibres": 12,
        "ribbons_per_tube": 6,
        "ribbon_form": "flat",
        "pitch_um": 250,
        "fibre": "G.652.D",
    }
    return {**document, **members}


def method(code: str = "flat-12", **members: Any) -> dict[str, Any]:
    return {"code": code, "title": "Flat ribbon of twelve", "ribbon_form": "flat", **members}


def material(code: str = "wipes", **members: Any) -> dict[str, Any]:
    return {"code": code, "title": "Wipes", "per": "ribbon_end", "quantity": 2, "unit": "piece", **members}


def whole(**sections: list[dict[str, Any]]) -> dict[str, Any]:
    """A catalogue in which every kind stands once and the references hold; keywords replace sections."""
    document = {
        "sleeves": [sleeve()],
        "trays": [tray()],
        "closures": [closure(includes=[{"material": "wipes", "quantity": 0.5}])],
        "cables": [cable(method="flat-12")],
        "methods": [method()],
        "materials": [material()],
    }
    return {**document, **sections}
