"""In how many ways a regular expression can match: what a backtracking matcher can be made to try.

Such a matcher goes through the ways one after the other. Where a word can be doubled and the ways with it, a short text
takes for ever (exponential ambiguity); where they grow with a power of its length, a long one does (polynomial). The
two criteria are those of Weber and Seidl for finite automata (1991, from memory): of a state that a word leads back to
itself in two ways, and of two states each led back to itself by a word that also leads from the one to the other.

The automaton is that of positions (Glushkov), its transitions counted by the ways in which the expression allows them.
Bounded repetitions are taken as unbounded and anchors as always true: this finds more ways than there are, never fewer.
"""

from __future__ import annotations

import re
from collections import Counter, deque
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from re import _constants as kinds  # type: ignore[attr-defined]
from re import _parser  # type: ignore[attr-defined]
from typing import Any

LETTERS = [*map(chr, range(128)), *"\x85\xa0ßé²٣–\u2028Ωσ漢\ud800\U0001f600"]
"""What stands for all characters: ASCII, and one of each kind that a class could tell apart beyond."""
_CATEGORIES = {
    kinds.CATEGORY_DIGIT: r"\d",
    kinds.CATEGORY_NOT_DIGIT: r"\D",
    kinds.CATEGORY_SPACE: r"\s",
    kinds.CATEGORY_NOT_SPACE: r"\S",
    kinds.CATEGORY_WORD: r"\w",
    kinds.CATEGORY_NOT_WORD: r"\W",
}
Ways = Counter[int]
Letters = frozenset[str]


@dataclass(frozen=True)
class _Part:
    """Where a part of an expression can begin and end, and in how many ways it can be passed over."""

    first: Ways
    last: Ways
    empty: int


@dataclass
class Automaton:
    """Positions with the letters that each takes, and in how many ways one follows another."""

    letters: list[Letters] = field(default_factory=list)
    follow: dict[int, Ways] = field(default_factory=dict)
    begin: Ways = field(default_factory=Counter)

    def after(self, position: int) -> Ways:
        """What can come next."""
        return self.follow.get(position, Counter())

    def share(self, one: int, other: int) -> bool:
        """Whether a letter leads to both."""
        return not self.letters[one].isdisjoint(self.letters[other])

    def paths(self, text: str) -> int:
        """How many ways there are through a text, whether or not they end in a match."""
        here = Counter({position: ways for position, ways in self.begin.items() if text[0] in self.letters[position]})
        for letter in text[1:]:
            there: Ways = Counter()
            for position, ways in here.items():
                for following, more in self.after(position).items():
                    if letter in self.letters[following]:
                        there[following] += ways * more
            here = there
        return sum(here.values())


def automaton(pattern: str, flags: int = 0) -> Automaton:
    """The automaton of a pattern without what it looks ahead or back for; ``ValueError`` where it cannot be made."""
    made = Automaton()
    tree = _parser.parse(pattern, flags)
    part = _sequence(made, tree, tree.state.flags)
    made.begin = part.first
    return made


def looked_for(pattern: str, flags: int = 0) -> Iterator[Automaton]:
    """The automata of a pattern and of everything that it looks ahead or back for."""
    yield automaton(pattern, flags)
    tree = _parser.parse(pattern, flags)
    waiting: list[Any] = list(tree)
    while waiting:
        node = waiting.pop()
        if isinstance(node, tuple) and node and (node[0] is kinds.ASSERT or node[0] is kinds.ASSERT_NOT):
            made = Automaton()
            made.begin = _sequence(made, node[1][1], tree.state.flags).first
            yield made
        if isinstance(node, tuple | list | _parser.SubPattern):
            waiting += list(node)


def growth(made: Automaton) -> str:
    """``exponential``, ``polynomial`` or ``bounded``: how the ways through a text can grow with its length."""
    if _is_exponential(made):
        return "exponential"
    return "polynomial" if _is_polynomial(made) else "bounded"


def _is_exponential(made: Automaton) -> bool:
    for position in range(len(made.letters)):
        home = position, position
        if any(home in _reached(pair, lambda each: _pairs(made, each)) for pair in _forked(made, position)):
            return True
    return False


def _forked(made: Automaton, position: int) -> set[tuple[int, int]]:
    """What two different ways from a position can lead to: two positions at a time, or one in two ways."""
    reached = _reached((position, position), lambda pair: _pairs(made, pair)) | {(position, position)}
    twice = {
        (following, following)
        for one, other in reached
        if one == other
        for following, ways in made.after(one).items()
        if ways > 1
    }
    # Where it is the way home itself that is twice, what follows from home is what leads there again.
    return {pair for pair in reached if pair[0] != pair[1]} | twice


