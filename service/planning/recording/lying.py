"""What is spliced in a hung closure: the form under which each of its splices is counted."""

from __future__ import annotations

from collections.abc import Mapping

from service.domain.catalogue import Catalogue
from service.domain.installation import Contents, LaidSplice
from service.domain.rework import SpliceForm
from service.planning.recording.learning import form_of_splice


def forms_of(contents: Contents, catalogue: Catalogue) -> Mapping[int, SpliceForm]:
    """The form of every splice that lies there, by its number.

    A splice of which neither cable is in the catalogue any more has none, and is left out.
    """
    by_tag = {cable.tag: catalogue.cables[cable.cable] for cable in contents.cables if cable.cable in catalogue.cables}
    forms: dict[int, SpliceForm] = {}
    for splice in contents.splices:
        found = _forms(splice, {tag: cable.ribbon_form for tag, cable in by_tag.items()})
        if found:
            forms[splice.number] = form_of_splice(found)
    return forms


def _forms(splice: LaidSplice, by_tag: Mapping[str, SpliceForm]) -> list[SpliceForm]:
    if splice.fibres == 1:
        return ["single"]
    return [by_tag[end.cable] for end in (splice.from_, splice.to) if end.cable in by_tag]
