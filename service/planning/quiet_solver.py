"""HiGHS, imported on first use, that neither talks nor works in more than one thread."""

from __future__ import annotations

from typing import Any


def quiet_solver() -> Any:
    """A solver whose answers do not depend on the clock. Raises ImportError where it is not installed.

    Its number of threads is left alone: set after it ran in this process with another, it would refuse to run at all.
    """
    import highspy

    class Quiet(highspy.Highs):
        """Without callbacks, for starting them writes a line to the standard output before that can be forbidden."""

        def enableCallbacks(self) -> None:
            """Leave them off."""

    made: Any = Quiet
    solver = made()
    for option, value in (("output_flag", False), ("parallel", "off"), ("random_seed", 1)):
        solver.setOptionValue(option, value)
    return solver