def _is_polynomial(made: Automaton) -> bool:
    for one in range(len(made.letters)):
        for other in _reached(one, made.after) - {one}:
            if other not in made.after(other) and other not in _reached(other, made.after):
                continue
            if (one, other, other) in _reached((one, one, other), lambda triple: _triples(made, triple)):
                return True
    return False


def _reached(start: Any, onward: Callable[[Any], Iterable[Any]]) -> set[Any]:
    """Everything that one step or more lead to."""
    found: set[Any] = set()
    waiting = deque(onward(start))
    while waiting:
        each = waiting.popleft()
        if each not in found:
            found.add(each)
            waiting.extend(onward(each))
    return found


def _pairs(made: Automaton, pair: tuple[int, int]) -> Iterator[tuple[int, int]]:
    for one in made.after(pair[0]):
        for other in made.after(pair[1]):
            if made.share(one, other):
                yield one, other


def _triples(made: Automaton, triple: tuple[int, int, int]) -> Iterator[tuple[int, int, int]]:
    for one, other in _pairs(made, triple[:2]):
        both = made.letters[one] & made.letters[other]
        for third in made.after(triple[2]):
            if not both.isdisjoint(made.letters[third]):
                yield one, other, third


def _sequence(made: Automaton, nodes: Iterable[tuple[Any, Any]], flags: int) -> _Part:
    whole = _Part(Counter(), Counter(), 1)
    for kind, said in nodes:
        whole = _joined(made, whole, _part(made, kind, said, flags))
    return whole


def _part(made: Automaton, kind: Any, said: Any, flags: int) -> _Part:
    if kind in (kinds.LITERAL, kinds.NOT_LITERAL, kinds.IN, kinds.ANY):
        made.letters.append(_letters(kind, said, flags))
        position = Counter({len(made.letters) - 1: 1})
        return _Part(position, position, 0)
    if kind in (kinds.AT, kinds.ASSERT, kinds.ASSERT_NOT):
        return _Part(Counter(), Counter(), 1)
    if kind is kinds.SUBPATTERN:
        _, add, remove, inner = said
        return _sequence(made, inner, (flags | add) & ~remove)
    if kind is kinds.BRANCH:
        branches = [_sequence(made, branch, flags) for branch in said[1]]
        return _Part(
            sum((each.first for each in branches), Counter()),
            sum((each.last for each in branches), Counter()),
            sum(each.empty for each in branches),
        )
    if kind in (kinds.MAX_REPEAT, kinds.MIN_REPEAT):
        least, most, inner = said
        part = _sequence(made, inner, flags)
        if most > 1:
            _follow(made, part.last, part.first)
        return _Part(part.first, part.last, part.empty + (least == 0))
    raise ValueError(f"{kind} is not understood")


def _joined(made: Automaton, one: _Part, other: _Part) -> _Part:
    _follow(made, one.last, other.first)
    return _Part(
        one.first + _times(other.first, one.empty), other.last + _times(one.last, other.empty), one.empty * other.empty
    )


def _follow(made: Automaton, ends: Ways, beginnings: Ways) -> None:
    for end, ways in ends.items():
        made.follow.setdefault(end, Counter()).update(_times(beginnings, ways))


def _times(ways: Mapping[int, int], factor: int) -> Ways:
    return Counter({position: count * factor for position, count in ways.items() if factor})


def _letters(kind: Any, said: Any, flags: int) -> Letters:
    if kind is kinds.ANY:
        return frozenset(letter for letter in LETTERS if flags & re.DOTALL or letter != "\n")
    if kind is kinds.IN:
        negated = said[0][0] is kinds.NEGATE
        inside = [_class(*each, flags) for each in said if each[0] is not kinds.NEGATE]
        return frozenset(letter for letter in LETTERS if negated != any(letter in each for each in inside))
    same = _class(kinds.LITERAL, said, flags)
    return same if kind is kinds.LITERAL else frozenset(LETTERS) - same


def _class(kind: Any, said: Any, flags: int) -> Letters:
    if kind is kinds.CATEGORY:
        told = re.compile(_CATEGORIES[said], flags & re.ASCII)
        return frozenset(letter for letter in LETTERS if told.match(letter))
    if kind is kinds.LITERAL:
        # A character of its own, also where it is none of those that stand for others.
        alike = {chr(said).lower(), chr(said).upper()} if flags & re.IGNORECASE else set()
        return frozenset({chr(said), *alike})
    first, last = said
    within = {letter for letter in LETTERS if first <= ord(letter) <= last}
    return frozenset(
        within | {each for letter in within for each in (letter.lower(), letter.upper())}
        if flags & re.IGNORECASE
        else within
    )
