"""A program in perl whose lines can be waited for."""

from __future__ import annotations

from pathlib import Path
from typing import Self

from tests.own_process import TalkingProcess

FOLDER = Path(__file__).parent / "from_the_document"


class Perl(TalkingProcess):
    """One of the programs in ``from_the_document``."""

    def __init__(self, name: str, *arguments: str) -> None:
        super().__init__(["perl", str(FOLDER / name), *arguments])
        self.port = ""

    def _has(self, line: str, text: str) -> bool:
        """It begins with ``text``."""
        return line.startswith(text)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *error: object) -> None:
        self.kill()
