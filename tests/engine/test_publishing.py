"""When a snapshot is published: every 50 ms, and at once for who has just asked for something."""

from __future__ import annotations

from functools import partial

from panelbridge.clock import VirtualClock
from panelbridge.config.load import load_panel
from panelbridge.config.shipped import shipped_config
from panelbridge.engine.assemble import assemble_demo
from panelbridge.engine.loop import ASKED_S, PUBLISH_S
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
