"""Large letters of half blocks, 5 pixels high: words that can be read from two metres.

On a full screen of 120x40 cells a capital letter is 8 arc minutes high from there, one of these
32 (a usual letter of an eye chart, read without effort, is 10).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache

PIXEL_ROWS = 5
_UPPER, _LOWER, _FULL = "▀", "▄", "█"

_LETTERS: Mapping[str, str] = {
    "A": ".#. #.# ### #.# #.#",
    "B": "##. #.# ##. #.# ##.",
    "C": "### #.. #.. #.. ###",
    "D": "##. #.# #.# #.# ##.",
    "E": "### #.. ##. #.. ###",
    "F": "### #.. ##. #.. #..",
    "G": "#### #... #.## #..# ####",
    "H": "#.# #.# ### #.# #.#",
    "I": "# # # # #",
    "J": "..# ..# ..# #.# ###",
    "K": "#.# #.# ##. #.# #.#",
    "L": "#.. #.. #.. #.. ###",
    "M": "#...# ##.## #.#.# #...# #...#",
    "N": "#..# ##.# #.## #..# #..#",
    "O": "### #.# #.# #.# ###",
    "P": "### #.# ### #.. #..",
    "Q": "### #.# #.# ### ..#",
    "R": "##. #.# ##. #.# #.#",
    "S": "### #.. ### ..# ###",
    "T": "### .#. .#. .#. .#.",
    "U": "#.# #.# #.# #.# ###",
    "V": "#.# #.# #.# #.# .#.",
    "W": "#...# #...# #.#.# ##.## #...#",
    "X": "#.# #.# .#. #.# #.#",
    "Y": "#.# #.# .#. .#. .#.",
    "Z": "### ..# .#. #.. ###",
    "0": "### #.# #.# #.# ###",
    "1": "##. .#. .#. .#. ###",
    "2": "### ..# ### #.. ###",
    "3": "### ..# ### ..# ###",
    "4": "#.# #.# ### ..# ..#",
    "5": "### #.. ### ..# ###",
    "6": "### #.. ### #.# ###",
    "7": "### ..# ..# .#. .#.",
    "8": "### #.# ### #.# ###",
    "9": "### #.# ### ..# ###",
    " ": ".. .. .. .. ..",
    "-": "... ... ### ... ...",
    "+": "... .#. ### .#. ...",
    "?": "### ..# .## ... .#.",
    "!": "# # # . #",
    "▲": ".###. #.#.# ..#.. ..#.. ..#..",
    "▼": "..#.. ..#.. ..#.. #.#.# .###.",
}
"""Pixel rows of each letter, separated by spaces."""


def _pixels(text: str) -> list[str]:
    rows = [_LETTERS.get(letter, _LETTERS["?"]).split() for letter in text.upper()]
    return [".".join(letter[at] for letter in rows) for at in range(PIXEL_ROWS)]


def big_width(text: str, scale: int = 1) -> int:
    """Cells that ``text`` takes."""
    return len(_pixels(text)[0]) * scale


def big_rows(scale: int = 1) -> int:
    """Rows that a word takes."""
    return (PIXEL_ROWS * scale + scale) // 2


@lru_cache(maxsize=256)
def big_text(text: str, scale: int = 1) -> Sequence[str]:
    """``text`` in half blocks, ``big_rows`` lines of ``big_width`` cells.

    Args:
        text: what to write; a letter that is missing here is a question mark.
        scale: 2 for pixels of two by two.
    """
    rows = ["".join(pixel * scale for pixel in row) for row in _pixels(text) for _ in range(scale)]
    above = scale - scale // 2  # so that dark letters do not touch what is above
    empty = "." * len(rows[0])
    rows = [empty] * above + rows + [empty] * (scale - above)
    pairs = zip(rows[::2], rows[1::2], strict=True)
    return tuple("".join(map(_cell, *pair)) for pair in pairs)


def _cell(upper: str, lower: str) -> str:
    if upper == "#":
        return _FULL if lower == "#" else _UPPER
    return _LOWER if lower == "#" else " "
