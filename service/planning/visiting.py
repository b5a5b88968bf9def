"""What a visit did, told by the contents of the closure before and after it."""

from __future__ import annotations

from datetime import date, datetime

from service.domain.installation import Contents, Visit, VisitKind


def visit_between(
    kind: VisitKind,
    before: Contents | None,
    after: Contents,
    on: date,
    recorded: datetime,
    by: str = "",
    note: str = "",
    plan: str | None = None,
) -> Visit:
    """The visit that made ``after`` of ``before`` (None: the closure was hung).

    Its splices are those laid or taken out, its cables those brought in or given up, its trays those put in.
    """
    laid = {splice.number for splice in after.splices}
    lay = {splice.number for splice in before.splices} if before else set()
    given_up = {cable.tag for cable in before.cables if cable.abandoned} if before else set()
    entered = {cable.tag for cable in before.cables} if before else set()
    trays = {tray.position for tray in before.trays} if before else set()
    return Visit(
        number=after.visits,
        kind=kind,
        on=on,
        recorded=recorded,
        by=by,
        note=note,
        plan=plan,
        splices=tuple(sorted(laid ^ lay)),
        cables=tuple(
            cable.tag
            for cable in after.cables
            if cable.tag not in entered or (cable.abandoned and cable.tag not in given_up)
        ),
        trays=tuple(tray.position for tray in after.trays if tray.position not in trays),
    )
