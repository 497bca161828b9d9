"""The files of a small panel whose lamps show how its switches stand: what is right can be seen."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import yaml

MIRRORS = ("handle_up_white", "handle_down_white", "silence_white")
"""Own lamps, each lit by one position of one switch."""
_LEGS = ("nose", "left", "right")


@dataclass(frozen=True)
class Cockpit:
    """The files of a panel on one board that needs no boot wait."""

    aircraft: Path
    panel: Path
    feed: Path
    scenario: Path


def mirrored(handle: str, silence: str) -> dict[str, str]:
    """What a board prints of its mirrors when handle and button stand so."""
    lit = (handle == "up", handle == "down", silence == "pressed")
    return {f"lamp {name}": "255" if on else "0" for name, on in zip(MIRRORS, lit, strict=True)}


def make_cockpit(room: Path, *, mark: str = "", in_the_air: bool = True) -> Cockpit:
    """Write the files.

    Args:
        room: the folder for them.
        mark: stands in every name that a builder may choose.
        in_the_air: the feed's aircraft flies, with its handle down; else it is parked.
    """
    room.mkdir(parents=True, exist_ok=True)
    made = Cockpit(*(room / f"{name}.yaml" for name in ("aircraft", "panel", "feed", "scenario")))
    _write(
        made.aircraft,
        kind="aircraft",
        name=f"Worst day{mark}",
        engines=2,
        legs=[{"name": n, "unlock_s": 0.1, "extend_s": 0.5, "retract_s": 0.5} for n in _LEGS],
        gear_warning={"throttle_approach_fraction": 0.3, "flap_limit_deg": 18},
        steering={"steering_leg": None},
        own_lamps={
            "handle_up_white": {"label": f"up{mark}", "lit_when": {"gear_handle": "up"}},
            "handle_down_white": {"label": f"down{mark}", "lit_when": {"gear_handle": "down"}},
            "silence_white": {"label": f"mute{mark}", "lit_when": {"horn_silence": "pressed"}},
        },
        starts={f"here{mark}": _values(in_the_air)},
    )
    board = f"board{mark}"
    _write(
        made.panel,
        kind="panel",
        name=f"Worst day{mark}",
        aircraft="aircraft.yaml",
        feed="feed.yaml",
        boards={board: {"board": "leonardo"}},
        switches={
            "gear_handle": {"form": "two_contact", "up_pin": "D2", "down_pin": "D3"},
            "horn_silence": "D4",
            "lamp_test": "D5",
        },
        lamps={
            name: {"pin": f"D{pin}", "legend": f"{name}{mark}"}
            for pin, name in enumerate((*(f"{leg}_green" for leg in _LEGS), *MIRRORS), start=6)
        },
        horn="D12",
        not_fitted=[f"{leg}_red" for leg in _LEGS],
    )
    _write(
        made.feed,
        kind="feed",
        name=f"Here{mark}",
        source="fixed",
        values=_values(in_the_air),
    )
    _write(
        made.scenario,
        kind="scenario",
        name=f"Calm{mark}",
        panel="panel.yaml",
        start=f"here{mark}",
        steps=[{"at_s": 1.0, "expect": {"gear": "locked_down"}}],
    )
    return made


def _values(in_the_air: bool) -> dict[str, object]:
    return {
        "airspeed_kias": 110 if in_the_air else 0,
        "altitude_ft": 3000 if in_the_air else 0,
        "throttles": 0.6,
        "flap_deg": 0,
        "struts": "extended" if in_the_air else "compressed",
        "simulator_handle": "down",
        "bus_power": "on",
    }


def _write(path: Path, **content: object) -> None:
    path.write_text(yaml.safe_dump({"format": 2, **content}, sort_keys=False), "utf-8")
