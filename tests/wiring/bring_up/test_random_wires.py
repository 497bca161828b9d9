"""Wires at random: after the corrections every switch reads right, and nothing is found again."""

from __future__ import annotations

import tempfile
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from panelbridge.clock import VirtualClock
from panelbridge.config.load import load_panel
from panelbridge.config.panel_file import PanelFile
from panelbridge.config.panel_wires import Place, WireKey, rewired, wires_of
from panelbridge.link.ports import PortOpener
from panelbridge.link.session import (
    BoardLive,
    BoardSession,
    EdgesArrived,
    SetupPlan,
    StateArrived,
    SwitchReader,
)
from panelbridge.signals import HandleContacts
from panelbridge.simboard.sim_panel import SimPanel
from tests.examples import examples
from tests.wiring.bring_up.robot import all_of_it, copy_of, not_right, wired_like

PANEL = """\
kind: panel
format: 2
name: Wires at random
aircraft: ../aircraft/twin_jet.yaml
boards: { main: { board: uno } }
switches:
  gear_handle: { form: two_contact, up_pin: D2, down_pin: D3 }
  lamp_test: D4
  horn_silence: D5
  antiskid: { pin: D6, normally_closed: true }
  aux_pump: D7
  parking_brake: { form: lever, pin: A0, counts_at_0: 100, counts_at_1: 900 }
  emergency_brake: { form: lever, pin: A1 }
lamps: { nose_green: D8 }
not_fitted: [emergency_extend, steering_button, cold_weather, left_green, right_green, nose_red,
  left_red, right_red, parking_brake_amber]
"""
KEYS = [
    WireKey("switches", "gear_handle", "up_pin"),
    WireKey("switches", "gear_handle", "down_pin"),
    *(WireKey("switches", name) for name in ("lamp_test", "horn_silence", "antiskid", "aux_pump")),
]
SPARE = ["D9", "D10", "A4"]
HANDLE = {"up": HandleContacts.UP, "down": HandleContacts.DOWN}


def _file(folder: Path) -> Path:
    path = copy_of("random.yaml", folder)
    path.write_text(PANEL, encoding="utf-8")
    return path


def _read(panel: PanelFile, wired: PanelFile) -> None:
    """Every switch of the wired panel, moved, is read right with the file's panel."""
    clock = VirtualClock()
    sim_panel = SimPanel(wired, bounce=True)
    reader = SwitchReader(panel)
    with sim_panel:
        urls = sim_panel.register(clock)
        session = BoardSession(SetupPlan.of(panel, "main"), urls["main"], PortOpener())

        def wait(seconds: float) -> None:
            end_s = clock.now() + seconds
            while clock.now() < end_s:
                sim_panel.advance(clock.now())
                for output in session.poll(clock.now()):
                    if isinstance(output, BoardLive | EdgesArrived | StateArrived):
                        reader.set_state("main", output.contacts, output.analogues)
                clock.advance(0.01)

        wait(3.0)
        for name, positions in sim_panel.choices.items():
            for position in (*positions[::-1], *positions[:1]) or (1.0, 0.0):
                if position == "between":
                    continue
                sim_panel.move(clock.now(), name, position)
                wait(0.6)
                found = reader.state.get(name)
                if name == "gear_handle":
                    assert found is HANDLE[str(position)]
                elif positions:
                    assert found is (position == positions[-1]), (name, position)
                else:
                    assert found == pytest.approx(position, abs=0.02)
        session.release(clock)


@settings(max_examples=examples(5), deadline=None)
@given(
    pins=st.permutations([*(f"D{n}" for n in range(2, 8)), *SPARE]),
    levers=st.permutations(["A0", "A1"]),
)
@example(pins=["D3", "D2", "D4", "D5", "D6", "D7", *SPARE], levers=["A1", "A0"])
@example(pins=["D7", "D2", "D3", "D4", "D5", "D6", *SPARE], levers=["A0", "A1"])
@pytest.mark.thorough
def test_after_the_corrections_every_switch_reads_right(pins: list[str], levers: list[str]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = _file(Path(folder))
        loaded = load_panel(path)
        wires = {key: Place("main", pin) for key, pin in zip(KEYS, pins, strict=False)}
        for name, pin in zip(("parking_brake", "emergency_brake"), levers, strict=True):
            wires[WireKey("switches", name)] = Place("main", pin)
        truth = rewired(loaded.panel, wires)
        all_of_it(path, wired_as=wired_like(truth, loaded))
        corrected = load_panel(path)
        found = wires_of(corrected.panel)
        assert {key: found[key] for key in wires} == wires
        _read(corrected.panel, truth)
        assert not not_right(all_of_it(path, wired_as=wired_like(truth, loaded), seed=3))
