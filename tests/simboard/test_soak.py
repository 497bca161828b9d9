"""The soak of ``tests/benchmarks/link_soak.py``, short; and that it can fail."""

from __future__ import annotations

import pytest

from panelbridge.link.wire import frames
from panelbridge.simboard.board import inputs
from tests.benchmarks.link_soak import Soak, main


@pytest.mark.parametrize("bits", [False, True])
def test_no_edge_is_lost_or_wrong_on_a_line_that_damages_every_fiftieth_byte(bits: bool) -> None:
    result = Soak(2000, seed=11, bits=bits).run()
    assert result.passed, result
    assert (result.edges_made, result.edges_delivered) == (2000, 2000)
    # The line was really bad: about a quarter of the frames did not come through.
    for way in (result.to_board, result.to_host):
        assert 0.15 < way.damaged / way.sent < 0.45
        assert way.undetected == 0


def test_a_perfect_line_needs_little_more_than_a_report_an_edge() -> None:
    result = Soak(500, seed=2, flip=0.0, drop=0.0).run()
    assert result.passed, result
    assert result.to_board.damaged == result.to_host.damaged == 0


def test_a_cable_that_is_pulled_again_and_again_leaves_the_states_right() -> None:
    result = Soak(500, seed=5, unplug_after=99).run()
    assert result.passed, result
    assert result.links_lost == 5
    assert result.from_state_only > 0


def test_the_soak_fails_without_the_checksum(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(frames, "crc_hqx", lambda data, start: 0)
    result = Soak(2000, seed=11).run()
    assert result.to_board.undetected + result.to_host.undetected > 0
    assert not result.passed


def test_the_soak_fails_when_the_board_forgets_edges(monkeypatch: pytest.MonkeyPatch) -> None:
    def forget_all(queue: inputs.EdgeQueue, next_expected: int) -> None:
        queue.first = (queue.first + len(queue)) % 65536
        queue._edges.clear()

    monkeypatch.setattr(inputs.EdgeQueue, "acknowledge", forget_all)
    result = Soak(2000, seed=11).run()
    assert not result.passed


def test_the_command_prints_figures_and_tells_by_its_exit_code(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["--edges", "100", "--seed", "4"]) == 0
    text = capsys.readouterr().out
    assert "edges delivered        100" in text
    assert "detected" in text
    assert text.endswith("passed\n")
