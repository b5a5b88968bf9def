"""What a caller expects to find."""

from __future__ import annotations

import pytest

from service.store import Absent, AnyRevision, Exists, NotFound, Revision, Stale, StoreError
from service.store.preconditions import Expectation, hold


@pytest.mark.parametrize(("expect", "current", "raised"), [
    (Absent(), None, None), (Absent(), 3, Exists),
    (AnyRevision(), None, NotFound), (AnyRevision(), 3, None),
    (Revision(3), None, NotFound), (Revision(3), 3, None), (Revision(3), 4, Stale), (Revision(4), 3, Stale),
    (Revision(3, others=(5,)), 5, None), (Revision(3, others=(5,)), 4, Stale),
])  # fmt: skip
def test_an_expectation_holds_or_says_why_not(
    expect: Expectation, current: int | None, raised: type[StoreError] | None
) -> None:
    """Every expectation against nothing, the same and another revision."""
    if raised is None:
        hold(expect, current, "trays/r6")
        return
    with pytest.raises(raised, match="trays/r6") as refused:
        hold(expect, current, "trays/r6")
    if isinstance(refused.value, Stale):
        assert refused.value.current == current
    if isinstance(refused.value, Exists):
        assert refused.value.revision == current
