"""What a table looks like: its sheets and columns, each leading to a place in a document.

A document has one row on the sheet of its kind. A list in it has a sheet of its own, a row an item, which says in the
key's column whose it is. The heading of a column is the way to its member, with dots: ``ports.od_min_mm``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Path = tuple[str, ...]
Value = Literal["text", "choice", "whole", "number", "number_or_text", "yes_no", "money", "list"]


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its heading, the way to its member from the document or the item, and what belongs there.

    ``names``: it stands for as many columns as there are names behind its heading, as ``tags.area``.
    """

    heading: str
    path: Path
    value: Value = "text"
    choices: tuple[str, ...] = ()
    told: str = ""
    needed: bool = False
    names: bool = False

    def of_name(self, name: str) -> Column:
        """The column of one name, of those that this one stands for."""
        return Column(f"{self.heading}.{name}", (*self.path, name), self.value, self.choices, self.told)


@dataclass(frozen=True, slots=True)
class Grouped:
    """How several rows make one item, as the slot kinds of a bank do.

    Rows with the same number in the column ``number`` are one item; ``name`` and ``value`` are a member and what it is
    in the mapping ``member`` of the item.
    """

    number: Column
    member: str
    name: Column
    value: Column


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet: its name, its columns behind the key's, and the member that its rows are the items of.

    ``member`` is None where a row is the document itself.
    """

    name: str
    columns: tuple[Column, ...]
    member: str | None = None
    grouped: Grouped | None = None

    @property
    def all_columns(self) -> tuple[Column, ...]:
        """The columns in order, those of a mapping among them."""
        if self.grouped is None:
            return self.columns
        return (self.grouped.number, *self.columns, self.grouped.name, self.grouped.value)


@dataclass(frozen=True, slots=True)
class Table:
    """All sheets of one kind of document; ``key`` is the column by which documents are told apart.

    ``needed`` are the lists that a document cannot do without.
    """

    kind: str
    key: Column
    own: Sheet
    lists: tuple[Sheet, ...] = ()
    needed: frozenset[str] = frozenset()

    @property
    def sheets(self) -> tuple[Sheet, ...]:
        """The sheet of the documents, and those of their lists."""
        return (self.own, *self.lists)

    def list_of(self, member: str) -> Sheet | None:
        """The sheet of a list."""
        return next((sheet for sheet in self.lists if sheet.member == member), None)

    def is_needed(self, member: str) -> bool:
        """Whether a document cannot do without a list, so that an empty one is a fault."""
        return member in self.needed
