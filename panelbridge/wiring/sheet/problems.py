"""What is wrong with the wiring, in the words of ``check``, for pages and drawn sheets."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct

from panelbridge.wiring.electrics.check import findings
from panelbridge.wiring.electrics.findings.finding import Finding, FindingLevel
from panelbridge.wiring.electrics.wired import WiredBoard, WiredPanel

STOP = "Do not wire this yet"
_TITLES = {
    FindingLevel.ERROR: STOP,
    FindingLevel.WARNING: "Look at this before you wire",
    FindingLevel.NOTE: "Worth knowing",
}
_MOST_DRAWN = 6


class ProblemBox(Struct, frozen=True):
    """What is wrong with the wiring, or has to be looked at.

    Attributes:
        title: of the box.
        texts: a sentence or two each.
        is_error: it must not be wired like this.
    """

    title: str
    texts: tuple[str, ...]
    is_error: bool = False


def problem_boxes(wired: WiredPanel) -> list[ProblemBox]:
    """Errors first, then warnings, then notes; a level without any has no box."""
    found = findings(wired)
    boxes = [
        ProblemBox(title, tuple(_grouped(found, level)), level is FindingLevel.ERROR)
        for level, title in _TITLES.items()
    ]
    return [box for box in boxes if box.texts]


def errors_of_board(wired: WiredPanel, board: WiredBoard) -> tuple[str, ...]:
    """The errors of a board and of what is common to all, for its drawn sheet."""
    places = {("boards", board.name), *(part.place for part in board.parts)}
    errors = [
        _sentence(one)
        for one in findings(wired)
        if one.level is FindingLevel.ERROR
        and (places & {one.place[:2], one.place[:1]} or one.place[0] == "electrics")
    ]
    more = len(errors) - _MOST_DRAWN
    return (*errors[:_MOST_DRAWN], f"... and {more} more, in 'check'") if more > 0 else (
        tuple(errors)
    )  # fmt: skip


def _grouped(found: Sequence[Finding], level: FindingLevel) -> Iterator[str]:
    """A sentence each; what many parts have in common (same hint) once, with a number."""
    same_hint: dict[str, list[Finding]] = {}
    for one in found:
        if one.level is level:
            same_hint.setdefault(one.hint, []).append(one)
    for group in same_hint.values():
        others = len(group) - 1
        if level is FindingLevel.NOTE and others:
            yield _sentence(group[0], f" (and {others} more of this kind)")
        else:
            yield from map(_sentence, group)


def _sentence(one: Finding, also: str = "") -> str:
    what = one.what[:1].upper() + one.what[1:]
    return f"{what}{also}. {one.hint}." if one.hint else f"{what}{also}."
