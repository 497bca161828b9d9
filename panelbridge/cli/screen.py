"""A run with the screen: the engine in its own thread, the screen in the main one."""

from __future__ import annotations

import threading
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import Any

from panelbridge.cli.equipment_trends import alert_lamps_of, gear_section_of, trends_of
from panelbridge.cli.terminal import TerminalWatch, check_terminal, stopped_by_signals
from panelbridge.cli.value_limits import limits_of
from panelbridge.config.load import LoadedPanel
from panelbridge.config.panel_parts.output_entries import GaugeEntry, NeedleEntry
from panelbridge.config.panel_parts.switch_entries import (
    LeverSwitch,
    OneContactHandle,
    TwoContactHandle,
)
from panelbridge.dashboard.app import DashboardApp
from panelbridge.dashboard.interfaces import Equipment, LampLook, SwitchControl, ValueLook
from panelbridge.dashboard.pages.screen_content import ScreenContent
from panelbridge.engine.assemble import Assembly
from panelbridge.engine.snapshot import Snapshot
from panelbridge.engine.stage import Stage
from panelbridge.logic.inventory import gauges_of, lamps_of, solenoids_of, switches_of, systems_of
from panelbridge.logic.kit.system import System
from panelbridge.logic.switches import BUTTON, Declared, rest_of, words_of
from panelbridge.simboard.contacts.wired_hands import DOWN, UP


class StageSource:
    """Snapshots of a run; an exception that ended its thread is raised to the reader.

    Args:
        stage: runs in a thread of its own.
    """

    def __init__(self, stage: Stage) -> None:
        self._stage = stage
        self.failure: Exception | None = None

    def run(self) -> None:
        """The engine's thread."""
        try:
            self._stage.run()
        except Exception as error:  # noqa: BLE001 - raised in the screen's thread by snapshot()
            self.failure = error

    def snapshot(self) -> Snapshot:
        """The newest snapshot. Raises: what ended the engine's thread."""
        if self.failure is not None:
            raise self.failure
        return self._stage.assembly.engine.snapshot()

    def explain(self, subject: str) -> None:
        """Have the engine explain a subject in its next snapshots."""
        engine = self._stage.assembly.engine
        engine.post(partial(engine.explain, subject=subject))


class SimControls:
    """Moves the switches of a simulated panel from the screen's thread, through the engine's.

    Args:
        assembly: the run, with a simulated panel; another run may take its place in it.
    """

    def __init__(self, assembly: Assembly) -> None:
        self._assembly = assembly
        self.fly_again: Callable[[], None] | None = None
        """Starts a finished flight again; None for a run that has no such end."""
        if assembly.is_demo:
            self.fly_again = lambda: assembly.engine.post(assembly.engine.fly_again)

    def position(self, name: str) -> str | float:
        """The switch's position in the last snapshot."""
        return self._assembly.engine.snapshot().positions.get(name, "")

    def move(self, name: str, position: str | float) -> None:
        """Have the engine's thread move the switch."""
        sim_panel = self._assembly.sim_panel
        if sim_panel is not None:
            self._assembly.engine.post(lambda now_s: sim_panel.move(now_s, name, position))


def run_with_screen(assembly: Assembly, loaded: LoadedPanel) -> int:
    """Run until the screen is closed, or its terminal goes away; returns the exit code.

    Raises:
        UsageError: there is no terminal for the screen.
        Exception: whatever ended the engine's thread: an error in this program.
    """
    check_terminal()
    show = None
    if assembly.show is not None:
        from panelbridge.cli.show import RunShow

        show = RunShow(assembly, loaded)
    stage = Stage(assembly, show.prepare if show is not None else lambda assembly: None)
    source = StageSource(stage)
    controls = SimControls(assembly) if assembly.sim_panel is not None else None
    app = DashboardApp(
        source, controls, content_of(loaded), switches=fitted_switches(loaded), show=show
    )
    thread = threading.Thread(target=source.run, name="panelbridge-engine")

    watch = TerminalWatch(stage.stop, app.exit, thread)
    with stopped_by_signals(watch.ask):
        thread.start()
        watch.start()
        try:
            app.run()
        except OSError:
            if not watch.has_hung_up:  # else it could not take its leave
                raise
        finally:
            stage.stop()
            thread.join()
            watch.close()
    if source.failure is not None:
        raise source.failure
    return 0 if watch.stopped else app.return_code or 0


