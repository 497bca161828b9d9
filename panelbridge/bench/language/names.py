"""Everything that a scenario can name, for one aircraft and perhaps its panel."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from math import inf

from msgspec import Struct

from panelbridge.bench.language.expectations import Spot
from panelbridge.bench.language.plan import BOARD, FEED, HANDLE, FaultKind
from panelbridge.bench.language.scenario_file import LONGEST_S
from panelbridge.bench.language.signals_by_name import fitted_lamps, fitted_switches, signals_of
from panelbridge.config.aircraft_file import AircraftFile
from panelbridge.config.panel_file import PanelFile
from panelbridge.config.panel_parts.switch_entries import OneContactHandle
from panelbridge.config.reading_context import ReadingContext
from panelbridge.config.value_names import sets_of_values
from panelbridge.config.yaml_positions import KeyPath, place_name
from panelbridge.feeds.feed_events import FEED_EVENTS
from panelbridge.link.session import LINK_EVENTS
from panelbridge.logic.aircraft_values import AircraftValue, values_of
from panelbridge.logic.inventory import events_of, faults_of, switches_of
from panelbridge.logic.kit.declarations import Signal
from panelbridge.logic.switches import BUTTON, Declared, is_lever, words_of

END = "end"
"""Instead of a time: for as long as the scenario runs."""


class Names(Struct, frozen=True, dict=True):
    """The names of one target.

    Attributes:
        aircraft: the aircraft.
        panel: the panel; None when a scenario names only an aircraft.
    """

    aircraft: AircraftFile
    panel: PanelFile | None

    @cached_property
    def signals(self) -> Mapping[str, Signal]:
        """What can be expected."""
        return signals_of(self.aircraft, self.panel)

    @cached_property
    def values(self) -> Mapping[str, AircraftValue]:
        """What can be set."""
        return values_of(self.aircraft)

    @cached_property
    def legs(self) -> tuple[str, ...]:
        """The legs."""
        return tuple(leg.name for leg in self.aircraft.legs)

    @cached_property
    def declared(self) -> Declared:
        """Every switch of the aircraft, as it is declared."""
        return switches_of(self.aircraft)

    def is_lever(self, switch: str) -> bool:
        """Whether a switch can be anywhere from 0 to 1."""
        return is_lever(switch, self.declared)

    @cached_property
    def switches(self) -> tuple[str, ...]:
        """The switches that can be moved."""
        return tuple(fitted_switches(self.aircraft, self.panel))

    @cached_property
    def buttons(self) -> tuple[str, ...]:
        """The switches that can be pressed."""
        movable = [n for n in self.switches if n != HANDLE and not self.is_lever(n)]
        return tuple([n for n in movable if words_of(n, self.declared) is BUTTON])

    @property
    def panel_name(self) -> str:
        """The panel's name; empty without one."""
        return self.panel.name if self.panel is not None else ""

    @cached_property
    def left_out(self) -> frozenset[str]:
        """What the aircraft has and the panel lacks."""
        whole = Names(self.aircraft, None)
        named = {*whole.signals, *whole.sets_of_signals, *whole.faults}
        return frozenset(named - {*self.signals, *self.sets_of_signals, *self.faults})

    @cached_property
    def boards(self) -> tuple[str, ...]:
        """The boards; none for an aircraft alone."""
        return tuple(self.panel.boards) if self.panel is not None else ()

    @cached_property
    def sets_of_values(self) -> Mapping[str, tuple[str, ...]]:
        """Names that stand for several values at once."""
        found = sets_of_values(self.aircraft)
        return {name: members for name, members in found.items() if members}

    @cached_property
    def sets_of_signals(self) -> Mapping[str, tuple[str, ...]]:
        """Names that stand for several signals at once; all of them are meant."""
        fitted = {
            f"{colour}s": tuple(n for leg in self.legs if (n := f"{leg}_{colour}") in self.signals)
            for colour in ("green", "red")
        }
        legs = {"legs": tuple(f"{leg}_leg" for leg in self.legs)}
        groups = {**self.sets_of_values, **fitted, **legs}
        return {name: members for name, members in groups.items() if members}

    @cached_property
    def handle_positions(self) -> tuple[str, ...]:
        """Where the gear handle can be put."""
        one = self.panel is not None and isinstance(
            self.panel.switches.gear_handle, OneContactHandle
        )
        return ("up", "down") if one else ("up", "down", "between")

    @cached_property
    def faults(self) -> Mapping[str, tuple[str, tuple[FaultKind, ...]]]:
        """What can be broken: its name in a plan, and how it can be broken."""
        found: dict[str, tuple[str, tuple[FaultKind, ...]]] = {}
        for board in self.boards or (BOARD,):
            found[board] = (board, (FaultKind.UNPLUGGED,))
        if len(self.boards) == 1:
            found.setdefault(BOARD, (self.boards[0], (FaultKind.UNPLUGGED,)))
        found[FEED] = (FEED, (FaultKind.LOST,))
        for name in self.values:
            found[name] = (name, (FaultKind.LOST, FaultKind.STUCK))
        for part, words in faults_of(self.aircraft).items():
            kinds_of_part = tuple(FaultKind(word) for word in words)
            found[f"{part}_leg" if part in self.legs else part] = (part, kinds_of_part)
        for lamp in fitted_lamps(self.aircraft, self.panel):
            found[lamp] = (lamp, (FaultKind.DEAD,))
        contact = (FaultKind.STUCK, FaultKind.DEAD, FaultKind.BOUNCING)
        for name in self.switches:
            kinds: tuple[FaultKind, ...] = contact[:2] if self.is_lever(name) else contact
            if name == HANDLE and len(self.handle_positions) == 3:
                kinds = (*contact, FaultKind.CONTRADICTORY)
            of_part = found[name][1] if name in found else ()
            found[name] = (name, (*kinds, *of_part))
        return found

    @cached_property
    def events(self) -> tuple[str, ...]:
        """Every event that can be waited for."""
        return (*events_of(self.aircraft), *LINK_EVENTS, *FEED_EVENTS)

    def subjects_of(self, event: str) -> tuple[str, ...]:
        """What an event can be about; none when its name says it."""
        if event in LINK_EVENTS:
            return self.boards
        entry = events_of(self.aircraft).get(event)
        if entry is None or "{subject}" not in entry[1]:
            return ()
        brakes = self.aircraft.brakes
        of_wheels = brakes is not None and "wheel" in entry[1]
        return tuple(wheel.name for wheel in brakes.wheels) if brakes and of_wheels else self.legs


class Context(ReadingContext):
    """A scenario file that is being read, beside the aircraft that it is for.

    Attributes:
        names: what it may name.
    """

    names: Names

    def spot(self, path: KeyPath) -> Spot:
        """Where the key of ``path`` stands, or the value itself in a list."""
        found = self.source.position(path)
        return Spot(found.file or self.source.file, found.key_line, found.key_column)

    def span(self, path: KeyPath) -> float | None:
        """Seconds, or inf for ``end``; None when there is nothing or an error."""
        value = self.source.get(path)
        if value is None:
            return None
        if value == END:
            return inf
        number = self.number(*path)
        if number is None:
            what = f"{place_name(path)} must be a number of seconds, or the word end"
            self.at_value(path, what, "Write 5, or end for as long as the scenario runs")
        elif not 0.0 < number <= LONGEST_S:
            written = self.source.position(path).written
            what = f"{place_name(path)} is {written}, and must be more than 0 and up to"
            self.at_value(path, f"{what} {LONGEST_S:g} s")
        else:
            return number
        return None
