"""The checker of histories finds what is wrong with them, and nothing in those that can have happened."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.faults.history.checking import faults_of
from tests.faults.history.operations import Operation, Outcome

FIRST = Operation("first", "tray", "read", -2, -1, version=1, value="v1")


def op(outcome: Outcome, began: float, ended: float, *, client: str = "a", **said: int | str) -> Operation:
    """An operation on the one thing of these histories."""
    return Operation(client, "tray", outcome, began, ended, **said)  # type: ignore[arg-type]


def last(version: int, value: str | None = None) -> Operation:
    """The read that ends a history."""
    return op("read", 100, 101, version=version, value=value or f"v{version}")


def write(began: float, ended: float, expected: int, value: str | None = None) -> Operation:
    """An acknowledged write."""
    return op("written", began, ended, expected=expected, version=expected + 1, value=value or f"v{expected + 1}")


def fault(*operations: Operation) -> str:
    """The one fault of a history that begins at version 1."""
    found = faults_of([FIRST, *operations])
    assert len(found) == 1, found
    return found[0]


def test_what_can_have_happened_has_no_fault() -> None:
    """Reads beside a write see either version; a refusal finds its moment; an unknown write did or did not happen."""
    beside = [op("read", 2, 3, version=2, value="v2"), op("read", 2.5, 9, version=1, value="v1")]
    refused = op("refused", 1, 9, expected=1, value="mine")
    assert faults_of([FIRST, write(0, 10, 1), *beside, refused, last(2)]) == []
    lost_answer = op("unknown", 0, 1, expected=1, value="v2")
    assert faults_of([FIRST, lost_answer, op("refused", 50, 51, expected=1, value="x"), last(2)]) == []
    assert faults_of([FIRST, lost_answer, op("unmodified", 50, 51, version=1), last(1)]) == []


def test_a_lost_update_is_found() -> None:
    """Two writes acknowledged over one version, and a write whose version does not follow what it replaced."""
    assert "lost update" in fault(write(0, 1, 1), write(0, 2, 1), last(2))
    assert "does not follow" in faults_of([FIRST, op("written", 0, 1, expected=1, version=3, value="v3"), last(3)])[0]


def test_an_acknowledged_write_that_is_gone_is_found() -> None:
    """The last read shows the version before it."""
    assert "version 2 was there before" in fault(write(0, 1, 1), last(1))


def test_a_stale_read_and_a_stale_304_are_found() -> None:
    """They began after a write of a newer version had been acknowledged, or after somebody had read it."""
    stale = op("read", 2, 3, version=1, value="v1")
    assert "version 2 was there before" in fault(write(0, 1, 1), stale, last(2))
    assert "unmodified" in fault(write(0, 1, 1), op("unmodified", 2, 3, version=1), last(2))
    early = op("read", 2, 3, version=2, value="v2")
    assert "version 2 was there before" in fault(
        write(0, 10, 1), early, op("read", 4, 5, version=1, value="v1"), last(2)
    )


def test_a_read_of_what_was_not_written_yet_is_found() -> None:
    """It ended before the write began."""
    assert "written" in fault(op("read", 0, 1, version=2, value="v2"), write(2, 3, 1), last(2))


def test_what_is_written_elsewhere_may_only_never_go_back() -> None:
    """Versions that nobody in the history wrote are taken, an earlier one after a later one is not."""
    seen = [op("read", 0, 1, version=4, value="v4"), op("read", 2, 3, version=6, value="v6")]
    assert faults_of([FIRST, *seen, last(6)], ["tray"]) == []
    assert len(faults_of([FIRST, *seen, last(5)], ["tray"])) == 1


def test_a_wrong_value_is_found() -> None:
    """A version has one value; that of a refused write, or of nobody, is never seen."""
    assert "version 2 was 'v2'" in fault(write(0, 1, 1), last(2, "another"))
    assert "nobody wrote version 2" in fault(op("refused", 0, 1, expected=7, value="mine"), last(2, "mine"))
    lost_answer = op("unknown", 0, 1, expected=1, value="theirs")
    assert "nobody wrote version 2" in fault(lost_answer, last(2, "mine"))


def test_a_refusal_without_a_reason_is_found() -> None:
    """The version that the write said was in force all the time."""
    assert "refused although" in fault(op("refused", 0, 1, expected=1, value="x"), last(1))
    early = op("refused", 0, 1, expected=1, value="x")
    assert "version 2 was there before" in fault(early, write(2, 3, 1), last(2))


def possible(history: Sequence[Operation]) -> bool:
    """Whether any order of the operations that keeps to real time explains them: all are tried."""

    def goes_on(left: frozenset[int], version: int, value: str | None) -> bool:
        if all(history[n].outcome == "unknown" for n in left):
            return True
        for n in left:
            each = history[n]
            ends = (history[other].ended for other in left - {n} if history[other].outcome != "unknown")
            if any(ended < each.began for ended in ends):
                continue
            rest = left - {n}
            if each.outcome == "refused":
                holds = each.expected != version
            elif each.outcome == "unmodified":
                holds = each.version == version
            elif each.outcome == "read":
                holds = (each.version, each.value) == (version, value)
            else:
                holds = each.expected == version and (each.outcome == "unknown" or each.version == version + 1)
                if holds and goes_on(rest, version + 1, each.value):
                    return True
                continue
            if holds and goes_on(rest, version, value):
                return True
        return False

    return goes_on(frozenset(range(len(history))), 1, "v1")


VERSIONS = st.integers(1, 3)


@st.composite
def histories(draw: st.DrawFn) -> list[Operation]:
    """Up to six operations at any times on at most three versions, with a read before and one after."""
    found = [FIRST]
    for number in range(draw(st.integers(1, 6))):
        outcome: Outcome = draw(st.sampled_from(["read", "unmodified", "written", "written", "refused", "unknown"]))
        began = draw(st.integers(0, 10))
        times = {"began": began, "ended": began + draw(st.integers(0, 6)) + 0.5, "client": str(number)}
        version = draw(VERSIONS)
        if outcome in ("read", "unmodified"):
            said: dict[str, int | str] = {"version": version}
            if outcome == "read":
                said["value"] = f"v{version}" if draw(st.integers(0, 9)) else "other"
        else:
            said = {"expected": version, "value": f"v{version + 1}"}
            if outcome == "written":
                said["version"] = version + 1
        found.append(op(outcome, **times, **said))
    seen = [each.version for each in found if each.version is not None]
    return [*found, last(max(seen) + (not draw(st.integers(0, 5))))]


@settings(max_examples=3_000)
@given(histories())
def test_the_checker_says_what_trying_every_order_says(history: list[Operation]) -> None:
    """Of any small history: it has no fault exactly where some order of its operations explains it."""
    assert (faults_of(history) == []) == possible(history), history


@st.composite
def happened(draw: st.DrawFn) -> list[Operation]:
    """What a thing comes to that is read and replaced in one step each, at moments within the requests."""
    version, found = 1, [FIRST]
    for moment in range(1, draw(st.integers(2, 40))):
        outcome = draw(st.sampled_from(["read", "unmodified", "written", "refused", "unknown"]))
        times = (moment - draw(st.floats(0.1, 9)), moment + draw(st.floats(0.1, 9)))
        if outcome in ("read", "unmodified"):
            found.append(op(outcome, *times, version=version, value=f"v{version}"))
            continue
        expected = version if outcome != "refused" else version - 1
        each = op(outcome, *times, expected=expected, value=f"v{expected + 1}")
        if outcome == "written" or (outcome == "unknown" and draw(st.booleans())):
            version += 1
            each = replace(each, version=version) if outcome == "written" else each
        found.append(each)
    return [*found, last(version)]


@given(happened())
def test_what_happened_to_one_thing_in_single_steps_is_taken(history: list[Operation]) -> None:
    """However long the requests took and overlapped, there is no fault."""
    assert faults_of(history) == []