def content_of(loaded: LoadedPanel) -> ScreenContent:
    """What the screen shows of a panel besides its snapshots."""
    return ScreenContent(
        title="panelbridge",
        lamp_looks=looks_of(loaded),
        horn_board=horn_board_of(loaded),
        full_scale_psi=_full_scale_psi(loaded),
        equipment=equipment_of(loaded),
        layout=loaded.panel.layout,
    )


def equipment_of(loaded: LoadedPanel) -> Equipment:
    """What the aircraft has, and what of it the panel has."""
    aircraft, panel = loaded.aircraft, loaded.panel
    hydraulics, brakes = aircraft.hydraulics, aircraft.brakes
    fitted = {**dict(panel.gauges), **dict(panel.solenoids)}
    boards = {name: entry.board for name, entry in fitted.items() if entry is not None}
    pressure = hydraulics is not None or "hydraulic_pressure" in boards
    return Equipment(
        systems=_systems(systems_of(aircraft)),
        gauges=tuple(
            ValueLook(name, gauge.label, unit=gauge.unit, full_scale=_full_scale(fitted.get(name)))
            for name, gauge in gauges_of(aircraft).items()
            if name != "hydraulic_pressure" or pressure
        ),
        solenoids=tuple(ValueLook(name, one.label) for name, one in solenoids_of(aircraft).items()),
        boards=boards,
        engines=aircraft.engines,
        wheels=() if brakes is None else tuple(wheel.name for wheel in brakes.wheels),
        steering=aircraft.steering.steering_leg is not None,
        wheel_lock=aircraft.wheel_lock is not None,
        pressure=pressure,
        consumers=hydraulics is not None,
        aux_pump=hydraulics is not None and hydraulics.aux_pump is not None,
        emergency_extend=aircraft.emergency is not None,
        parking_brake=brakes is not None and brakes.parking_brake,
        antiskid=aircraft.antiskid is not None,
        own_switches=tuple(aircraft.own_switches),
        limits=limits_of(aircraft),
        trends=trends_of(aircraft),
        alert_lamps=alert_lamps_of(aircraft),
        gear_section=gear_section_of(aircraft),
    )


def _full_scale(entry: object) -> float:
    return entry.full_scale if isinstance(entry, NeedleEntry) else 0.0


def _systems(systems: Sequence[System[Any]]) -> Mapping[str, Sequence[ValueLook]]:
    """Each section with what its systems publish beside the legs and the whole gear."""
    values: dict[str, list[ValueLook]] = {}
    for system in systems:
        found = [
            ValueLook(one.name, one.short or one.label, one.form, one.unit, one.when_none)
            for one in system.values
            if one.group == "system"
        ]
        if found:
            values.setdefault(system.title, []).extend(found)
    return values


def looks_of(loaded: LoadedPanel) -> tuple[LampLook, ...]:
    """The panel's lamps, in the order of the panel file; its legends, else those declared."""
    declared = {name: lamp.legend for name, lamp in lamps_of(loaded.aircraft).items()}
    return tuple(
        LampLook(name, lamp.legend or declared.get(name, ""), lamp.colour, lamp.board)
        for name, lamp in loaded.panel.lamps.items()
    )


def horn_board_of(loaded: LoadedPanel) -> str | None:
    """Name of the horn's board; None when the panel has no horn."""
    return None if loaded.panel.horn is None else loaded.panel.horn.board


def fitted_switches(loaded: LoadedPanel) -> tuple[SwitchControl, ...]:
    """The switches that are wired and that the aircraft has, in the order of the panel file."""
    needs = switches_of(loaded.aircraft)
    return tuple(
        _control(name, needs, entry)
        for name, entry in loaded.panel.wired_switches.items()
        if name in needs
    )


def _full_scale_psi(loaded: LoadedPanel) -> float:
    gauge = loaded.panel.gauges.hydraulic_pressure
    if gauge is not None:
        return gauge.full_scale_psi
    return float(GaugeEntry.model_fields["full_scale_psi"].default)


_STAYS_WHERE_PUT = ("parking_brake", "emergency_brake")
"""Levers that stay where they are put, even if they are wired as one contact."""


def _control(name: str, needs: Declared, entry: object) -> SwitchControl:
    label = needs[name].label
    if isinstance(entry, LeverSwitch):
        rest = None if name == "dimmer" else rest_of(name, needs)
        return SwitchControl(name, label, "lever", rest=rest)
    if isinstance(entry, OneContactHandle | TwoContactHandle):
        return SwitchControl(name, label, "handle", (UP, DOWN))
    words = words_of(name, needs)
    stays = words is not BUTTON or name in _STAYS_WHERE_PUT
    return SwitchControl(name, label, "toggle" if stays else "button", tuple(words))
