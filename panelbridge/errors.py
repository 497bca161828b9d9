"""Everything that can go wrong, in one tree.

::

    PanelbridgeError            what, where, hint
    |-- UsageError              a wrong option or argument of a command
    |-- ConfigError             one or more errors in a file (a list of ConfigProblem)
    |-- LinkError               the way to a board
    |   |-- PortMissing         no such port, or a URL that means nothing
    |   |-- PortBusy            another program holds the port, or no right to open it
    |   |-- LinkLost            the port went away, or the board fell silent
    |   `-- BoardRefused        the board is there but cannot be used as it is
    |       |-- ProtocolMismatch    it speaks another version of the protocol
    |       |-- WrongBoard          it is another kind of board than the file says
    |       `-- SetupRefused        it does not take the pin set-up
    |-- FeedError               the way to a simulator that can never work
    |-- MessageError            a frame with a right checksum and a wrong content
    `-- LogicError              an error of the program itself, never of the user

A user's error ends a command with exit code 2 and no traceback.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct


class PanelbridgeError(Exception):
    """Root of the tree.

    Args:
        what: what is wrong, one sentence without a full stop at its end.
        where: file:line:column, port, board or frame that it is about; empty when nowhere.
        hint: what the user can do; empty when there is nothing to say.
    """

    def __init__(self, what: str, where: str = "", hint: str = "") -> None:
        super().__init__(what, where, hint)
        self.what = what
        self.where = where
        self.hint = hint

    def __str__(self) -> str:
        where = self.where.replace("\n", "\\n")  # a file's name may have one
        text = f"{where}: {self.what}" if where else self.what
        return f"{text}\n    {self.hint}" if self.hint else text


class UsageError(PanelbridgeError):
    """A wrong option or argument of a command, e.g. a speed below zero."""


class ConfigProblem(Struct, frozen=True, order=True):
    """One error or warning in a file.

    Attributes:
        file: path as the user gave it.
        line: 1-based line; 0 when the file cannot be read at all.
        column: 1-based column; 0 when the file cannot be read at all.
        what: what is wrong, one sentence without a full stop.
        hint: what to do about it; may be empty.
        is_warning: the file can be used as it is, and works badly.
    """

    file: str
    line: int
    column: int
    what: str
    hint: str = ""
    is_warning: bool = False

    @property
    def where(self) -> str:
        """``file:line:column``, or the file alone when it could not be read."""
        return f"{self.file}:{self.line}:{self.column}" if self.line else self.file

    def __str__(self) -> str:
        text = f"{self.where}: {'warning: ' * self.is_warning}{self.what}"
        return f"{text}\n    {self.hint}" if self.hint else text


class ConfigError(PanelbridgeError):
    """Every error that was found in one go, in the order of file, line and column.

    Example: an unknown key and a pin that is used twice in the same panel file. Warnings stand
    before the errors; there is at least one error.
    """

    def __init__(self, problems: Sequence[ConfigProblem]) -> None:
        self.problems = tuple(sorted(problems, key=_warnings_first))
        first = next(problem for problem in self.problems if not problem.is_warning)
        super().__init__(first.what, first.where, first.hint)

    def __str__(self) -> str:
        return problem_lines(self.problems)


MAX_SHOWN = 100
"""A text shows no more problems than these, and says how many more there are."""


def problem_lines(problems: Iterable[ConfigProblem]) -> str:
    """``problems`` in their order as text, no more than ``MAX_SHOWN`` of them."""
    ordered = sorted(problems, key=_warnings_first)
    lines = [str(problem) for problem in ordered[:MAX_SHOWN]]
    if len(ordered) > MAX_SHOWN:
        lines.append(f"... and {len(ordered) - MAX_SHOWN} more")
    return "\n".join(lines)


def _warnings_first(problem: ConfigProblem) -> tuple[bool, ConfigProblem]:
    return not problem.is_warning, problem


class LinkError(PanelbridgeError):
    """Something on the way to a board."""


class FeedError(PanelbridgeError):
    """A feed cannot work at all: its address is taken, a file with its password is missing."""


class PortMissing(LinkError):  # noqa: N818 - named for what happened
    """No such port: a wrong name, a board that is not plugged in."""


class PortBusy(LinkError):  # noqa: N818
    """The port is there but cannot be had: another program holds it, or no permission."""


class LinkLost(LinkError):  # noqa: N818
    """The port went away while open, or the board has been silent for its time-out."""


class BoardRefused(LinkError):  # noqa: N818
    """The board answers but cannot be used as it is: nothing is commanded."""


class ProtocolMismatch(BoardRefused):
    """The board speaks another version of the protocol."""


class WrongBoard(BoardRefused):
    """The board is of another kind than the panel file says."""


class SetupRefused(BoardRefused):
    """The board does not take the pin set-up, e.g. a pin that cannot do what is asked."""


class MessageError(PanelbridgeError):
    """A frame whose checksum is right and whose content is not, e.g. of a wrong length."""


class LogicError(PanelbridgeError):
    """An error of the program itself, e.g. time that runs backwards; never of a user's file."""
