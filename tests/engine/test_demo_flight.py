from __future__ import annotations

from dataclasses import dataclass, field

import pytest

from panelbridge.clock import VirtualClock
from panelbridge.config.aircraft_file import AircraftFile
from panelbridge.config.load import load_panel
from panelbridge.config.shipped import shipped_config
from panelbridge.engine.assemble import assemble_demo
from panelbridge.feeds.flight_script import DURATION_S
from panelbridge.signals import Event, Outputs
from tests.engine.demo import expected_events

NOT_OF_THE_FLIGHT = {"feed_found", "feed_finished", "board_connected"}


@dataclass
class Flown:
    """The demonstration flight, flown twice by one engine.

    Attributes:
        aircraft: that flew.
        first: events of the first flight.
        again: events of the second.
        compared: in the first, wherever nothing had just changed: the outputs of the snapshot, and
            lamps and horn as the simulated board drives its pins.
    """

    aircraft: AircraftFile
    first: list[Event] = field(default_factory=list)
    again: list[Event] = field(default_factory=list)
    compared: list[tuple[Outputs, dict[str, int], str]] = field(default_factory=list)


@pytest.fixture(scope="module")
def flown() -> Flown:
    loaded = load_panel(shipped_config("panels/demo_panel.yaml"))
    flown = Flown(loaded.aircraft)
    events: list[Event] = []
    assembly = assemble_demo(
        loaded,
        clock=VirtualClock(),
        stop_when_finished=True,
        on_event=events.append,
    )
    engine, sim_panel = assembly.engine, assembly.sim_panel
    assert sim_panel is not None
    before = engine.snapshot()
    while not engine.snapshot().finished:
        engine.turn()
        now = engine.snapshot()
        if now.time_s == before.time_s:
            continue
        # A lamp command is on its way for some turns: compare where nothing has changed lately.
        if now.outputs == before.outputs and now.time_s > 1.0:
            tone = sim_panel.horn()
            assert tone is not None
            heard = tone.order.name.lower()
            flown.compared.append((now.outputs, dict(sim_panel.lamps()), heard))
        before = now
    flown.first = events.copy()
    events.clear()
    engine.post(engine.fly_again)
    engine.turn()
    while not engine.snapshot().finished or not events:
        engine.turn()
    engine.close()
    assembly.close()
    flown.again = events
    return flown


def test_the_flight_shows_what_its_script_says_in_order(flown: Flown) -> None:
    events = flown.first
    # The flight's time begins with the first reading, a tick at most after the clock's.
    came = [h for h in events if h.name not in NOT_OF_THE_FLIGHT and h.time_s > 0.0]
    left = list(came)
    for want in expected_events(flown.aircraft):
        match = next(
            (
                h
                for h in left
                if (h.name, h.subject) == (want.name, want.subject)
                and want.earliest_s - 1e-6 <= h.time_s <= want.latest_s
            ),
            None,
        )
        assert match is not None, f"{want} did not come; left: {left}"
        left.remove(match)
    assert not left, "events that the script does not have"
    assert [h.time_s for h in events] == sorted(h.time_s for h in events)
    assert events[-1].name == "feed_finished"


def test_the_flight_visits_every_rule_of_the_panel(flown: Flown) -> None:
    """Guard of the test above: its expectations are not empty where it matters."""
    names = [e.name for e in expected_events(flown.aircraft)]
    assert names.count("horn_sounded") == 2  # first retard, and the second lever re-arms
    assert names.count("horn_silenced") == 2
    assert names.count("leg_locked_up") == names.count("leg_locked_down") == 3
    assert names.count("gear_door_opened") == names.count("gear_door_closed") == 6
    assert names.index("touched_down") < len(names) - names[::-1].index("steering_engaged") - 1


def test_the_board_drives_what_the_logic_says_all_through_the_flight(flown: Flown) -> None:
    """Lamps and horn as the simulated board drives its pins, against the engine's snapshot."""
    for outputs, lamps, heard in flown.compared:
        assert lamps == dict(outputs.lamps)
        assert heard == outputs.horn.value
    assert len(flown.compared) > 8 * DURATION_S
    # Dark, tests, transit of each leg, steering, handle light.
    assert len({tuple(lamps.values()) for _, lamps, _ in flown.compared}) >= 8
    assert {heard for _, _, heard in flown.compared} == {"silent", "intermittent"}


LEFT_FROM_THE_FIRST = {"aux_pump_started", "hydraulic_pressure_rose", "aux_pump_stopped"}
"""The second flight begins with the pressure of the first: the auxiliary pump has nothing to do."""


def test_the_flight_can_be_flown_again(flown: Flown) -> None:
    others = NOT_OF_THE_FLIGHT | LEFT_FROM_THE_FIRST
    first = [(h.name, h.subject) for h in flown.first if h.name not in others and h.time_s > 0.0]
    assert {h.name for h in flown.first} >= LEFT_FROM_THE_FIRST
    again = [(h.name, h.subject) for h in flown.again if h.name not in NOT_OF_THE_FLIGHT]
    hot = ("brakes_too_hot", "")  # the second stop adds to the heat of the first
    assert again.count(hot) == 1
    assert hot not in first
    assert [one for one in again if one != hot] == first
