"""The attacks in virtual time find what they look for: each is lost to something that is broken."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import pytest

if sys.platform == "win32":
    pytest.skip("POSIX only", allow_module_level=True)

from panelbridge.link.session import live_dialogue
from panelbridge.link.session.board_session import BoardSession
from panelbridge.link.wire import frames
from panelbridge.link.wire.setup_messages import SetupItem
from panelbridge.simboard.board import inputs
from tests.worst_day.attack import HEADING, Ground, Survived, Tally
from tests.worst_day.attacks import ATTACKS

CASES = {(attack.name, name): case for attack in ATTACKS for name, case in attack.cases.items()}


def lost(attack: str, name: str, folder: Path, times: int = 1) -> list[str]:
    tally = Tally(attack)
    tally.strike(name, CASES[attack, name], Ground(folder, 1, times))
    return tally.lost


def test_damage_is_lost_without_the_checksum(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(frames, "crc_hqx", lambda data, start: 0)
    assert lost("damaged", "damaged frames", tmp_path, 3_000)


def test_damage_is_lost_to_a_board_that_forgets_edges(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    def forget_all(queue: inputs.EdgeQueue, next_expected: int) -> None:
        queue.first = (queue.first + len(queue)) % 65536
        queue._edges.clear()

    monkeypatch.setattr(inputs.EdgeQueue, "acknowledge", forget_all)
    assert lost("damaged", "damaged frames", tmp_path, 3_000)


def test_damage_is_lost_to_a_program_that_prints(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    poll = BoardSession.poll

    def and_print(self: BoardSession, now_s: float) -> Any:
        print("hello")
        return poll(self, now_s)

    monkeypatch.setattr(BoardSession, "poll", and_print)
    assert "printed: hello" in lost("damaged", "damaged frames", tmp_path, 10)[0]


def test_unplugs_are_lost_when_no_lamp_follows(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(BoardSession, "command", lambda *_: None)
    assert "lamps" in lost("unplugs", "unplugs", tmp_path, 10)[0]


def test_replays_are_lost_without_sequence_numbers(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(live_dialogue, "_HALF", 70_000)
    assert "an old one" in lost("hostile", "replayed and reordered", tmp_path)[0]


def test_a_flood_is_lost_to_a_parser_that_keeps_everything(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(frames, "MAX_ENCODED", 1 << 30)
    monkeypatch.setattr(frames.FrameParser, "reset", lambda parser: None)
    assert "bytes" in lost("hostile", "flood without an end of frame", tmp_path)[0]


def test_wrong_lengths_are_lost_to_a_session_that_raises(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    def raises(*_: object) -> None:
        raise IndexError("no such contact")

    monkeypatch.setattr(live_dialogue.LiveDialogue, "take_report", raises)
    assert "IndexError" in lost("hostile", "replies to nothing", tmp_path)[0]


def test_polls_are_lost_to_a_board_that_raises(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    def raises(message: bytes) -> SetupItem:
        raise ValueError("too short")

    monkeypatch.setattr(SetupItem, "unpack", raises)
    assert "ValueError" in lost("polls", "simulated board", tmp_path, 100)[0]


def test_the_table_counts() -> None:
    tally = Tally("fault", survived=1, lost=["a: b"], recoveries_s=[0.5])
    assert tally.row() == "| fault | 2 | 1 | 1 | 0.50 s |"
    assert tally.recovery() == ""
    tally.recoveries_s.append(1.5)
    assert "median 1.00 s" in tally.recovery()
    assert HEADING.splitlines()[0].count("|") == tally.row().count("|")
    assert Survived().count == 1
