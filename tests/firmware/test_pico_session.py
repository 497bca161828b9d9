"""The computer's real session with the MicroPython firmware: set-up, edges, lamps, capture."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest

from panelbridge.clock import VirtualClock
from panelbridge.config.panel_file import PanelFile
from panelbridge.link.ports import Opening
from panelbridge.link.session import (
    BoardLive,
    BoardSession,
    EdgesArrived,
    SetupPlan,
)
from panelbridge.link.wire import Captured
from panelbridge.signals import HornPattern, Outputs
from tests.firmware.pico_bench import PicoBench, need_micropython

STEP_S = 0.002


@pytest.fixture(autouse=True, scope="module")
def tools() -> None:
    """These tests need no compiler."""
    need_micropython()


def panel() -> PanelFile:
    on: dict[str, Any] = {"board": "main"}
    lines = {"data_pin": "GP10", "clock_pin": "GP11", "latch_pin": "GP12"}
    lamp_lines = {"data_pin": "GP3", "clock_pin": "GP6", "latch_pin": "GP13"}
    return PanelFile.model_validate(
        {
            "kind": "panel",
            "format": 2,
            "name": "Pico",
            "aircraft": "none.yaml",
            "boards": {
                "main": {
                    "board": "pico",
                    "chains": {
                        "knobs": {"form": "inputs", "chips": 2, **lines},
                        "lights": {"form": "outputs", "chips": 2, **lamp_lines},
                    },
                }
            },
            "switches": {
                "gear_handle": {
                    **on,
                    "form": "two_contact",
                    "up_pin": "knobs.0",
                    "down_pin": "knobs.15",
                },
                "horn_silence": {
                    **on,
                    "form": "contact",
                    "pin": "GP2",
                    "debounce_mode": "report_first",
                },
                "dimmer": {**on, "form": "lever", "pin": "GP26", "counts_at_1": 65535},
            },
            "lamps": {
                "nose_green": {**on, "pin": "lights.9", "colour": "green"},
                "nose_red": {**on, "pin": "GP5", "colour": "red"},
            },
            "horn": {**on, "pin": "GP8"},
            "gauges": {"hydraulic_pressure": {**on, "pin": "GP14"}},
        }
    )


class _Port(Opening):
    """The bench as an open port."""

    def __init__(self, bench: PicoBench) -> None:
        self._bench = bench

    def read(self) -> bytes:
        return self._bench.read()

    def write(self, data: bytes) -> None:
        self._bench.write(data)

    def close(self) -> None:
        """Does nothing: the test closes the bench."""

    def fileno(self) -> int | None:
        return None

    def result(self) -> _Port:
        return self

    def abandon(self) -> None:
        """Does nothing."""


class Rig:
    """A session and its board on one clock."""

    def __init__(self) -> None:
        self.bench = PicoBench()
        self.clock = VirtualClock()
        self.plan = SetupPlan.of(panel(), "main")
        self.session = BoardSession(self.plan, "/dev/pico", self._open)
        self.events: list[object] = []

    def _open(self, url: str, baud: int) -> Opening:
        return _Port(self.bench)

    def turn(self) -> None:
        self.bench.pass_time(STEP_S)
        self.clock.advance(STEP_S)
        self.events += self.session.poll(self.clock.now())

    def until(self, condition: Callable[[], bool], within_s: float = 5.0) -> None:
        end_s = self.clock.now() + within_s
        while not condition():
            assert self.clock.now() < end_s, self.events
            self.turn()

    def events_of(self, kind: type) -> list[Any]:
        return [event for event in self.events if isinstance(event, kind)]


@pytest.fixture
def rig() -> Iterator[Rig]:
    rig = Rig()
    yield rig
    rig.bench.close()


def test_a_panel_goes_live_and_works(rig: Rig) -> None:
    rig.bench.set_contact("D10.15", True)
    rig.bench.set_analogue("A0", 30_000)
    rig.until(lambda: bool(rig.events_of(BoardLive)))
    assert rig.events_of(BoardLive) == [BoardLive(0b010, (30_000,))]

    rig.session.command(
        rig.clock.now(),
        Outputs(
            {"nose_green": 3, "nose_red": 200},
            HornPattern.INTERMITTENT,
            {"hydraulic_pressure": 3000.0},
        ),
    )
    rig.until(lambda: rig.bench.chip_high("D3.9"))
    assert rig.bench.lamp("D5") == 200
    assert rig.bench.pin("D14")[3] == "1750"
    rig.until(lambda: rig.bench.sounding("D8"))

    rig.bench.set_contact("D10.15", False)
    rig.until(lambda: bool(rig.events_of(EdgesArrived)))
    rig.bench.set_contact("D10.0", True)
    rig.bench.set_contact("D2", True)
    rig.until(lambda: sum(len(e.edges) for e in rig.events_of(EdgesArrived)) == 3)
    edges = [(e.contact, e.closed) for event in rig.events_of(EdgesArrived) for e in event.edges]
    assert edges == [(1, False), (2, True), (0, True)]  # the button reports first

    assert rig.session.capture(rig.clock.now(), 0, 50)
    rig.until(lambda: bool(rig.events_of(Captured)))
    rig.bench.set_contact("D10.0", False)
    rig.until(lambda: len(rig.events_of(Captured)) == 2)
    seen = rig.events_of(Captured)[1]
    assert (seen.contact, seen.first_closed, seen.times_us) == (0, False, (0,))

    for _ in range(500):
        rig.turn()
    health = rig.session.health()
    assert (health.state.value, health.frame_errors, health.board_errors) == ("live", 0, 0)
    assert health.reconnects == 0


def test_a_board_that_restarts_is_set_up_again(rig: Rig) -> None:
    rig.until(lambda: bool(rig.events_of(BoardLive)))
    rig.session.command(rig.clock.now(), Outputs({"nose_red": 99}))
    rig.until(lambda: rig.bench.lamp("D5") == 99)
    rig.bench.reset()
    assert rig.bench.lamp("D5") == 0
    rig.until(lambda: len(rig.events_of(BoardLive)) == 2)
    rig.until(lambda: rig.bench.lamp("D5") == 99)
    assert rig.session.health().reconnects == 1
