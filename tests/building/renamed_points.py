"""Splice points with other names: requests of the demo, their tags and labels exchanged for drawn ones."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from copy import deepcopy
from typing import Any

from hypothesis import strategies as st

from service.api.strict_json import read_json
from service.documents.catalogue import catalogue_from
from tests.demo.files import DEMO

CATALOGUE = catalogue_from(read_json((DEMO / "catalogue.json").read_bytes()))
POINTS: list[dict[str, Any]] = [
    read_json(line) for line in (DEMO / "splice-points.ndjson").read_bytes().splitlines() if line.strip()
]

ODD_NAMES = (
    "A",
    "it's",
    'say "A"',
    'it\'s "A"',
    "back\\slash",
    "⸢1⸣",
    "⸢⸢2⸣",
    "'⸢1⸣'",
    "⸢",
    "soft\u00adhyphen",
    "private\ue000use",
    "no\u00a0break",
    "😀",
    "\u202eright to left",
    "e\u0301",
    "{0}",
    "%s",
    "\\1",
    "\\u0041",
    "/joints/0",
    "stack",
    "name",
    " ",
    "1",
)
"""Names that a careless replacement would stumble over."""

CHANGES = ("none", "none", "none", "label", "any", "twice", "beyond", "unknown", "tag", "twin")

names = st.one_of(
    st.sampled_from(ODD_NAMES),
    st.text(
        st.characters(
            blacklist_categories=("Cs",),
            blacklist_characters=[chr(n) for n in (*range(32), *range(127, 160), 0x2028, 0x2029)],
        ),
        min_size=1,
        max_size=12,
    ),
)


def own_words(document: Mapping[str, Any]) -> tuple[list[str], list[str]]:
    """The tags and the labels of a request, in the order of appearance."""
    tags = [cable["tag"] for cable in document["cables"]]
    tags += [joint[side]["cable"] for joint in document["joints"] for side in ("from", "to")]
    labelled = [*document["joints"], *document.get("existing_trays", ())]
    labels = [thing["keep_apart"] for thing in labelled if thing.get("keep_apart") is not None]
    return list(dict.fromkeys(tags)), list(dict.fromkeys(labels))


def called(document: Mapping[str, Any], name: str, tags: Iterable[str], labels: Iterable[str]) -> dict[str, Any]:
    """The same request under other names: a new tag and label for each old one, in the order of appearance."""
    new = deepcopy(dict(document))
    old_tags, old_labels = own_words(document)
    tag_of, label_of = dict(zip(old_tags, tags, strict=False)), dict(zip(old_labels, labels, strict=False))
    new["name"] = name
    for cable in new["cables"]:
        cable["tag"] = tag_of[cable["tag"]]
    for joint in new["joints"]:
        for side in ("from", "to"):
            joint[side]["cable"] = tag_of[joint[side]["cable"]]
    for thing in [*new["joints"], *new.get("existing_trays", ())]:
        if thing.get("keep_apart") is not None:
            thing["keep_apart"] = label_of[thing["keep_apart"]]
    return new


@st.composite
def renamed(draw: st.DrawFn, points: list[dict[str, Any]]) -> dict[str, Any]:
    """A splice point out of these, with drawn names; some of them refused or not fitting, some for any closure."""
    point = draw(st.sampled_from(points))
    change = draw(st.sampled_from(CHANGES))
    point = deepcopy(point)
    joint = point["joints"][draw(st.integers(0, len(point["joints"]) - 1))]
    if change == "label":
        for place, each in enumerate(point["joints"]):
            each["keep_apart"] = f"label {place % 2}"
    elif change == "any" and not point.get("existing_trays"):
        point.pop("closures", None)
    elif change == "twice":
        point["joints"].append(deepcopy(joint))
    elif change == "beyond":
        joint["to"]["ribbons" if "ribbons" in joint["to"] else "fibres"] = "1-9999"
    elif change == "unknown":
        point["cables"][0]["cable"] = "no-such-cable"
    elif change == "tag":
        joint["from"]["cable"] = "a tag of no cable"
    elif change == "twin":
        point["cables"].append(deepcopy(point["cables"][0]))
    tags, labels = own_words(point)
    new_tags = draw(st.lists(names, min_size=len(tags), max_size=len(tags), unique=True))
    new_labels = draw(st.lists(names, min_size=len(labels), max_size=len(labels), unique=True))
    return called(point, draw(st.one_of(st.just(""), names)), new_tags, new_labels)
