"""How wide words are on a drawing, so that nothing runs over anything, whatever font the reader has.

Widths are those of DejaVu Sans, which is wider than what most devices show for ``sans-serif``; a letter outside ASCII
counts as wide as most of its script are. The table is here because to open the font takes longer than a drawing.
"""

from __future__ import annotations

from functools import lru_cache
from unicodedata import combining, east_asian_width

from service.sheets.safe_text import plain_text

# fmt: off
_PLAIN = (
    317, 400, 460, 838, 636, 950, 780, 275, 390, 390, 500, 838, 317, 361, 317, 337, 636, 636, 636, 636, 636,
    636, 636, 636, 636, 636, 337, 337, 838, 838, 838, 531, 1000, 684, 686, 698, 770, 632, 575, 775, 752, 295,
    295, 655, 557, 863, 748, 787, 603, 787, 694, 635, 610, 732, 684, 988, 685, 610, 685, 390, 337, 390, 838,
    500, 500, 613, 635, 550, 635, 615, 352, 635, 634, 278, 278, 579, 278, 974, 634, 611, 635, 635, 411, 521,
    392, 634, 591, 818, 591, 591, 525, 636, 337, 636, 838,
)
_BOLD = (
    348, 456, 521, 838, 696, 1002, 872, 306, 457, 457, 522, 838, 380, 415, 380, 365, 696, 696, 696, 696, 696,
    696, 696, 696, 696, 696, 400, 400, 838, 838, 838, 580, 1000, 774, 762, 734, 830, 683, 683, 820, 837, 372,
    372, 775, 637, 995, 837, 850, 732, 850, 770, 720, 682, 812, 774, 1103, 771, 724, 725, 457, 365, 457, 838,
    500, 500, 674, 716, 592, 716, 678, 435, 716, 712, 342, 342, 665, 342, 1042, 712, 687, 716, 716, 493, 595,
    478, 712, 652, 923, 645, 652, 582, 712, 365, 712, 838,
)
# fmt: on
_NARROW = frozenset("·\u00a0")
_OTHER = 0.95
"""A letter that the tables do not have, in ems (CJK: one em and a tenth)."""


@lru_cache(maxsize=8192)
def width_of(words: str, size: float, bold: bool = False) -> float:
    """The width of words at a size, in the drawing's units."""
    table = _BOLD if bold else _PLAIN
    ems = 0.0
    for letter in words:
        code = ord(letter)
        if 32 <= code < 127:
            ems += table[code - 32] / 1000
        elif letter in _NARROW:
            ems += 0.38
        elif not combining(letter):
            ems += 1.1 if east_asian_width(letter) in "WF" else _OTHER
    return ems * size


def cut(words: str, width: float, size: float, bold: bool = False) -> str:
    """Words cut to a width, with three dots where something is missing."""
    words = plain_text(words)
    if width_of(words, size, bold) <= width:
        return words
    while words and width_of(words + "...", size, bold) > width:
        words = words[:-1]
    return f"{words.rstrip()}..."


def wrapped(words: str, width: float, size: float, bold: bool = False) -> list[str]:
    """Words in lines no wider than ``width``, broken at blanks; a word that is wider is broken too. At least one."""
    lines = [""]
    for word in filter(None, plain_text(words).split(" ")):
        longer = f"{lines[-1]} {word}" if lines[-1] else word
        if width_of(longer, size, bold) <= width:
            lines[-1] = longer
            continue
        if lines[-1]:
            lines.append("")
        for letter in word:
            if lines[-1] and width_of(lines[-1] + letter, size, bold) > width:
                lines.append("")
            lines[-1] += letter
    return lines
