"""A closure's packing problem in integers: exact to a millionth of a millimetre, whatever noise a figure carries."""

from __future__ import annotations

from dataclasses import replace

from service.planning.plan import plan_splice_point
from tests.small_catalogue import request_for, ribbon_joint, small_catalogue


def test_the_noise_of_binary_arithmetic_neither_overflows_nor_decides() -> None:
    """A pitch of 12.481000000000002 is 12.481: two of them stand in 24.962 mm, counted in micrometres."""
    catalogue = small_catalogue()
    tray = replace(catalogue.trays["r6"], pitch_mm=12.481000000000002)
    closure = replace(catalogue.closures["dome-24"], stack_mm=24.962)
    noisy = replace(
        catalogue,
        trays={**catalogue.trays, "r6": tray},
        closures={**catalogue.closures, "dome-24": closure},
    )
    request = request_for({"A": "flat-288", "B": "roll-288"}, [ribbon_joint("A", "1-12", "B", "1-12")], ("dome-24",))
    plan = plan_splice_point(request, noisy)
    assert plan.fits and plan.proof is not None and plan.proof.stack_mm == 24.962
    assert plan.certificate is not None and plan.certificate.stack == 24_962
