"""Limits of splice loss as published, by name, each with where it comes from.

Those from memory alone are starting points to be edited, and say so. Losses in dB.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from service.domain.acceptance import Limits
from service.standards.provenance import Source


@dataclass(frozen=True, slots=True)
class Preset:
    """Limits under a name; ``editable``: from memory or practice alone, so to be confirmed before work is refused."""

    name: str
    title: str
    limits: Limits
    source: Source

    @property
    def editable(self) -> bool:
        """Whether no text was at hand that says so."""
        return self.source.status in ("memory", "practice")


_ALL = (
    Preset(
        "federal-fusion",
        "Fusion splices of federal works (United States): 0.3 dB at most",
        Limits(splice_db=0.3),
        Source("UFGS-16768A, 3.1.6.1: maximum fusion splice loss not more than 0.3 dB", "published"),
    ),
    Preset(
        "rural-utilities",
        "Rural telecommunications works (United States): 0.30 dB at most",
        Limits(splice_db=0.3),
        Source("RUS 1753F-401 as restated in training material: 0.3 dB by TIA-455-78 with an OTDR", "secondary"),
    ),
    Preset(
        "municipal-carrier",
        "A municipal contract: 0.20 dB at 1550 nm one way or two ways, 0.25 dB at 1310 nm two ways",
        Limits(splice_db=0.2, one_way_db=0.2, at_nm={1310: 0.25, 1550: 0.2}),
        Source("City of Louisville (Colorado), exhibit D, acceptance parameters", "published"),
    ),
    Preset(
        "ribbon-average",
        "Ribbons: 0.10 dB on the average, single fibres up to 0.20 dB",
        Limits(splice_db=0.2, ribbon_mean_db=0.1),
        Source(
            "ITU-T L.400 as restated in training material: average 0.10 dB, outliers of 0.15 to 0.20 dB", "secondary"
        ),
    ),
    Preset(
        "premises",
        "Premises cabling: 0.3 dB at most",
        Limits(splice_db=0.3),
        Source("TIA-568.3, from memory", "memory"),
    ),
    Preset(
        "remake-single",
        "When to make a single splice again: above 0.15 dB",
        Limits(splice_db=0.15),
        Source("0.10 to 0.15 dB, from memory", "memory"),
    ),
    Preset(
        "remake-ribbon",
        "When to make a ribbon again: a fibre above 0.25 dB",
        Limits(splice_db=0.25),
        Source("0.20 to 0.25 dB for any fibre, from memory", "memory"),
    ),
)

PRESETS: Mapping[str, Preset] = MappingProxyType({preset.name: preset for preset in _ALL})
"""The presets by name."""
