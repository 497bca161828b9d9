"""Do the chains of shift registers of a panel fit what is wired to them?

Like ``cross_check`` this reads the raw values, and passes over what a model has reported already.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from panelbridge.config.advice import NAME_RULE, advice_for_name
from panelbridge.config.board_of_entry import board_of_entry
from panelbridge.config.pin_names import BITS_OF_CHIP, is_chain_bit
from panelbridge.config.words import counted, did_you_mean, listed, quoted
from panelbridge.config.yaml_positions import KeyPath, YamlSource, place_name
from panelbridge.errors import ConfigProblem

MOST_CHIPS = 16
PIN_KEYS = ("pin", "up_pin", "down_pin")
"""The keys that can name a pin of what is wired."""

_NAME = re.compile(NAME_RULE)
_FORMS = {"switches": "inputs", "lamps": "outputs"}
_THINGS = {"switches": "a switch", "lamps": "a lamp"}


def chains_of(source: YamlSource, board: str) -> list[KeyPath]:
    """Where the chains of a board stand."""
    return [("boards", board, "chains", name) for name in source.keys(("boards", board, "chains"))]


def check_chains(
    source: YamlSource, wired: Sequence[KeyPath], *, is_whole: bool = True
) -> list[ConfigProblem]:
    """Names, sizes and bits of all chains, and how much hangs at each board.

    Args:
        source: the panel file.
        wired: where each thing stands that is wired to a board.
        is_whole: every part has its pins, so that a chain without a part is an error.
    """
    problems: list[ConfigProblem] = []
    boards = source.keys(("boards",))
    for board in boards:
        problems.extend(_check_names(source, board))
        problems.extend(_check_chips(source, board))
        problems.extend(_check_dimmed(source, board))
    claims: dict[tuple[str, str], KeyPath] = {}
    for path in wired:
        for key in PIN_KEYS:
            problems.extend(_check_bit(source, (*path, key), boards, claims))
    if is_whole:
        problems.extend(_check_unused(source, boards, wired, claims))
    for board in boards:
        problems.extend(_check_items(source, board, wired))
    return problems


def _check_names(source: YamlSource, board: str) -> Iterator[ConfigProblem]:
    for path in chains_of(source, board):
        name = str(path[-1])
        if not _NAME.fullmatch(name):
            what = f"a chain cannot be called {quoted(name)}"
            yield source.at_key(path, what, advice_for_name(name))


def _check_chips(source: YamlSource, board: str) -> Iterator[ConfigProblem]:
    chips = 0
    for path in chains_of(source, board):
        more = _chips(source, path)
        chips += more
        if chips > MOST_CHIPS >= chips - more and more <= MOST_CHIPS:
            yield source.at_key(
                (*path, "chips"),
                f"the chains of board {quoted(board)} have {chips} chips up to here",
                f"A board can have {MOST_CHIPS} in all its chains together",
            )


def _check_dimmed(source: YamlSource, board: str) -> Iterator[ConfigProblem]:
    for path in chains_of(source, board):
        if source.get((*path, "dimmed")) is True:
            what = f"the chain {quoted(path[-1])} cannot be dimmed"
            hint = (
                "Delete 'dimmed', or write false where its lamps are meant to be dark or fully lit"
            )
            yield source.at_value((*path, "dimmed"), what, hint)


def _chips(source: YamlSource, path: KeyPath) -> int:
    """Chips of a chain; 0 when that is no number that can be."""
    chips = source.get((*path, "chips"))
    return chips if isinstance(chips, int) and not isinstance(chips, bool) and chips > 0 else 0


def _check_bit(
    source: YamlSource,
    path: KeyPath,
    boards: Sequence[str],
    claims: dict[tuple[str, str], KeyPath],
) -> Iterator[ConfigProblem]:
    text, board = source.get(path), source.get((*path[:-1], "board"))
    group = str(path[0])
    if not isinstance(text, str) or not is_chain_bit(text):
        return
    # A lever needs a pin of the board, which its model says.
    is_lever = source.get((*path[:-1], "form")) == "lever"
    if board not in boards or group not in _FORMS or is_lever:
        return
    name, _, number = text.partition(".")
    chains = source.keys(("boards", str(board), "chains"))
    if name not in chains:
        hint = _no_chain_hint(source, str(board), name, chains, boards)
        yield source.at_value(path, f"board {quoted(board)} has no chain {quoted(name)}", hint)
        return
    chain: KeyPath = ("boards", str(board), "chains", name)
    chips = _chips(source, chain)
    if 0 < chips * BITS_OF_CHIP <= int(number):
        what = f"chain {quoted(name)} has {counted(chips, 'chip')} and no bit {number}"
        hint = f"Its bits are 0 to {chips * BITS_OF_CHIP - 1}"
        yield source.at_value(
            path, what, f"{hint}; bits 0 to 7 are those of the chip at the data pin"
        )
    form = source.get((*chain, "form"))
    if form in _FORMS.values() and form != _FORMS[group]:
        needed = f"{_THINGS[group]} needs one with {_FORMS[group]}"
        what, hint = f"chain {quoted(name)} has {form}, and {needed}", "Use a bit of another chain"
        yield source.at_value(path, what, f"{hint}, or a pin of the board")
    if group == "lamps" and source.get((*path[:-1], "dimmed")) is True:
        what = f"the lamp {quoted(path[1])} is on a chain and cannot be dimmed"
        hint = "Delete 'dimmed', or use a pin of the board that can do pulse width"
        yield source.at_value((*path[:-1], "dimmed"), what, hint)
    first = claims.setdefault((str(board), text), path)
    if first != path:
        other = first[:-1] if first[:-1] != path[:-1] else first
        what = f"bit {quoted(text)} of board {quoted(board)} is taken already by "
        what += f"{place_name(other)} ({source.position(first).where})"
        yield source.at_value(path, what, "Give one of the two another bit")


def _no_chain_hint(
    source: YamlSource, board: str, name: str, chains: Sequence[str], boards: Sequence[str]
) -> str:
    close = did_you_mean(name, chains)
    if close:
        return close
    others = [other for other in boards if name in source.keys(("boards", other, "chains"))]
    if others:
        return f"Board {quoted(others[0])} has one of this name; a thing is wired to one board"
    if chains:
        return f"Its chains: {listed(chains, 'and')}"
    return f"Describe the chain under 'chains:' of the board, or use a pin of the board {board}"


def _check_unused(
    source: YamlSource,
    boards: Sequence[str],
    wired: Sequence[KeyPath],
    claims: dict[tuple[str, str], KeyPath],
) -> Iterator[ConfigProblem]:
    used = {(board, text.partition(".")[0]) for board, text in claims}
    for board in boards:
        chains = chains_of(source, board)
        if any(_names_no_chain(source, path, board) for path in wired):
            continue  # one of them may be meant
        for path in chains:
            if (board, path[-1]) not in used and _NAME.fullmatch(str(path[-1])):
                what = f"nothing is wired to the chain {quoted(path[-1])}"
                hint = f"Delete the chain, or name its bits as pins, such as {path[-1]}.0"
                yield source.at_key(path, what, hint)


def _names_no_chain(source: YamlSource, path: KeyPath, board: str) -> bool:
    """Something on the board names a bit of a chain that is not there: it may mean this one."""
    if source.get((*path, "board")) != board:
        return False
    chains = source.keys(("boards", board, "chains"))
    texts = [str(source.get((*path, key)) or "") for key in PIN_KEYS]
    known = board_of_entry(source, board)
    texts = [text for text in texts if known is None or text not in known.pins]
    return any("." in text and text.partition(".")[0] not in chains for text in texts)


def _check_items(
    source: YamlSource, board: str, wired: Sequence[KeyPath]
) -> Iterator[ConfigProblem]:
    known = board_of_entry(source, board)
    count = len(chains_of(source, board)) + sum(
        source.get((*path, key)) is not None
        for path in wired
        if source.get((*path, "board")) == board
        for key in PIN_KEYS
    )
    if known is not None and count > known.items:
        yield source.at_key(
            ("boards", board),
            f"{count} things are wired to board {quoted(board)}, and a board of kind {known.kind} "
            f"takes {known.items}",
            "Move some of its switches or lamps to another board",
        )
