"""Consumers of the hydraulics as signals: each has pressure or not. Common practice, no source.

By hand: of engine 1 for the gear, engine 2 for the spoilers and an accumulator for the brakes, with
engine 1 running: gear true, brakes true, spoilers false; nobody serves the flaps: no signal.
"""

from __future__ import annotations

from typing import Any

from panelbridge.logic.inventory import vocabulary_of
from panelbridge.logic.panel_logic import PanelLogic
from panelbridge.signals import AircraftState, SwitchState
from tests.logic.build import twin

BRAKES = ["wheel_brakes", "parking_brake"]
HYDRAULICS: dict[str, Any] = {
    "supplies": [
        {"engine": 1, "kind": "engine_pump", "flow_l_per_s": 0.3, "serves": ["gear"]},
        {"engine": 2, "kind": "engine_pump", "flow_l_per_s": 0.3, "serves": ["spoilers"]},
    ],
    "aux_pump": None,
    "accumulator": {"serves": BRAKES},
}


def shown(engines: tuple[bool, bool]) -> dict[str, Any]:
    aircraft = twin(hydraulics=HYDRAULICS)
    logic = PanelLogic(aircraft)
    logic.step(0.0, SwitchState(), AircraftState(engine_running=engines))
    logic.step(60.0, SwitchState(), AircraftState(engine_running=engines))
    signals = vocabulary_of(aircraft)
    names = [name for name in signals if name.endswith("_has_pressure")]
    world = logic.world()
    return {name.removesuffix("_has_pressure"): signals[name].read(world) for name in names}


def test_each_consumer_that_is_served_is_a_signal() -> None:
    stored = dict.fromkeys(BRAKES, True)
    assert shown((True, False)) == {"gear": True, **stored, "spoilers": False}
    assert shown((False, True)) == {"gear": False, **stored, "spoilers": True}
    assert shown((False, False)) == dict.fromkeys(("gear", *BRAKES, "spoilers"), False)


def test_a_lamp_of_ones_own_can_ask_for_one() -> None:
    lamp = {"label": "no spoilers", "lit_when": {"spoilers_has_pressure": False}}
    logic = PanelLogic(twin(hydraulics=HYDRAULICS, own_lamps={"spoilers_amber": lamp}))
    lit = []
    for now_s, engines in ((0.0, (True, False)), (1.0, (True, True)), (60.0, (True, True))):
        result = logic.step(now_s, SwitchState(), AircraftState(engine_running=engines))
        lit.append(result.outputs.lamps["spoilers_amber"] > 0)
    assert (lit[0], lit[2]) == (True, False)
