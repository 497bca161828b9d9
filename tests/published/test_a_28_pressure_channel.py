"""A-28: 14 CFR 135.152: "hydraulic pressure low" of each system is a recorded parameter."""

from __future__ import annotations

from panelbridge.logic.hydraulics.system import Hydraulics
from panelbridge.signals import Level
from tests.logic.scenes.hydraulics import Scene


def test_low_pressure_is_a_named_channel_and_its_begin_and_end_are_events() -> None:
    """14 CFR 135.152, list of parameters: a channel by name, each change with its time."""
    scene = Scene(engine_running=(True, False))
    changes: list[tuple[float, str]] = []
    channel = [scene.values["hydraulic_pressure_low"]]
    for action_s, engines in ((10.0, (False, False)), (400.0, (False, True))):
        scene.at(action_s, engine_running=engines)
        scene.after(380.0)
        channel.append(scene.values["hydraulic_pressure_low"])
    changes = [(e.time_s, e.name) for e in scene.events if "pressure" in e.name]
    assert channel == [False, True, False]
    assert [name for _, name in changes] == [
        "hydraulic_pressure_rose",
        "hydraulic_pressure_fell",
        "hydraulic_pressure_rose",
    ]
    assert changes[0][0] == 0.0
    assert 10.0 < changes[1][0] < 390.0
    assert 400.0 < changes[2][0] < 410.0
    assert Hydraulics.events["hydraulic_pressure_fell"][0] is Level.CAUTION


def test_lost_data_begins_low_pressure_too() -> None:
    """14 CFR 135.152; that unknown counts as low is our own decision."""
    scene = Scene(authority="feed", fed_psi=3000.0)
    scene.at(1.0, fed_psi=None)
    assert scene.values["hydraulic_pressure_low"] is True
    assert [(e.time_s, e.name) for e in scene.events] == [
        (0.0, "hydraulic_pressure_rose"),
        (1.0, "hydraulic_pressure_fell"),
    ]
