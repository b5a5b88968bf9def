"""The splice point itself: slack, ports, bend, reserve, lanes, crew time and the place."""

from __future__ import annotations

from service.domain.plan import Plan, ReserveHeld
from service.sheets.layout import bullets, columns, counted, items, listed, number, paragraph, sentence


def slack_lines(plan: Plan) -> list[str]:
    """Lengths for each cable, a side of one ribbon, for the tray that asks most."""
    if not plan.slack:
        return []
    rows = [("cable", "opening mm", "window mm", "stored mm", "turns", "remakes left", "slack outside")]
    rows += [
        (
            slack.cable,
            number(slack.sheath_opening_mm),
            "" if slack.window_mm is None else number(slack.window_mm),
            number(slack.stored_mm),
            str(slack.turns),
            str(slack.remakes_left),
            "" if slack.slack_m is None else f"{slack.slack_m:g} m",
        )
        for slack in plan.slack
    ]
    lines = columns(rows, right=(1, 2, 3, 4, 5))
    return lines + paragraph(
        "Stored and turns are a side, in the tray that asks most; the window is both sides of a cut."
    )


def port_lines(plan: Plan) -> list[str]:
    """Which cable goes in at which port, and which ports stay free."""
    rows = [
        (use.port, _tags(use.cables), "seal for " + listed([f"{od:g} mm" for od in use.od_mm])) for use in plan.ports
    ]
    lines = columns(rows)
    if plan.spare_ports:
        lines += paragraph(f"Free, each with a plug: {', '.join(plan.spare_ports)}.")
    return lines


def _tags(cables: tuple[str, ...]) -> str:
    """Tags in a port; one that stands twice is an express cable with both its ends there."""
    return ", ".join(f"{tag} in and out" if cables.count(tag) > 1 else tag for tag in dict.fromkeys(cables))


def bend_lines(plan: Plan) -> list[str]:
    """Whether the stored turns are wide enough, and the most loss that they can add."""
    return [line for text in bend_sentences(plan) for line in paragraph(text)]


def bend_sentences(plan: Plan) -> list[str]:
    """The same, a sentence each."""
    bend = plan.bend
    if bend is None:
        return []
    text = "Wide enough" if bend.ok else "Too tight"
    if bend.radius_mm is not None and bend.required_mm is not None:
        text += f": {bend.radius_mm:g} mm at the tightest, {bend.required_mm:g} mm asked"
    sentences = [f"{text}."]
    losses = [f"{loss:.3g} dB at {wavelength} nm" for wavelength, loss in sorted(bend.loss_db.items())]
    if losses:
        sentences.append(f"At most {listed(losses)} added at the worst splice.")
    return [*sentences, sentence(bend.basis)]


def reserve_lines(plan: Plan) -> list[str]:
    """Free slots by kind after the work, beside what was asked for."""
    return items(_reserve(held) for held in plan.reserve)


def _reserve(held: ReserveHeld) -> str:
    text = f"{held.slot_kind}: {counted(held.free, 'free slot')}, {held.asked} asked for"
    return f"{text}; {held.later} more in trays that can be added later" if held.later else text


def headroom_lines(plan: Plan) -> list[str]:
    """How much more of the same fits, where that was asked for."""
    return items(
        f"{room.slot_kind}: {'' if room.proven else 'at least '}{room.more} more "
        + (f"ribbons of {room.fibres}" if room.form == "ribbon" else "single fibres")
        for room in plan.headroom or ()
    )


def lane_lines(plan: Plan) -> list[str]:
    """How the fibres of each cable are used."""
    return items(lane_sentences(plan))


def lane_sentences(plan: Plan) -> list[str]:
    """The same, a cable each."""
    return [
        _lane(lane.cable, lane.spliced, lane.stored, lane.express, lane.opened, lane.express_tubes)
        for lane in plan.lanes
    ]


def _lane(cable: str, spliced: int, stored: int, express: int, opened: tuple[int, ...], uncut_tubes: int) -> str:
    parts = [f"{spliced} fibre ends spliced"]
    if stored:
        parts.append(f"{stored} cut and parked")
    if express:
        parts.append(f"{express} pass uncut")
    text = f"{cable}: {', '.join(parts)}"
    if opened:
        text += f"; opened {'tube' if len(opened) == 1 else 'tubes'} {_spans(opened)}"
    return (
        f"{text}; {counted(uncut_tubes, 'tube')} {'passes' if uncut_tubes == 1 else 'pass'} unopened"
        if uncut_tubes
        else text
    )


def _spans(numbers: tuple[int, ...]) -> str:
    """Ascending numbers with unbroken stretches folded: ``1-4, 7``."""
    spans: list[list[int]] = []
    for each in numbers:
        if spans and each == spans[-1][1] + 1:
            spans[-1][1] = each
        else:
            spans.append([each, each])
    return ", ".join(str(a) if a == b else f"{a}-{b}" for a, b in spans)


def crew_lines(plan: Plan) -> list[str]:
    """How long it takes, and what was assumed."""
    crew = plan.crew
    if crew is None:
        return []
    text = f"{crew.hours_median:.1f} h as likely as not, {crew.hours_90:.1f} h in nine cases of ten"
    if crew.fits_window is not None:
        text += "; inside the window" if crew.fits_window else "; LONGER THAN THE WINDOW"
    return paragraph(f"{text}. The slowest stage is: {crew.bottleneck}.") + bullets(crew.assumptions)


def site_lines(plan: Plan) -> list[str]:
    """Whether the closure and the coils of slack go into the place."""
    site = plan.site
    if site is None:
        return []
    verdict = {True: "The closure and the coils fit the place.", False: "THE PLACE IS TOO SMALL.", None: "Not judged."}
    rows = [
        (
            coil.cable,
            f"{counted(coil.turns, 'turn')} of {number(coil.diameter_mm)} mm inside",
            f"{number(coil.thickness_mm)} mm thick" + ("" if coil.fits else "; does not fit"),
        )
        for coil in site.coils
    ]
    return paragraph(verdict[site.fits]) + columns(rows, indent=4) + bullets(site.notes)
