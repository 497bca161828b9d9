"""Hints at wrong wires: each criterion, each said once, and none for a panel that is right.

All limits are our own decisions (*common practice, no source*).
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from panelbridge.clock import VirtualClock
from panelbridge.config.load import LoadedPanel, load_panel
from panelbridge.config.panel_file import PanelFile
from panelbridge.config.panel_parts.switch_entries import TwoContactHandle
from panelbridge.config.shipped import shipped_folder
from panelbridge.engine import wiring_hints
from panelbridge.engine.assemble import assemble_demo
from panelbridge.engine.loop import Engine
from panelbridge.engine.make_feed import feed_of
from panelbridge.engine.waiter import Waiter
from panelbridge.engine.wiring_hints import WIRING_HINTS, WiringHints
from panelbridge.feeds.fixed_feed import parked
from panelbridge.link.ports import IN_PROCESS_SCHEME, PortOpener
from panelbridge.link.session import BoardSession, SetupPlan
from panelbridge.logic.inventory import switches_of
from panelbridge.signals import (
    AircraftState,
    Event,
    GearPosition,
    HandleContacts,
    LegLocks,
    SwitchState,
)
from panelbridge.simboard.sim_panel import SimPanel
from tests.config.test_other_aircraft import PANELS as FLOWN_THERE

PANELS = sorted((shipped_folder() / "panels").glob("*.yaml"))
LOADED = load_panel(shipped_folder() / "panels" / "demo_panel.yaml")
UP, DOWN = HandleContacts.UP, HandleContacts.DOWN
BETWEEN, BOTH = HandleContacts.BETWEEN, HandleContacts.BOTH
PARKED = parked(3, 2)
Move = tuple[float, dict[str, Any]]


def said(moves: Sequence[Move], end_s: float, aircraft: AircraftState = PARKED) -> list[Event]:
    """The hints when switches move at these times, looked at 50 times a second."""
    hints = WiringHints(LOADED.panel, switches_of(LOADED.aircraft))
    events: list[Event] = []
    switches, left = SwitchState(), [*moves]
    for tick in range(round(end_s * 50)):
        while left and left[0][0] <= tick / 50:
            switches = switches.having(**left.pop(0)[1])
        events += hints.take(tick / 50, switches, aircraft)
    return events


def names(events: Sequence[Event]) -> list[str]:
    return [event.name for event in events]


# -- buttons ---------------------------------------------------------------------------------------


def test_a_button_that_is_found_pressed_and_stays_so() -> None:
    events = said([(1.0, {"horn_silence": True})], 200.0)
    assert names(events) == ["button_held_since_start"]
    (event,) = events
    assert event.time_s == pytest.approx(1.0 + wiring_hints.HELD_S, abs=1.1)
    assert event.subject == "horn_silence"
    assert "write 'normally_closed: true'" in event.text
    assert "horn_silence (pin D24 of board gear_panel)" in event.text
    ended = said([(1.0, {"horn_silence": True}), (50.0, {"horn_silence": False})], 60.0)
    assert names(ended) == ["button_held_since_start", "wiring_hint_ended"]


def test_a_button_that_is_pressed_later_may_stay_pressed() -> None:
    moves: list[Move] = [(0.0, {"steering_button": False}), (1.0, {"steering_button": True})]
    assert said(moves, 600.0) == []


def test_a_toggle_that_is_found_on_may_stay_on() -> None:
    assert said([(0.0, {"aux_pump": True, "antiskid": True})], 600.0) == []


def test_a_button_that_opens_when_it_is_pressed() -> None:
    moves: list[Move] = [(0.0, {"horn_silence": True})]
    for at_s in (5.0, 15.0, 25.0):
        moves += [(at_s, {"horn_silence": False}), (at_s + 0.4, {"horn_silence": True})]
    events = said(moves, 26.0)
    assert names(events) == ["button_opens_when_pressed"]
    assert events[0].time_s == pytest.approx(15.4, abs=0.05)
    assert names(said(moves[:3], 100.0)) == []  # let go once, so it is not held since the start
    assert "write 'normally_closed: true'" in events[0].text


def test_a_button_that_was_held_at_the_start_and_is_used_as_it_should_be() -> None:
    moves: list[Move] = [(0.0, {"horn_silence": True}), (2.0, {"horn_silence": False})]
    for at_s in (20.0, 21.0, 22.0, 40.0):
        moves += [(at_s, {"horn_silence": True}), (at_s + 0.4, {"horn_silence": False})]
    assert said(moves, 100.0) == []


def test_a_lamp_test_without_an_end() -> None:
    moves: list[Move] = [(0.0, {"lamp_test": False}), (5.0, {"lamp_test": True})]
    events = said([*moves, (90.0, {"lamp_test": False})], 100.0)
    assert names(events) == ["lamp_test_without_end", "wiring_hint_ended"]
    assert events[0].time_s == pytest.approx(5.0 + wiring_hints.LAMP_TEST_S, abs=1.1)
    assert said([*moves, (60.0, {"lamp_test": False})], 100.0) == []
    held = said([(0.0, {"lamp_test": True})], 200.0)
    assert names(held) == ["button_held_since_start"]  # one hint for one fault


def test_a_board_that_is_lost_lets_no_button_go() -> None:
    moves: list[Move] = [(0.0, {"horn_silence": True}), (40.0, {"horn_silence": None})]
    assert names(said(moves, 60.0)) == ["button_held_since_start"]
    moves += [(50.0, {"horn_silence": True}), (55.0, {"horn_silence": False})]
    assert names(said(moves, 60.0)) == ["button_held_since_start", "wiring_hint_ended"]


def test_a_board_that_was_lost_is_found_again() -> None:
    moves: list[Move] = [(0.0, {"horn_silence": False}), (1.0, {"horn_silence": True})]
    moves += [(20.0, {"horn_silence": None}), (25.0, {"horn_silence": True})]
    assert said(moves, 50.0) == []
    assert names(said(moves, 60.0)) == ["button_held_since_start"]


# -- the handle ------------------------------------------------------------------------------------


def test_a_handle_that_is_found_up_on_the_ground() -> None:
    events = said([(1.0, {"gear_handle": UP})], 60.0)
    assert names(events) == ["handle_found_up_on_ground"]
    assert "exchange up_pin and down_pin" in events[0].text
    assert events[0].time_s == pytest.approx(1.0 + wiring_hints.FOUND_UP_S, abs=1.1)


@pytest.mark.parametrize(
    ("moves", "aircraft"),
    [
        ([(0.0, {"gear_handle": DOWN}), (5.0, {"gear_handle": UP})], PARKED),
        ([(0.0, {"gear_handle": UP}), (5.0, {"gear_handle": DOWN})], PARKED),
        ([(0.0, {"gear_handle": UP}), (5.0, {"gear_handle": BETWEEN})], PARKED),
        ([(0.0, {"gear_handle": UP})], AircraftState()),
        ([(0.0, {"gear_handle": UP})], AircraftState(strut_compressed=(True, None, True))),
        ([(0.0, {"gear_handle": UP})], AircraftState(strut_compressed=(True, False, True))),
        (
            [(0.0, {"gear_handle": UP})],
            AircraftState(strut_compressed=(True,) * 3, gear_handle=GearPosition.UP),
        ),
        (
            [(0.0, {"gear_handle": UP})],
            AircraftState(
                strut_compressed=(True,) * 3, leg_locks=(LegLocks(True, False), *[LegLocks()] * 2)
            ),
        ),
        ([(0.0, {"gear_handle": DOWN})], AircraftState(strut_compressed=(False,) * 3)),
    ],
)
def test_a_handle_that_may_be_right(moves: list[Move], aircraft: AircraftState) -> None:
    assert said(moves, 60.0, aircraft) == []


def test_contacts_that_open_at_the_ends() -> None:
    """Standing down, the contact at the top is closed and that at the bottom is open."""
    moves: list[Move] = [(0.0, {"gear_handle": UP})]
    for at_s, end in ((3.0, DOWN), (6.0, UP), (9.0, DOWN)):
        moves += [(at_s, {"gear_handle": BOTH}), (at_s + 0.3, {"gear_handle": end})]
    events = said(moves, 30.0)
    assert names(events) == ["handle_contacts_open_at_ends"]
    assert events[0].time_s == pytest.approx(6.3, abs=0.05)


@pytest.mark.parametrize(
    "way",
    [(BETWEEN, DOWN, BETWEEN, UP), (BOTH, UP, BOTH, UP), (BOTH, BETWEEN, DOWN, BOTH, BETWEEN, UP)],
    ids=["as it should be", "a contact that sticks", "through both and neither"],
)
def test_other_ways_of_the_handle(way: tuple[HandleContacts, ...]) -> None:
    moves: list[Move] = [(0.0, {"gear_handle": UP})]
    moves += [(1.0 + n, {"gear_handle": at}) for n, at in enumerate(way * 4)]
    assert "handle_contacts_open_at_ends" not in names(said(moves, 40.0))


# -- in the engine ---------------------------------------------------------------------------------


def miswired(loaded: LoadedPanel, handle: TwoContactHandle, panel: PanelFile) -> list[Event]:
    """The events of a minute with boards wired as in ``panel``, and a file that says otherwise."""
    clock = VirtualClock()
    waiter = Waiter(clock)
    switches = loaded.panel.switches.model_copy(update={"gear_handle": handle})
    wrong = LoadedPanel(
        loaded.panel.model_copy(update={"switches": switches}),
        loaded.aircraft,
        None,
        loaded.panel_path,
        loaded.aircraft_path,
    )
    sim_panel = SimPanel(panel, declared=switches_of(loaded.aircraft))
    sim_panel.register(clock)
    events: list[Event] = []
    opener = PortOpener(waiter.wake)
    try:
        engine = Engine(
            wrong,
            clock=clock,
            waiter=waiter,
            feed=feed_of(wrong),
            sessions=[
                BoardSession(SetupPlan.of(wrong.panel, name), IN_PROCESS_SCHEME + name, opener)
                for name in panel.boards
            ],
            sim_panel=sim_panel,
            on_event=events.append,
        )
        engine.post(lambda now_s: engine.stop_at(60.0))
        engine.run()
    finally:
        sim_panel.unregister()
    return events


def test_exchanged_contacts_are_found_in_a_running_panel() -> None:
    handle = LOADED.panel.switches.gear_handle
    exchanged = handle.model_copy(update={"up_pin": handle.down_pin, "down_pin": handle.up_pin})
    events = miswired(LOADED, exchanged, LOADED.panel)
    assert names(events).count("handle_found_up_on_ground") == 1
    assert not [e for e in events if e.name == "gear_up_commanded"]  # nothing acts
    right = miswired(LOADED, handle, LOADED.panel)
    assert not set(names(right)) & set(WIRING_HINTS)


@pytest.mark.thorough
@pytest.mark.parametrize(
    "path", [path for path in PANELS if path not in FLOWN_THERE], ids=lambda path: path.stem
)
def test_no_hint_in_the_whole_flight_on_any_shipped_panel(path: Path) -> None:
    events: list[Event] = []
    assembly = assemble_demo(
        load_panel(path), clock=VirtualClock(), stop_when_finished=True, on_event=events.append
    )
    try:
        assembly.engine.run()
    finally:
        assembly.close()
    assert "feed_finished" in names(events)
    assert not set(names(events)) & set(WIRING_HINTS)


@pytest.mark.thorough
@pytest.mark.parametrize("path", PANELS, ids=lambda path: path.stem)
def test_no_hint_past_every_limit_with_the_panels_own_feed(path: Path) -> None:
    loaded, clock = load_panel(path), VirtualClock()
    waiter = Waiter(clock)
    sim_panel = SimPanel(loaded.panel, declared=switches_of(loaded.aircraft))
    sim_panel.register(clock)
    events: list[Event] = []
    opener = PortOpener(waiter.wake)
    try:
        sessions = [
            BoardSession(SetupPlan.of(loaded.panel, name), IN_PROCESS_SCHEME + name, opener)
            for name in loaded.panel.boards
        ]
        engine = Engine(
            loaded,
            clock=clock,
            waiter=waiter,
            feed=feed_of(loaded),
            sessions=sessions,
            sim_panel=sim_panel,
            on_event=events.append,
        )
        engine.post(lambda now_s: engine.stop_at(100.0))
        engine.run()
    finally:
        sim_panel.unregister()
    assert not set(names(events)) & set(WIRING_HINTS)
