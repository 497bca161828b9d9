"""Toggles, levers with one contact and solenoids: from the panel file to the state and back."""

from __future__ import annotations

import pytest

from panelbridge.link.session import OutputValues, SetupPlan, SwitchReader
from panelbridge.link.session.output_values import ENERGISED
from panelbridge.link.wire import ItemFlag, ItemKind
from panelbridge.logic.switches import rest_of
from panelbridge.signals import Outputs, SwitchState
from panelbridge.simboard.sim_panel import SimPanel
from tests.link.conftest import make_panel

PANEL = make_panel(
    lamps={},
    horn=None,
    gauges={},
    switches={
        "aux_pump": {"board": "gear", "form": "contact", "pin": "D2"},
        "parking_brake": {"board": "gear", "form": "contact", "pin": "D3"},
        "emergency_brake": {"board": "gear", "form": "lever", "pin": "A0"},
        "tiller": {"board": "gear", "form": "lever", "pin": "A1"},
        "emergency_extend": {"board": "gear", "form": "contact", "pin": "D4"},
    },
    solenoids={"handle_lock": {"board": "gear", "pin": "D12", "active_low": True}},
)


def test_a_lever_with_one_contact_is_at_one_end_or_the_other() -> None:
    reader = SwitchReader(PANEL)
    contacts = {use.switch: 1 << n for n, use in enumerate(SetupPlan.of(PANEL, "gear").contacts)}
    state = reader.set_state("gear", contacts["parking_brake"], (0, 1023))
    assert state.get("parking_brake") == 1.0
    assert (state.get("aux_pump"), state.get("emergency_extend")) == (False, False)
    assert (state.get("emergency_brake"), state.get("tiller")) == (0.0, 1.0)
    edge = reader.apply_edge("gear", contacts["parking_brake"].bit_length() - 1, False)
    assert edge.get("parking_brake") == 0.0
    on = reader.apply_edge("gear", contacts["aux_pump"].bit_length() - 1, True)
    assert on.get("aux_pump") is True
    assert reader.board_lost("gear") == SwitchState()


def test_a_solenoid_is_an_output_that_is_never_dimmed_and_idles_without_current() -> None:
    plan = SetupPlan.of(PANEL, "gear")
    item = plan.items[-1]
    assert (item.kind, item.flags, item.p1) == (ItemKind.LAMP, ItemFlag.ACTIVE_LOW, 0)
    assert plan.labels[-1] == "solenoid handle_lock on pin D12"
    assert plan.outputs == ("handle_lock",)
    values = OutputValues(plan)
    assert values.of(Outputs(solenoids={"handle_lock": True})) == (ENERGISED,)
    assert values.of(Outputs(solenoids={"handle_lock": False})) == (0,)
    assert values.of(Outputs()) == (0,)


@pytest.mark.parametrize(
    ("switch", "position", "shown"),
    [
        ("aux_pump", "on", "on"),
        ("emergency_extend", "pulled", "pulled"),
        ("parking_brake", 1.0, "pressed"),
        ("parking_brake", 0, "released"),
        ("emergency_brake", 0.5, 0.5),
    ],
)
def test_hands_of_the_simulated_panel(switch: str, position: str | float, shown: object) -> None:
    panel = SimPanel(PANEL, bounce=False)
    panel.move(0.0, switch, position)
    assert panel.positions(1.0)[switch] == shown


def test_the_simulated_panel_starts_at_rest() -> None:
    assert SimPanel(PANEL).positions(0.0) == {
        "aux_pump": "off",
        "parking_brake": "released",
        "emergency_brake": 0.0,
        "tiller": 0.5,
        "emergency_extend": "stowed",
    }
    assert not SimPanel(PANEL).solenoids()["handle_lock"]
    assert rest_of("dimmer") == 1.0
