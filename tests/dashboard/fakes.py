"""A source and controls without an engine."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from panelbridge.dashboard.app import DashboardApp
from panelbridge.dashboard.ports import Controls, LampLook, SnapshotSource, SwitchControl
from panelbridge.engine.snapshot import Snapshot
from panelbridge.signals import HandleContacts
from tests.dashboard import scenes

NEVER_HZ = 1e-4
"""The interval does not fire during a test: the test polls."""


class FakeSource:
    """Gives what it is told to."""

    def __init__(self, snapshot: Snapshot = scenes.START) -> None:
        self.now = snapshot
        self.reads = 0

    def snapshot(self) -> Snapshot:
        self.reads += 1
        return self.now


class FakeControls:
    """Switches that move at once."""

    def __init__(self, switches: Sequence[SwitchControl] = scenes.SWITCHES) -> None:
        self._switches = tuple(switches)
        self.places: dict[str, str | float] = {
            control.name: 0.7 if control.form == "lever" else control.positions[0]
            for control in switches
        }
        if "gear_handle" in self.places:
            self.places["gear_handle"] = "down"
        self.moves: list[tuple[str, str | float]] = []
        self.flights = 0

    def switches(self) -> Sequence[SwitchControl]:
        return self._switches

    def position(self, name: str) -> str | float:
        return self.places[name]

    def move(self, name: str, position: str | float) -> None:
        self.moves.append((name, position))
        self.places[name] = position

    def again(self) -> None:
        self.flights += 1


class PlainControls:
    """Switches of a run that can not begin anew."""

    def switches(self) -> Sequence[SwitchControl]:
        return scenes.SWITCHES

    def position(self, name: str) -> str | float:
        return "down" if name == "gear_handle" else "released"

    def move(self, name: str, position: str | float) -> None:
        raise AssertionError(f"nobody moves {name} to {position}")


def show_switches(snapshot: Snapshot, controls: FakeControls) -> Snapshot:
    """The snapshot as a board would report these controls."""
    places = controls.places
    return replace(
        snapshot,
        switches=replace(
            snapshot.switches,
            gear_handle=HandleContacts(str(places["gear_handle"])),
            horn_silence=places["horn_silence"] == "pressed",
            lamp_test=places["lamp_test"] == "pressed",
            warning_test=places["warning_test"] == "pressed",
            steering_button=places["steering_button"] == "pressed",
            dimmer_fraction=float(places["dimmer"]),
        ),
    )


def app_for(
    source: SnapshotSource,
    controls: Controls | None,
    *,
    looks: Sequence[LampLook] = scenes.LAMPS,
    refresh_hz: float = NEVER_HZ,
) -> DashboardApp:
    """The screen with a fixed title."""
    return DashboardApp(
        source,
        controls,
        "panelbridge demo",
        looks=looks,
        horn=scenes.HORN_LOOK,
        refresh_hz=refresh_hz,
    )
