"""Published limits of splice loss against the presets."""

from __future__ import annotations

import pytest

from service.standards.acceptance import PRESETS


@pytest.mark.parametrize(
    ("name", "limit_db"),
    [
        # UFGS-16768A, 3.1.6.1, read: "maximum fusion splice loss not more than 0.3 dB loss".
        ("federal-fusion", 0.3),
        # RUS 1753F-401 as restated in a public training text, read: "must be <=0.3 dB maximum".
        ("rural-utilities", 0.3),
        # City of Louisville (Colorado), exhibit D, read: 0.20 dB at 1550 nm.
        ("municipal-carrier", 0.2),
        # TIA-568.3, from memory.
        ("premises", 0.3),
    ],
)
def test_the_limit_of_a_splice_is_the_published_one(name: str, limit_db: float) -> None:
    """As the named text has it."""
    assert PRESETS[name].limits.splice_db == limit_db


def test_the_municipal_contract_has_its_wavelengths() -> None:
    """City of Louisville, exhibit D, read: 0.20 dB at 1550 nm, 0.25 dB at 1310 nm; one way 0.2 dB at 1550 nm."""
    limits = PRESETS["municipal-carrier"].limits
    assert (limits.at_nm, limits.one_way_db) == ({1310: 0.25, 1550: 0.2}, 0.2)


def test_limits_from_memory_say_that_they_are_to_be_edited() -> None:
    """Whatever no text was at hand for; the published ones are not among them."""
    editable = {name for name, preset in PRESETS.items() if preset.editable}
    assert editable == {"premises", "remake-single", "remake-ribbon"}
    assert all("from memory" in PRESETS[name].source.text for name in editable)
