"""Marshmallow fields that judge as JSON Schema does, and say what is wrong as a code and a sentence.

The library's own fields convert on the way: an Integer takes "1", a Boolean takes "yes", and ``^...$`` lets a
trailing newline pass. These take the JSON type alone.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from marshmallow import ValidationError, fields


class Said(str):
    """A message for people with its code for machines; marshmallow carries it through as text."""

    __slots__ = ("code",)
    code: str

    def __new__(cls, code: str, sentence: str) -> Said:
        """A message."""
        said = super().__new__(cls, sentence)
        said.code = code
        return said

    def format(self, *args: object, **named: object) -> Said:
        """Itself: the sentences have no places to fill."""
        return self


def fault(code: str, sentence: str) -> ValidationError:
    """The error of one fault."""
    return ValidationError([Said(code, sentence)])


MESSAGES: dict[str, str | list[Any] | dict[Any, Any]] = {
    "required": Said("required", "This member is required."),
    "null": Said("null", "This cannot be null."),
    "type": Said("type", "This is an object."),
}
"""What every field says where a member is missing or null."""


class Text(fields.Field[str]):
    """Text of ``shortest`` to ``longest`` characters that matches the whole of ``pattern``."""

    default_error_messages = MESSAGES

    def __init__(self, longest: int, shortest: int = 0, pattern: str = "", expects: str = "", **named: Any) -> None:
        self.longest, self.shortest = longest, shortest
        self.pattern = re.compile(rf"(?:{pattern})\Z") if pattern else None
        self.expects = expects
        super().__init__(**named)

    def _deserialize(self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any) -> str:
        if not isinstance(value, str):
            raise fault("type", "This is a text.")
        if not self.shortest <= len(value) <= self.longest:
            raise fault("length", f"This text has {self.shortest} to {self.longest} characters.")
        if self.pattern is not None and not self.pattern.match(value):
            raise fault("pattern", self.expects)
        return value


class Day(Text):
    """A day of the calendar as ``2026-03-02``, of this century or the last."""

    def __init__(self, **named: Any) -> None:
        expects = "A day is written as 2026-03-02."
        super().__init__(10, 10, r"(?:19|20)[0-9]{2}-[0-9]{2}-[0-9]{2}", expects, **named)

    def _deserialize(self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any) -> str:
        text = super()._deserialize(value, attr, data, **kwargs)
        try:
            date.fromisoformat(text)
        except ValueError:
            raise fault("day", "The calendar has no such day.") from None
        return text


class Choice(fields.Field[str]):
    """One of a few words."""

    default_error_messages = MESSAGES

    def __init__(self, *words: str, **named: Any) -> None:
        self.words = words
        super().__init__(**named)

    def _deserialize(self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any) -> str:
        if not isinstance(value, str) or value not in self.words:
            raise fault("choice", f"This is one of {', '.join(self.words)}.")
        return value


class Flag(fields.Field[bool]):
    """True or false, and nothing that is like it."""

    default_error_messages = MESSAGES

    def _deserialize(self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any) -> bool:
        if not isinstance(value, bool):
            raise fault("type", "This is true or false.")
        return value


class Number(fields.Field[float]):
    """A number from ``least`` to ``most``."""

    default_error_messages = MESSAGES
    whole = False

    def __init__(self, most: float, least: float, **named: Any) -> None:
        self.most, self.least = most, least
        super().__init__(**named)

    def _deserialize(self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
            raise fault("type", "This is a whole number." if self.whole else "This is a number.")
        if self.whole and value != int(value):
            raise fault("type", "This is a whole number.")
        if not self.least <= value <= self.most:
            raise fault("range", f"This is a number from {self.least:g} to {self.most:.16g}.")
        return value


class Integer(Number):
    """A whole number; 12.0 is one, as in JSON Schema."""

    whole = True


class Items(fields.Field[list[Any]]):
    """An array of ``fewest`` to ``most`` items; ``unique``: no two of them are equal."""

    default_error_messages = MESSAGES

    def __init__(self, item: fields.Field[Any], most: int, fewest: int = 0, unique: bool = False, **named: Any) -> None:
        self.item, self.most, self.fewest, self.unique = item, most, fewest, unique
        super().__init__(**named)

    def _deserialize(self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any) -> list[Any]:
        if not isinstance(value, list):
            raise fault("type", "This is an array.")
        if not self.fewest <= len(value) <= self.most:
            raise fault("items", f"This array has {self.fewest} to {self.most} items.")
        found: dict[int, Any] = {}
        for index, each in enumerate(value):
            try:
                self.item.deserialize(each)
            except ValidationError as error:
                found[index] = error.messages
            else:
                if self.unique and each in value[:index]:
                    found[index] = [Said("duplicate", "This stands here twice.")]
        if found:
            raise ValidationError(found)
        return value


class Entries(fields.Field[dict[str, Any]]):
    """An object of ``fewest`` to ``most`` members whose names and values are of one kind each."""

    default_error_messages = MESSAGES

    def __init__(
        self, name: fields.Field[Any], value: fields.Field[Any], most: int, fewest: int = 0, **named: Any
    ) -> None:
        self.name_field, self.value_field, self.most, self.fewest = name, value, most, fewest
        super().__init__(**named)

    def _deserialize(
        self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any
    ) -> dict[str, Any]:
        if not isinstance(value, dict):
            raise fault("type", "This is an object.")
        if not self.fewest <= len(value) <= self.most:
            raise fault("items", f"This object has {self.fewest} to {self.most} members.")
        found: dict[str, Sequence[Any]] = {}
        for name, each in value.items():
            for field, judged in ((self.name_field, name), (self.value_field, each)):
                try:
                    field.deserialize(judged)
                except ValidationError as error:
                    found[name] = [*found.get(name, ()), *error.messages]
        if found:
            raise ValidationError(found)
        return value
