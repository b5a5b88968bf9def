"""Text that is to be more than text somewhere, put wherever the description takes any."""

from __future__ import annotations

from collections.abc import Iterator
from copy import deepcopy
from typing import Any

from service.api.spec import load_spec

FORMULAS = (
    '=HYPERLINK("http://a.example","free")',
    "+1+cmd|' /C calc'!A0",
    "-2+3",
    "@SUM(1+1)",
    " =1+1",
    "\ufeff=1+1",
    "\u200b=1+1",
    "\uff1d1+1",
    "\uff0b1",
    "\uff0d1",
    "\uff20A1",
    "a;=1+1",
    'a","=1+1',
    "a|=1;@B2",
)
MARKUP = (
    "<script>alert(1)</script>",
    "</text><image href='http://a.example'/>",
    '"><b onclick=x>',
    "]]><!ENTITY x 'y'>",
    "&lt;i&gt;&#60;u&#62;",
    "javascript:alert(1)",
    "{{7*7}}${7*7}{%if%}",
    "**b** __u__ [x](javascript:1)",
    "&G&D&P &A",
)
OTHERS = (
    "\u202egnp.exe\u202d",
    "\u2066x\u2067y",
    "../../etc/passwd",
    "C:\\..\\x",
    "/etc/passwd",
    "'; DROP TABLE plans; --",
    "' OR 1=1 --",
    "100%_\\",
    "%00%0d%0aX: y",
    "\u0627\u0644\u0639",
    "⸢1⸣'⸢2⸣",
    "\U0001f600\ufffe",
)
MISCHIEF = (*FORMULAS, *MARKUP, *OTHERS)


def mischievous(schema: str, document: Any, turn: int = 0) -> tuple[Any, list[str]]:
    """The document with another text of ``MISCHIEF`` for every text that could be any, and those texts.

    What could be any is asked of the schema: a text is free where the document is still allowed with mischief in all
    places of that text, so that names which refer to each other go on doing so.
    """
    validator, made, used = load_spec().validator(schema), deepcopy(document), []
    assert validator.is_valid(made)
    for number, text in enumerate(sorted(set(_texts(made))), start=turn):
        mischief = f"{MISCHIEF[number % len(MISCHIEF)]} {number}"
        tried = _replaced(made, text, mischief)
        if validator.is_valid(tried):
            made = tried
            used.append(mischief)
    return made, used


def _texts(node: Any) -> Iterator[str]:
    if isinstance(node, str):
        yield node
    elif isinstance(node, dict):
        for each in node.values():
            yield from _texts(each)
    elif isinstance(node, list):
        for each in node:
            yield from _texts(each)


def _replaced(node: Any, text: str, other: str) -> Any:
    if isinstance(node, dict):
        return {name: _replaced(each, text, other) for name, each in node.items()}
    if isinstance(node, list):
        return [_replaced(each, text, other) for each in node]
    return other if node == text else node
