"""Limits of loss and verdicts on splices as JSON-able documents."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from service.documents.numbers import plain, rounded
from service.domain.acceptance import ClosureVerdict, FibreVerdict, Limits, MeanVerdict, SpliceVerdict

Document = dict[str, Any]


def limits_from(document: Mapping[str, Any], preset: Limits | None = None) -> Limits:
    """Read the limits that are asked for; what a document says stands in place of what the preset of it says.

    A ``splice_db`` of its own is of every fibre: the preset's limits for one direction and for some wavelengths would
    else go on in its stead, and let pass what the caller has said is too much.
    """
    base = preset or Limits()
    if "splice_db" in document:
        base = replace(base, one_way_db=None, at_nm={})
    at_nm = {each["wavelength_nm"]: each["splice_db"] for each in document.get("at_nm", ())}
    return Limits(
        document.get("splice_db", base.splice_db),
        document.get("one_way_db", base.one_way_db),
        document.get("ribbon_mean_db", base.ribbon_mean_db),
        {**base.at_nm, **at_nm},
    )


def limits_to(limits: Limits) -> Document:
    """Write limits; one that is not set is left out."""
    document: Document = {
        name: plain(value)
        for name in ("splice_db", "one_way_db", "ribbon_mean_db")
        if (value := getattr(limits, name)) is not None
    }
    if limits.at_nm:
        document["at_nm"] = [
            {"wavelength_nm": wavelength, "splice_db": plain(limit)}
            for wavelength, limit in sorted(limits.at_nm.items())
        ]
    return document


def verdict_to(verdict: ClosureVerdict, limits: Limits) -> Document:
    """Write the verdict on a closure; ``good`` is null where none fails but not all could be judged."""
    return {
        "limits": limits_to(limits),
        "good": verdict.good,
        "failing": list(verdict.failing),
        "unjudged": list(verdict.unjudged),
        "splices": [_splice_to(splice) for splice in verdict.splices],
        "notes": list(verdict.notes),
    }


def _splice_to(verdict: SpliceVerdict) -> Document:
    return {
        "splice": verdict.splice,
        "good": verdict.good,
        "fibres": [_fibre_to(fibre) for fibre in verdict.fibres],
        "means": [_mean_to(mean) for mean in verdict.means],
        "failing": list(verdict.failing),
        "notes": list(verdict.notes),
    }


def _fibre_to(verdict: FibreVerdict) -> Document:
    document = {name: value for name, value in verdict._asdict().items() if value is not None or name == "good"}
    return {name: rounded(value, 6) if isinstance(value, float) else value for name, value in document.items()}


def _mean_to(verdict: MeanVerdict) -> Document:
    document = {name: value for name, value in verdict._asdict().items() if value is not None}
    return {name: rounded(value, 6) if isinstance(value, float) else value for name, value in document.items()}
