"""Which page is shown: five sections, each with as many parts as it needs."""

from __future__ import annotations

from enum import StrEnum


class Section(StrEnum):
    """The sections, in the order of the digits that open them."""

    PANEL = "panel"
    SWITCHES = "switches"
    SYSTEMS = "systems"
    LAMPS = "lamps"
    OVERVIEW = "overview"


SECTIONS: tuple[Section, ...] = tuple(Section)


class PageTurner:
    """Turns pages; the number of parts of a section is known once it has been drawn.

    Attributes:
        section: the one that is shown.
        part: of the section, from 0.
        parts: number of parts of the section on this screen.
    """

    def __init__(self, section: Section = Section.PANEL) -> None:
        self.section = section
        self.part = 0
        self.parts = 1
        self._from_end = False

    def set_parts(self, parts: int) -> None:
        """Set the number of parts in which the section was drawn."""
        self.parts = parts
        self.part = parts - 1 if self._from_end else min(self.part, parts - 1)
        self._from_end = False

    def open(self, section: Section) -> None:
        """Open a section at its first part; if it is already open, show its next part."""
        if section is self.section:
            self.part = (self.part + 1) % self.parts
        else:
            self.open_first(section)

    def open_first(self, section: Section) -> None:
        """Open a section at its first part."""
        self.section, self.part, self.parts = section, 0, 1
        self._from_end = False

    def turn(self, step: int) -> None:
        """Next (+1) or previous (-1) page, through all sections; wraps around."""
        if 0 <= self.part + step < self.parts:
            self.part += step
            return
        at = SECTIONS.index(self.section) + step
        self.open_first(SECTIONS[at % len(SECTIONS)])
        self._from_end = step < 0
