"""Limits as a caller says them, beside a preset or alone."""

from __future__ import annotations

from service.documents.acceptance import limits_from
from service.domain.acceptance import Limits
from service.standards.acceptance import PRESETS

MUNICIPAL = PRESETS["municipal-carrier"].limits


def test_an_own_limit_of_a_splice_is_not_outdone_by_the_preset() -> None:
    """The preset has limits for one direction and two wavelengths; who says 0.1 dB wants none to let 0.2 pass."""
    assert limits_from({"splice_db": 0.1}, MUNICIPAL) == Limits(splice_db=0.1)


def test_what_is_said_beside_a_preset_is_added_to_the_rest_of_it() -> None:
    """A mean over the ribbon, or a wavelength of its own: the preset's other limits stay."""
    assert limits_from({"ribbon_mean_db": 0.1}, MUNICIPAL) == Limits(0.2, 0.2, 0.1, {1310: 0.25, 1550: 0.2})
    said = {"at_nm": [{"wavelength_nm": 1625, "splice_db": 0.3}]}
    assert limits_from(said, MUNICIPAL).at_nm == {1310: 0.25, 1550: 0.2, 1625: 0.3}
    own = {"splice_db": 0.1, "one_way_db": 0.15, "at_nm": [{"wavelength_nm": 1625, "splice_db": 0.3}]}
    assert limits_from(own, MUNICIPAL) == Limits(0.1, 0.15, None, {1625: 0.3})
