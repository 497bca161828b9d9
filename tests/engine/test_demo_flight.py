from __future__ import annotations

import pytest

from panelbridge.clock import VirtualClock
from panelbridge.config.load import LoadedPanel, load_panel
from panelbridge.config.shipped import shipped_config
from panelbridge.engine.assemble import Assembly, assemble_demo
from panelbridge.feeds.flight_script import DURATION_S
from panelbridge.signals import Event
from tests.engine.demo import expected_events

NOT_OF_THE_FLIGHT = {"feed_found", "feed_finished", "board_connected"}


@pytest.fixture
def loaded() -> LoadedPanel:
    return load_panel(shipped_config("panels/demo_panel.yaml"))


def fly(loaded: LoadedPanel, events: list[Event]) -> Assembly:
    return assemble_demo(
        loaded,
        clock=VirtualClock(),
        stop_when_finished=True,
        on_event=events.append,
    )


def test_the_flight_shows_what_its_script_says_in_order(loaded: LoadedPanel) -> None:
    events: list[Event] = []
    assembly = fly(loaded, events)
    assembly.engine.run()
    assembly.close()
    # The flight's time begins with the first reading, a tick at most after the clock's.
    came = [h for h in events if h.name not in NOT_OF_THE_FLIGHT and h.time_s > 0.0]
    expected = expected_events(loaded.aircraft)
    left = list(came)
    for want in expected:
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


def test_the_flight_visits_every_rule_of_the_panel(loaded: LoadedPanel) -> None:
    """Guard of the test above: its expectations are not empty where it matters."""
    names = [e.name for e in expected_events(loaded.aircraft)]
    assert names.count("horn_sounded") == 2  # first retard, and the second lever re-arms
    assert names.count("horn_silenced") == 2
    assert names.count("leg_locked_up") == names.count("leg_locked_down") == 3
    assert names.count("gear_door_opened") == names.count("gear_door_closed") == 6
    assert names.index("touched_down") < len(names) - names[::-1].index("steering_engaged") - 1


def test_the_board_drives_what_the_logic_says_all_through_the_flight(loaded: LoadedPanel) -> None:
    """Lamps and horn as the simulated board drives its pins, against the engine's snapshot."""
    events: list[Event] = []
    assembly = fly(loaded, events)
    engine, sim_panel = assembly.engine, assembly.sim_panel
    assert sim_panel is not None
    seen: set[tuple[int, ...]] = set()
    horns: set[str] = set()
    checks = 0
    before = engine.snapshot()
    while not engine.snapshot().finished:
        engine.turn()
        now = engine.snapshot()
        if now.time_s == before.time_s:
            continue
        # A lamp command is on its way for some turns: compare where nothing has changed lately.
        if now.outputs == before.outputs and now.time_s > 1.0:
            lamps = sim_panel.lamps()
            assert dict(lamps) == dict(now.outputs.lamps)
            tone = sim_panel.horn()
            assert tone is not None
            horns.add(str(now.outputs.horn))
            assert tone.order.name.lower() == now.outputs.horn.value
            seen.add(tuple(lamps.values()))
            checks += 1
        before = now
    engine.close()
    assembly.close()
    assert checks > 10 * DURATION_S
    assert len(seen) >= 8  # dark, tests, transit of each leg, steering, handle light
    assert horns == {"silent", "intermittent"}


LEFT_FROM_THE_FIRST = {"aux_pump_started", "hydraulic_pressure_rose", "aux_pump_stopped"}
"""The second flight begins with the pressure of the first: the auxiliary pump has nothing to do."""


def test_the_flight_can_be_flown_again(loaded: LoadedPanel) -> None:
    events: list[Event] = []
    assembly = fly(loaded, events)
    engine = assembly.engine
    while not engine.snapshot().finished:
        engine.turn()
    others = NOT_OF_THE_FLIGHT | LEFT_FROM_THE_FIRST
    first = [(h.name, h.subject) for h in events if h.name not in others and h.time_s > 0.0]
    assert {h.name for h in events} >= LEFT_FROM_THE_FIRST
    events.clear()
    engine.post(engine.fly_again)
    engine.turn()
    while not engine.snapshot().finished or not events:
        engine.turn()
    engine.close()
    assembly.close()
    again = [(h.name, h.subject) for h in events if h.name not in NOT_OF_THE_FLIGHT]
    assert again == first
