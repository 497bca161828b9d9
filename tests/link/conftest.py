"""A small panel for the link's tests."""

from __future__ import annotations

from typing import Any

import pytest

from panelbridge.config.panel_file import PanelFile
from panelbridge.link.session import SetupPlan


def make_panel(**changes: Any) -> PanelFile:
    """Two boards: the gear panel and a pedestal with a lever."""
    content: dict[str, Any] = {
        "kind": "panel",
        "format": 2,
        "name": "test panel",
        "aircraft": "aircraft.yaml",
        "boards": {"gear": {"board": "uno"}, "pedestal": {"board": "leonardo"}},
        "switches": {
            "gear_handle": {
                "board": "gear",
                "form": "two_contact",
                "up_pin": "D2",
                "down_pin": "D3",
            },
            "horn_silence": {"board": "gear", "form": "contact", "pin": "D4"},
            "lamp_test": {"board": "pedestal", "form": "contact", "pin": "D4"},
            "dimmer": {"board": "pedestal", "form": "lever", "pin": "A0"},
        },
        "lamps": {
            "nose_green": {"board": "gear", "pin": "D5", "colour": "green"},
            "nose_red": {"board": "gear", "pin": "D7", "colour": "red", "active_low": True},
        },
        "horn": {"board": "gear", "pin": "D8"},
        "gauges": {"hydraulic_pressure": {"board": "gear", "pin": "D9"}},
    }
    return PanelFile.model_validate({**content, **changes})


@pytest.fixture
def panel() -> PanelFile:
    return make_panel()


@pytest.fixture
def plan(panel: PanelFile) -> SetupPlan:
    return SetupPlan.of(panel, "gear")
