"""Every reader of what strangers send, with bytes drawn at random and with good ones that were changed.

``TRAYWRIGHT_FUZZ=20`` tries twenty times as much; ``python -m tests.faults.long_fuzz readers`` goes by coverage.
"""

from __future__ import annotations

import os

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.faults.fuzz_targets import TARGETS

TIMES = int(os.environ.get("TRAYWRIGHT_FUZZ", "1"))
SLOW = ("workbook", "sheet", "form", "query", "head", "table", "tables_workbook", "tables_sheet")


@st.composite
def changed(draw: st.DrawFn, seeds: list[bytes]) -> bytes:
    """One of the seeds with some of its bytes changed, left out or doubled; or any bytes."""
    content = draw(st.sampled_from(seeds))
    for _ in range(draw(st.integers(0, 4))):
        at = draw(st.integers(0, len(content)))
        content = content[:at] + draw(st.binary(max_size=6)) + content[at + draw(st.integers(0, 6)) :]
    return draw(st.one_of(st.just(content), st.binary(max_size=80)))


@pytest.mark.parametrize("name", TARGETS)
def test_whatever_is_sent_is_read_or_refused(name: str) -> None:
    """Nothing but the reader's own refusal is raised, and what is read, another reader reads alike."""
    target, examples = TARGETS[name], (80 if name in SLOW else 400) * TIMES

    @given(changed(target.seeds()))
    @settings(max_examples=examples, deadline=None, suppress_health_check=list(HealthCheck))
    def holds(content: bytes) -> None:
        target.holds(content)

    holds()
