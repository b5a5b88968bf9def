"""Shipped preparation methods, used where the catalogue has none, and for figures that its own methods leave out.

They are starting figures to be edited, not promises: the seconds are set so that one technician joins a ribbon of
twelve every eight minutes and a single fibre every four, as a trade column on ribbon splicing reports; how those
minutes divide into stages is our own estimate. Seconds of strip, clean and cleave are for one end, the others for
one splice.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal

from service.domain.catalogue import Method
from service.standards.provenance import Source

ShippedForm = Literal["flat", "rollable", "single"]

PRIOR_JOINTS = 20
"""How many joints the prior of a remake is worth where the method does not say; common practice, no source."""

_FLAT = Method(
    code="shipped-flat",
    title="Flat ribbon, shipped default",
    ribbon_form="flat",
    strip_dwell_s=3.0,
    strip_repeats=1,
    strip_length_mm=30.0,
    strip_tolerance_mm=6.35,
    cleave_length_mm=10.0,
    cutback_mm=50.0,
    clean_s=87.0,
    cleave_s=30.0,
    fuse_s=120.0,
    heat_s=90.0,
    lay_s=120.0,
    rework=0.05,
    rework_joints=PRIOR_JOINTS,
    holder="holder for the ribbon's fibre count and pitch",
    notes="Coil the ribbon on its flat side before it is spliced, so that it lies untwisted in the tray.",
)

_ROLLABLE = Method(
    code="shipped-rollable",
    title="Rollable ribbon, shipped default",
    ribbon_form="rollable",
    strip_dwell_s=3.0,
    strip_repeats=3,
    strip_length_mm=30.0,
    strip_tolerance_mm=6.35,
    cleave_length_mm=10.0,
    cutback_mm=50.0,
    clean_s=147.0,
    cleave_s=30.0,
    fuse_s=120.0,
    heat_s=90.0,
    lay_s=120.0,
    rework=0.08,
    rework_joints=PRIOR_JOINTS,
    holder="holder for the ribbon's fibre count and pitch, made for rollable ribbon",
    notes="Lay the fibres flat and in order before stripping, pull evenly, and wipe off what is left of the bonds.",
)

_SINGLE = Method(
    code="shipped-single",
    title="Single fibre, shipped default",
    ribbon_form="single",
    strip_dwell_s=5.0,
    strip_repeats=1,
    strip_length_mm=30.0,
    strip_tolerance_mm=6.35,
    cleave_length_mm=10.0,
    cutback_mm=40.0,
    clean_s=20.0,
    cleave_s=20.0,
    fuse_s=75.0,
    heat_s=40.0,
    lay_s=75.0,
    rework=0.02,
    rework_joints=PRIOR_JOINTS,
    holder=None,
    notes="Slide the sleeve on before the fibre is stripped.",
)

SHIPPED: Mapping[ShippedForm, Method] = MappingProxyType({"flat": _FLAT, "rollable": _ROLLABLE, "single": _SINGLE})
"""The shipped method by form; a tube of loose fibres ribbonised in the field is prepared as a flat ribbon."""

RIBBONISE_S = 60.0
"""Seconds to lay the loose fibres of one end into a ribbon; from memory, half to one and a half minutes."""

PROVENANCE: Mapping[str, Source] = MappingProxyType(
    {
        "strip_dwell_s": Source("common practice: about 3 s for flat ribbon, 5 s for a fibre by hand", "practice"),
        "strip_repeats": Source("common practice: rollable ribbon is held three cycles, about 9 s in all", "practice"),
        "strip_length_mm": Source("30 to 35 mm, from memory", "memory"),
        "strip_tolerance_mm": Source("common practice: within a quarter of an inch of the tool's mark", "practice"),
        "cleave_length_mm": Source("ribbon usually 10 mm a side, from memory", "memory"),
        "cutback_mm": Source("40 to 60 mm for a ribbon, 30 to 50 mm for a fibre, from memory", "memory"),
        "clean_s": Source("own division of the reported eight and four minutes", "derived"),
        "cleave_s": Source("own division of the reported eight and four minutes", "derived"),
        "fuse_s": Source("own division of the reported eight and four minutes", "derived"),
        "heat_s": Source("40 to 120 s for a ribbon sleeve, 15 to 40 s for a single one, from memory", "memory"),
        "lay_s": Source("own division of the reported eight and four minutes", "derived"),
        "rework_joints": Source("common practice: what a crew has in mind is worth some twenty joints", "practice"),
        "rework": Source("5 to 15 % of ribbons, 1 to 3 % of single fibres, from memory", "memory"),
    }
)
"""Where each figure of the shipped methods comes from, by member."""
