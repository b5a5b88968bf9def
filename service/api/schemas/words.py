"""Fields that several bodies share, and what is common to all bodies: members that are not described are refused."""

from __future__ import annotations

from typing import Any

from marshmallow import RAISE, Schema, fields

from service.api.fields import MESSAGES, Choice, Flag, Integer, Number, Said, Text, fault

_CODE = r"[A-Za-z0-9][A-Za-z0-9._-]{0,63}"
_PRINTED = r"[^\x00-\x1f\x7f-\x9f\u2028\u2029]*"
_ID = r"[0-9a-f]{32}"
_PRICE = r"(?:0|[1-9][0-9]{0,8})(?:\.[0-9]{1,2})?"
_RANGES = r"[1-9][0-9]{0,8}(?:-[1-9][0-9]{0,8})?(?:,[1-9][0-9]{0,8}(?:-[1-9][0-9]{0,8})?)*"


class Body(Schema):
    """A closed object: members that are not described are refused."""

    class Meta:
        """Refuse unknown members."""

        unknown = RAISE

    error_messages = {  # noqa: RUF012 - marshmallow's own way to set them
        "unknown": Said("unknown_member", "There is no member of this name here."),
        "type": Said("type", "This is an object."),
    }


def inner(schema: type[Schema], **named: Any) -> fields.Nested:
    """A member that is an object of its own."""
    return fields.Nested(schema, error_messages=MESSAGES, **named)


def code(**named: Any) -> Text:
    """A code, or a name made like one."""
    expects = "A code has letters, digits, dots, dashes and underscores, and starts with a letter or digit."
    return Text(longest=64, shortest=1, pattern=_CODE, expects=expects, **named)


def record_id(**named: Any) -> Text:
    """The id of something stored."""
    return Text(longest=32, shortest=32, pattern=_ID, expects="An id has 32 of the digits 0-9 and a-f.", **named)


def line(longest: int = 200, shortest: int = 1, **named: Any) -> Text:
    """A line of text without control characters."""
    expects = "This text has control characters or line breaks in it."
    return Text(longest=longest, shortest=shortest, pattern=_PRINTED, expects=expects, **named)


def positive_length(**named: Any) -> Number:
    """A length in mm, one µm at least."""
    return Number(least=0.001, most=100_000, **named)


def length(**named: Any) -> Number:
    """A length in mm."""
    return Number(least=0, most=100_000, **named)


def area(**named: Any) -> Number:
    """A cross-section in mm²."""
    return Number(least=0.001, most=1_000_000, **named)


def seconds() -> Number:
    """A time in seconds."""
    return Number(least=0, most=100_000)


def probability(**named: Any) -> Number:
    """The probability of a remake."""
    return Number(least=0, most=0.9, **named)


class ProbabilityOrRecorded(Number):
    """The probability of a remake, or that it is to be learned from records."""

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> Any:
        if value == "recorded":
            return value
        if isinstance(value, str):
            raise fault("type", "This is a number, or the word recorded.")
        return super()._deserialize(value, attr, data, **kwargs)


def quantity(**named: Any) -> Number:
    """How many, or how much."""
    return Number(least=0.000001, most=1_000_000, **named)


def ranges(longest: int = 2000) -> Text:
    """Ribbon, fibre or slot numbers."""
    return Text(longest=longest, shortest=1, pattern=_RANGES, expects="Numbers are written as 1-12, 3, or 1-4,9-12.")


def ribbon_form(**named: Any) -> Choice:
    """The form of a cable's ribbons."""
    return Choice("flat", "rollable", "loose", **named)


class Entry(Body):
    """What every catalogue entry has; ``revision`` is said in answers and ignored here."""

    code = code(required=True)
    title = line(required=True)
    revision = Integer(least=0, most=2**53 - 1)
    retired = Flag()


class PricedEntry(Entry):
    """An entry with a price."""

    price = Text(longest=12, shortest=1, pattern=_PRICE, expects="Money is written as 12, 12.5 or 12.50, in text.")
    currency = Text(longest=3, shortest=3, pattern="[A-Z]{3}", expects="A currency has three capital letters.")
