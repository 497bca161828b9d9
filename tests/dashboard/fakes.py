"""A source and controls without an engine."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from panelbridge.dashboard.app import DashboardApp
from panelbridge.dashboard.interfaces import (
    Controls,
    Equipment,
    LampLook,
    SnapshotSource,
    SwitchControl,
)
from panelbridge.dashboard.pages.page_turner import Section
from panelbridge.dashboard.pages.screen_content import ScreenContent
from panelbridge.engine.snapshot import Snapshot
from panelbridge.signals import HandleContacts
from tests.dashboard import full_aircraft, scenes

NEVER_HZ = 1e-4
"""The interval does not fire during a test: the test polls."""


class FakeSource:
    """Returns the snapshot ``now``."""

    def __init__(self, snapshot: Snapshot = scenes.START) -> None:
        self.now = snapshot
        self.reads = 0

    def snapshot(self) -> Snapshot:
        self.reads += 1
        return self.now


def _start(control: SwitchControl) -> str | float:
    if control.form != "lever":
        return control.positions[0]
    return 0.7 if control.rest is None else control.rest


class FakeControls:
    """Switches that move at once."""

    def __init__(self, switches: Sequence[SwitchControl] = scenes.SWITCHES) -> None:
        self.switches = tuple(switches)
        self.places: dict[str, str | float] = {
            control.name: _start(control) for control in switches
        }
        if "gear_handle" in self.places:
            self.places["gear_handle"] = "down"
        self.moves: list[tuple[str, str | float]] = []
        self.flights = 0

    def position(self, name: str) -> str | float:
        return self.places[name]

    def move(self, name: str, position: str | float) -> None:
        self.moves.append((name, position))
        self.places[name] = position

    def fly_again(self) -> None:
        self.flights += 1


class PlainControls:
    """Switches of a run that cannot start again."""

    fly_again = None

    def position(self, name: str) -> str | float:
        return "down" if name == "gear_handle" else "released"

    def move(self, name: str, position: str | float) -> None:
        raise AssertionError(f"{name} moved to {position}")


def show_switches(snapshot: Snapshot, controls: FakeControls) -> Snapshot:
    """The snapshot as a board would report these controls."""
    places = controls.places
    return replace(
        snapshot,
        switches=snapshot.switches.having(
            gear_handle=HandleContacts(str(places["gear_handle"])),
            horn_silence=places["horn_silence"] == "pressed",
            lamp_test=places["lamp_test"] == "pressed",
            warning_test=places["warning_test"] == "pressed",
            steering_button=places["steering_button"] == "pressed",
            dimmer=float(places["dimmer"]),
        ),
    )


def app_for(
    source: SnapshotSource,
    controls: Controls | None,
    *,
    looks: Sequence[LampLook] = scenes.LAMPS,
    equipment: Equipment | None = None,
    page: Section = Section.OVERVIEW,
    refresh_hz: float = NEVER_HZ,
) -> DashboardApp:
    """The screen with a fixed title, at its overview."""
    content = ScreenContent(
        title="panelbridge demo",
        lamp_looks=looks,
        horn_board=scenes.HORN_BOARD,
        equipment=equipment or Equipment(),
    )
    return DashboardApp(
        source,
        controls,
        content,
        switches=scenes.SWITCHES,
        page=page,
        refresh_hz=refresh_hz,
    )


def app_of(name: str, *, real: bool = False) -> DashboardApp:
    """The screen at the moment ``name`` of ``scenes.SCENES``."""
    snapshot = scenes.SCENES[name]
    controls = FakeControls()
    if snapshot.switches.get("gear_handle") is HandleContacts.UP:
        controls.places["gear_handle"] = "up"
    return app_for(FakeSource(snapshot), None if real else controls)


def full_app(
    source: SnapshotSource | None = None,
    controls: Controls | None = None,
    *,
    real: bool = False,
    refresh_hz: float = NEVER_HZ,
) -> DashboardApp:
    """The screen of the aircraft that has everything."""
    content = ScreenContent(
        title="panelbridge demo",
        lamp_looks=full_aircraft.LAMPS,
        horn_board=scenes.HORN_BOARD,
        equipment=full_aircraft.EQUIPMENT,
    )
    return DashboardApp(
        source or FakeSource(full_aircraft.FULL),
        None if real else controls or FakeControls(full_aircraft.SWITCHES),
        content,
        switches=full_aircraft.SWITCHES,
        page=Section.OVERVIEW,
        refresh_hz=refresh_hz,
    )
