"""Panels for the tests of the wiring sheet: the shipped ones, and generated ones."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from hypothesis import strategies as st

from panelbridge.config.boards import BOARDS
from panelbridge.config.load import load_panel
from panelbridge.config.panel_file import PanelFile
from panelbridge.config.shipped import shipped_folder
from panelbridge.wiring.electrics.wired import WiredPanel
from panelbridge.wiring.electrics.wired_panel import wired_panel

SHIPPED = sorted((shipped_folder() / "panels").glob("*.yaml"))
_COLOURS = ["red", "amber", "green", "white", "blue"]
_DRIVERS = ["none", "transistor_array", "mosfet", "npn"]
_GAUGES = ("hydraulic_pressure", "emergency_air", "brake_accumulator")
_NAMES = st.from_regex(r"[a-z][a-z0-9_]{0,39}", fullmatch=True)
_LEGENDS = st.text(st.characters(codec="ascii", categories=("L", "N", "P", "Zs")), max_size=24)
SUPPLIES = {"coils": {"voltage_v": 12.0}, "servos": {"voltage_v": 5.0, "limit_ma": 4000.0}}


def shipped(path: Path) -> WiredPanel:
    """What a shipped panel file wires."""
    return wired_panel(load_panel(path).panel)


@st.composite
def panel_files(draw: st.DrawFn, most: int = 60) -> PanelFile:
    """A panel on one board, with 1 to ``most`` parts of every kind, wherever its pins allow it."""
    kind = draw(st.sampled_from(sorted(BOARDS)))
    board = BOARDS[kind]
    free = [pin.name for pin in board.pins.values() if not pin.reserved and pin.digital]
    free = draw(st.permutations(free))
    chains: dict[str, Any] = {}
    bits: dict[str, list[str]] = {"inputs": [], "outputs": []}
    for chain, name in (("inputs", "knobs"), ("outputs", "lights")):
        chips = draw(st.integers(0, 4))
        if chips:
            lines = {f"{line}_pin": free.pop() for line in ("data", "clock", "latch")}
            chains[name] = {"form": chain, "chips": chips, **lines}
            bits[chain] = [f"{name}.{bit}" for bit in range(8 * chips)]
    switches: dict[str, Any] = {}
    lamps: dict[str, Any] = {}
    gauges: dict[str, Any] = {}
    others: dict[str, Any] = {}
    for number in range(draw(st.integers(1, most))):
        what = draw(st.sampled_from(["contact", "lever", "lamp", "bulb", "gauge", "horn", "coil"]))
        form = {"contact": "inputs", "lamp": "outputs"}.get(what)
        places = free + (bits[form] if form else [])
        if what == "lever":
            places = [pin for pin in free if board.pins[pin].analogue]
        if not places:
            continue
        pin = draw(st.sampled_from(places))
        (bits[form] if form and "." in pin else free).remove(pin)
        entry: dict[str, Any] = {"board": "main", "pin": pin}
        supply = draw(st.sampled_from([None, *SUPPLIES]))
        driver = draw(st.sampled_from(_DRIVERS)) if "." not in pin else "none"
        match what:
            case "contact":
                entry |= {"form": "contact", "normally_closed": draw(st.booleans())}
                entry |= {"capacitor_nf": draw(st.sampled_from([0.0, 100.0]))}
                entry |= {"series_ohm": draw(st.sampled_from([0.0, 1000.0]))}
                switches[f"{draw(_NAMES)}{number}"] = entry
            case "lever":
                switches[f"{draw(_NAMES)}{number}"] = entry | {"form": "lever"}
            case "lamp":
                entry |= {"colour": draw(st.sampled_from(_COLOURS)), "driver": driver}
                entry |= {"leds": draw(st.integers(1, 3)), "active_low": draw(st.booleans())}
                lamps[f"{draw(_NAMES)}{number}"] = entry | {
                    "legend": draw(_LEGENDS),
                    "supply": supply,
                }
            case "bulb":
                entry |= {"colour": "red", "light": "bulb", "current_ma": 80.0, "supply": supply}
                lamps[f"{draw(_NAMES)}{number}"] = entry | {
                    "driver": draw(st.sampled_from(_DRIVERS[1:]))
                }
            case "gauge" if len(gauges) < len(_GAUGES):
                gauges[_GAUGES[len(gauges)]] = entry | {"supply": supply}
            case "horn" if "horn" not in others:
                sounder = draw(st.sampled_from(["piezo", "active_buzzer", "magnetic_buzzer"]))
                others["horn"] = entry | {"sounder": sounder, "driver": driver}
            case "coil" if "solenoids" not in others:
                coil = entry | {"supply": supply, "driver": draw(st.sampled_from(_DRIVERS[1:]))}
                others["solenoids"] = {"handle_lock": coil}
            case _:
                pass
    return PanelFile.model_validate(
        {
            "kind": "panel",
            "format": 2,
            "name": draw(_LEGENDS.filter(bool)),
            "aircraft": "aircraft.yaml",
            "boards": {"main": {"board": kind, "chains": chains}},
            "own_switches": switches,
            "lamps": lamps,
            "gauges": gauges,
            "electrics": {"supplies": SUPPLIES},
            **others,
        }
    )
