"""The body of a preparation method."""

from __future__ import annotations

from service.api.fields import Choice, Integer
from service.api.schemas import words


class MethodSchema(words.Entry):
    """How one ribbon form is prepared."""

    ribbon_form = Choice("flat", "rollable", "loose", "single", required=True)
    fibres = Integer(least=1, most=100)
    strip_dwell_s = words.seconds()
    strip_repeats = Integer(least=1, most=100)
    strip_length_mm = words.positive_length()
    strip_tolerance_mm = words.length()
    cleave_length_mm = words.positive_length()
    cutback_mm = words.positive_length()
    clean_s = words.seconds()
    cleave_s = words.seconds()
    fuse_s = words.seconds()
    heat_s = words.seconds()
    lay_s = words.seconds()
    rework = words.probability()
    rework_joints = Integer(least=1, most=1_000_000)
    holder = words.line()
    notes = words.line(2000)
