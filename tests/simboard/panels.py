"""A panel with two boards, in code, for the tests."""

from __future__ import annotations

from typing import Any

from panelbridge.config.panel_file import PanelFile

CONTENT: dict[str, Any] = {
    "kind": "panel",
    "format": 2,
    "name": "Test panel",
    "aircraft": "none.yaml",
    "boards": {"main": {"board": "mega2560"}, "pedestal": {"board": "uno"}},
    "switches": {
        "gear_handle": {
            "form": "two_contact",
            "board": "main",
            "up_pin": "D22",
            "down_pin": "D23",
            "debounce_ms": 20,
        },
        "horn_silence": {"form": "contact", "board": "main", "pin": "D24"},
        "steering_button": {
            "form": "contact",
            "board": "pedestal",
            "pin": "D2",
            "normally_closed": True,
        },
        "dimmer": {
            "form": "lever",
            "board": "pedestal",
            "pin": "A0",
            "counts_at_0": 1000,
            "counts_at_1": 20,
        },
    },
    "lamps": {
        "nose_green": {"board": "main", "pin": "D2", "colour": "green"},
        "steering": {"board": "pedestal", "pin": "D7", "colour": "green", "active_low": True},
    },
    "horn": {"board": "main", "pin": "D8"},
    "gauges": {"hydraulic_pressure": {"board": "pedestal", "pin": "D9"}},
}


def make_panel(**switches: Any) -> PanelFile:
    """The panel, with some of its switches wired another way."""
    return PanelFile.model_validate({**CONTENT, "switches": {**CONTENT["switches"], **switches}})
