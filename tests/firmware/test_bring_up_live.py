"""A bring-up of the Uno's own program, over a pty, in real time: two wires are exchanged.

No step has a time limit of its own: each waits for the next question.
"""

from __future__ import annotations

from pathlib import Path

from panelbridge.clock import LiveClock
from panelbridge.config.load import check_file, load_panel
from panelbridge.link.ports import PortOpener
from panelbridge.wiring.bring_up.bring_up_run import TURN_S, BringUpOptions, BringUpRun
from panelbridge.wiring.bring_up.prompts import Ask, PartState
from tests.firmware.live import LiveBoard
from tests.wiring.bring_up.robot import copy_of

WIRED = {"gear_handle": 4, "horn_silence": 2}  # the file has them the other way round
CLOSED_AT = {"down": True, "up": False, "pressed": True, "released": False}
REST_US = 300_000
"""Between two moves, of the board's own time: on a busy machine it stands still, and two moves that
it then sees at once would be a contact that bounces."""


class _Hand:
    """Moves the contact that is really wired to the switch that is asked for."""

    def __init__(self, board: LiveBoard) -> None:
        self._board = board
        self._ask: Ask | None = None
        self._closed = {"gear_handle": True, "horn_silence": False}
        self._next_us = 0.0

    def follow(self, ask: Ask) -> None:
        name = ask.name
        if name not in WIRED or self._still(name) < self._next_us:
            return
        if ask.kind == "strokes":
            wanted = not self._closed[name]
        elif ask.kind == "switch" and ask != self._ask:
            wanted = CLOSED_AT[str(ask.position)]
        else:
            return
        self._ask = ask
        self._closed[name] = wanted
        self._next_us = self._still(name) + REST_US

    def _still(self, name: str) -> float:
        """Hold the contact where it is; gives the board's time."""
        return self._board.set_contact(WIRED[name], self._closed[name])


def test_exchanged_wires_at_the_real_program(tmp_path: Path) -> None:
    path, link = copy_of("first_lamp.yaml", tmp_path), tmp_path / "board"
    board, clock = LiveBoard("uno", link, reset_on_open=True), LiveClock()
    try:
        board.set_contact(WIRED["gear_handle"], True)
        hand = _Hand(board)
        run = BringUpRun(
            load_panel(path),
            {"main": str(link)},
            clock=clock,
            opener=PortOpener(),
            options=BringUpOptions(only=[*WIRED]),
        )
        try:
            while not run.flow.finished:
                run.turn()
                ask = run.flow.prompt.ask
                if ask.kind in ("note", "change"):
                    run.key("enter")
                elif run.flow.is_ready:
                    hand.follow(ask)
                clock.sleep_until(clock.now() + TURN_S)
            records = run.flow.records
        finally:
            run.close()
    finally:
        board.close()
    assert {record.state for record in records.values()} == {PartState.CORRECTED}
    assert all("bounces for" in record.measured[0] for record in records.values())
    text = path.read_text("utf-8")
    assert "pin: D4" in text
    assert "horn_silence: D2" in text
    check_file(path)
