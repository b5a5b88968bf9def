"""What is true of every hung closure, worked out from its record alone, apart from the code that keeps it."""

from __future__ import annotations

from collections import Counter

from service.domain.catalogue import Catalogue
from service.domain.installation import Contents
from service.domain.splices import RibbonEnd

End = tuple[str, str, int]
"""(tag, end, fibre)."""


def fibres(end: RibbonEnd, contents: Contents, catalogue: Catalogue) -> list[End]:
    """The fibre ends of a splice's end, counted by hand."""
    model = next(catalogue.cables[cable.cable] for cable in contents.cables if cable.tag == end.cable)
    first = (end.ribbon - 1) * model.ribbon_fibres + 1
    last = min(end.ribbon * model.ribbon_fibres, model.fibres)
    numbers = list(range(first, last + 1)) if end.fibre is None else [end.fibre]
    if end.half is not None:
        numbers = numbers[: len(numbers) // 2] if end.half == 1 else numbers[len(numbers) // 2 :]
    return [(end.cable, end.end, number) for number in numbers]


def hold(contents: Contents, catalogue: Catalogue) -> None:
    """Assert all of them."""
    closure = catalogue.closures[contents.closure]
    numbers = [splice.number for splice in contents.splices]
    assert len(set(numbers)) == len(numbers) and max(numbers, default=0) <= contents.splices_laid
    _ends(contents, catalogue)
    _trays(contents, catalogue)
    entries: Counter[str] = Counter()
    for cable in contents.cables:
        assert len(cable.ports) in ((1, 2) if cable.express else (1,))
        for port in cable.ports:
            entries[port] += 2 if cable.express and len(cable.ports) == 1 else 1
    for port_model in closure.ports:
        for n in range(1, port_model.count + 1):
            assert entries.pop(f"{port_model.name}-{n}", 0) <= port_model.cables
    assert not entries
    height = sum(catalogue.trays[tray.tray].pitch_mm for tray in contents.trays)
    assert height <= closure.stack_mm
    assert [tray.position for tray in contents.trays] == list(range(1, len(contents.trays) + 1))


def _ends(contents: Contents, catalogue: Catalogue) -> None:
    """No end twice; every spliced one is cut; what is cut and not spliced is parked, tube by tube."""
    seen: set[End] = set()
    for splice in contents.splices:
        for end in (splice.from_, splice.to):
            for each in fibres(end, contents, catalogue):
                assert each not in seen
                seen.add(each)
    parked: Counter[tuple[str, int]] = Counter()
    for tray in contents.trays:
        for ends in tray.parked:
            model = next(catalogue.cables[cable.cable] for cable in contents.cables if cable.tag == ends.cable)
            assert ends.ribbons >= 0 and ends.fibres >= 0 and ends.ribbons + ends.fibres > 0
            parked[ends.cable, ends.tube] += ends.ribbons * model.ribbon_fibres + ends.fibres
    due: Counter[tuple[str, int]] = Counter()
    for cable in contents.cables:
        model = catalogue.cables[cable.cable]
        size = model.ribbon_fibres * model.ribbons_per_tube
        cut = {number for first, last in cable.cut for number in range(first, last + 1)}
        assert {number for tag, _, number in seen if tag == cable.tag} <= cut
        assert not (cable.abandoned and cut)
        for end in ("in", "out") if cable.express else ("in",):
            for number in cut:
                due[cable.tag, -(-number // size)] += (cable.tag, end, number) not in seen
    assert parked == +due


def _trays(contents: Contents, catalogue: Catalogue) -> None:
    """Slots used at most given, one splice a slot; channels and entries hold, and are charged for what lies in them."""
    for tray in contents.trays:
        model = catalogue.trays[tray.tray]
        here = [splice for splice in contents.splices if splice.position == tray.position]
        slots = [(splice.bank, splice.slot) for splice in here]
        slots += [(bank.bank, slot) for bank in tray.banks for slot in bank.parked]
        assert len(set(slots)) == len(slots)
        banks = {bank.bank: bank for bank in tray.banks}
        for splice in here:
            assert banks[splice.bank].slot_kind == catalogue.sleeves[splice.sleeve].slot_kind
        for number, slot in slots:
            assert 1 <= slot <= banks[number].slots
        for bank in tray.banks:
            assert model.single_banks()[bank.bank - 1][bank.slot_kind] == bank.slots
        storage = sum(sum(splice.storage_mm2) for splice in here) + sum(ends.storage_mm2 for ends in tray.parked)
        assert abs(storage - tray.storage_used_mm2) < 1e-4
        assert model.storage_mm2 is None or tray.storage_used_mm2 <= model.storage_mm2
        ribbons = sum(2 for splice in here if splice.from_.fibre is None) + sum(ends.ribbons for ends in tray.parked)
        assert ribbons == tray.ribbons
        assert model.entry_ribbons_max is None or tray.ribbons <= model.entry_ribbons_max
        assert here or tray.keep_apart is None
