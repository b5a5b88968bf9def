"""Documents drawn from the published description, and what reads the tables of it in tests."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from service.api.importing.tables import catalogue_tables, points_table
from service.api.spec import load_spec
from service.sheets.tabular.described import LEFT_OUT, SCHEMAS

SPEC = load_spec()
TABLES = catalogue_tables(SPEC)
ALL = list(TABLES.values())
POINTS = points_table(SPEC)
LEADS = st.sampled_from(["=", "+1", "-", "@", "'", "'=", "''=", '"', ";", "1-12", "0012", "1,234", "yes", "_x0041_"])
LETTERS = st.text(st.characters(blacklist_categories=["Cc", "Cs", "Zl", "Zp"], blacklist_characters="\ufffe\uffff"))


def lines(most: int) -> st.SearchStrategy[str]:
    """Text of a line without blanks about it: those are taken away from what is typed, and so from what comes back."""
    drawn = st.one_of(LETTERS, st.tuples(LEADS, LETTERS).map("".join))
    return drawn.map(lambda text: text[:most].strip() or "x")


def values(node: Any, name: str = "") -> st.SearchStrategy[Any]:
    """Valid values of a schema, so far as tables have them."""
    node = SPEC.resolved(node)
    if "oneOf" in node and "properties" not in node:
        return st.one_of([values(each) for each in node["oneOf"] if SPEC.resolved(each).get("type") != "null"])
    if "enum" in node:
        return st.sampled_from(node["enum"])
    kind = node["type"]
    if kind == "object":
        return objects(node)
    if kind == "array":
        unique = {"unique": True} if node.get("uniqueItems") else {}
        return st.lists(values(node["items"]), min_size=node.get("minItems", 0), max_size=3, **unique)
    if kind == "string":
        return texts(node, name)
    if kind == "boolean":
        return st.booleans()
    least, most = node.get("minimum", node.get("exclusiveMinimum")), node["maximum"]
    if kind == "integer":
        return st.integers(least, most)
    return (
        st.one_of(st.floats(least, most), st.integers(int(least) + 1, int(most)))
        if most > 1
        else st.floats(least, most)
    )


def objects(node: Any) -> st.SearchStrategy[dict[str, Any]]:
    """Valid objects, with some of the members that may be left out."""
    if "properties" not in node:
        return st.dictionaries(
            values(node["propertyNames"]), values(node["additionalProperties"]),
            min_size=node.get("minProperties", 0), max_size=3,
        )  # fmt: skip
    members = {name: each for name, each in node["properties"].items() if name not in LEFT_OUT}
    needed = {name: values(each, name) for name, each in members.items() if name in node.get("required", ())}
    others = {name: values(each, name) for name, each in members.items() if name not in needed}
    if "oneOf" in node:
        # One of two, as the ribbons and the fibres of a joint's side.
        either = [each["required"][0] for each in node["oneOf"]]
        chosen = st.sampled_from(either).flatmap(
            lambda name: st.fixed_dictionaries({name: values(members[name], name)})
        )
        rest = {name: each for name, each in others.items() if name not in either}
        return st.tuples(st.fixed_dictionaries(needed, optional=rest), chosen).map(lambda both: {**both[0], **both[1]})
    return st.fixed_dictionaries(needed, optional=others)


def texts(node: Any, name: str) -> st.SearchStrategy[str]:
    """Valid texts; where the description has a pattern of few letters, of it."""
    pattern = node.get("pattern", "")
    if pattern.startswith("^[^"):
        return lines(node["maxLength"])
    return st.from_regex(pattern.removeprefix("^").removesuffix("$"), fullmatch=True).filter(
        lambda text: len(text) <= node["maxLength"] and text.isascii()
    )


def entries(kind: str) -> st.SearchStrategy[list[dict[str, Any]]]:
    """Some entries of a section, no two with one code."""
    return st.lists(
        values({"$ref": f"#/components/schemas/{SCHEMAS[kind]}"}), max_size=3, unique_by=lambda e: e["code"]
    )


def points() -> st.SearchStrategy[list[dict[str, Any]]]:
    """Some splice points, each with a name of its own."""
    drawn = values({"$ref": "#/components/schemas/SplicePoint"})
    named = st.tuples(lines(200), drawn).map(lambda both: {**both[1], "name": both[0]})
    return st.lists(named, min_size=1, max_size=2, unique_by=lambda point: point["name"])
