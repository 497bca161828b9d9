"""When a snapshot is published: ten times a second, sooner for what happens, at once when asked."""

from __future__ import annotations

from functools import partial
from itertools import pairwise

from panelbridge.clock import VirtualClock
from panelbridge.config.load import load_panel
from panelbridge.config.shipped import shipped_config
from panelbridge.engine.assemble import assemble_demo
from panelbridge.engine.loop import ASKED_S, NUMBERS_S, PUBLISH_S, TICK_S
from panelbridge.engine.snapshot import Snapshot
from panelbridge.simboard.sim_panel import SimPanel


def _move(sim_panel: SimPanel, position: str, now_s: float) -> None:
    sim_panel.move(now_s, "lamp_test", position)


def test_the_effect_of_a_request_is_published_in_the_same_turn() -> None:
    clock = VirtualClock()
    loaded = load_panel(shipped_config("panels/demo_panel.yaml"))
    assembly = assemble_demo(loaded, clock=clock)
    engine, sim_panel = assembly.engine, assembly.sim_panel
    assert sim_panel is not None
    engine.open()
    late_s: list[float] = []
    try:
        while clock.now() < 20.0:
            engine.turn()
        for at in range(8):
            position = "released" if at % 2 else "pressed"
            engine.post(partial(_move, sim_panel, position))
            asked_s, before = clock.now(), engine.snapshot().outputs.lamps
            while engine.snapshot().outputs.lamps == before:
                engine.turn()
            late_s.append(engine.snapshot().time_s - asked_s)
            while clock.now() < asked_s + 2 * ASKED_S + at * 0.007:
                engine.turn()
    finally:
        engine.close()
        assembly.close()
    # A tick and the contact's debouncing; at the usual pace up to a period more.
    assert max(late_s) < PUBLISH_S


def test_numbers_alone_are_published_ten_times_a_second_and_what_happens_sooner() -> None:
    clock = VirtualClock()
    loaded = load_panel(shipped_config("panels/demo_panel.yaml"))
    assembly = assemble_demo(loaded, clock=clock)
    engine = assembly.engine
    engine.open()
    published: list[Snapshot] = []
    try:
        while clock.now() < 45.0:
            engine.turn()
            if not published or engine.snapshot() is not published[-1]:
                published.append(engine.snapshot())
    finally:
        engine.close()
        assembly.close()
    quiet, happened = 0, 0
    for before, now in pairwise(published):
        took_s = now.time_s - before.time_s
        assert PUBLISH_S - 1e-9 <= took_s <= NUMBERS_S + TICK_S + 1e-9
        quiet += took_s >= NUMBERS_S
        for event in now.events[len(now.events) - now.event_count + before.event_count :]:
            could_s = max(event.time_s, before.time_s + PUBLISH_S)
            assert now.time_s <= could_s + TICK_S + 1e-9
            happened += could_s + TICK_S < before.time_s + NUMBERS_S
    assert quiet > 0.8 * len(published)
    assert happened > 3
