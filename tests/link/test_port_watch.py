"""A port that comes back is used at once; one that has not changed is tried no more often."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from panelbridge.config.panel_file import PanelFile
from panelbridge.errors import LinkError, PortBusy, PortMissing
from panelbridge.link.ports import PortWatch
from panelbridge.link.wire.time_outs import BACK_OFF_FIRST_S, LOOK_EACH_S
from tests.link.bench import STEP_S, Bench

pytestmark = pytest.mark.skipif(os.name != "posix", reason="ports have no files")

MISSING = PortMissing("there is no such port", "/dev/fake")


def test_a_file_that_comes_is_seen_once(tmp_path: Path) -> None:
    port = tmp_path / "ttyACM0"
    watch = PortWatch(str(port))
    assert watch.can_see
    assert not watch.has_come()
    port.touch()
    assert watch.has_come()
    assert not watch.has_come()
    port.write_bytes(b"bytes change nothing")
    os.utime(port, ns=(1, 1))
    assert not watch.has_come()
    port.unlink()
    assert not watch.has_come()
    port.touch()
    assert watch.has_come()


def test_a_link_that_leads_to_another_device_is_seen(tmp_path: Path) -> None:
    for name in "ab":
        (tmp_path / name).touch()
    link = tmp_path / "board"
    link.symlink_to(tmp_path / "a")
    watch = PortWatch(str(link))
    link.unlink()
    link.symlink_to(tmp_path / "b")
    assert watch.has_come()
    (tmp_path / "b").unlink()
    assert not watch.has_come()  # it leads nowhere


def test_a_link_that_is_made_again_is_seen(tmp_path: Path) -> None:
    """A simulated board that was killed: its terminal's number may be the same again."""
    (tmp_path / "a").touch()
    link = tmp_path / "board"
    link.symlink_to(tmp_path / "a")
    os.utime(link, ns=(1, 1), follow_symlinks=False)
    watch = PortWatch(str(link))
    link.unlink()
    link.symlink_to(tmp_path / "a")
    assert watch.has_come()


@pytest.mark.parametrize("url", ["socket://host:1", "simboard://gear", "rfc2217://host:1"])
def test_a_port_without_a_file_is_never_seen(url: str) -> None:
    watch = PortWatch(url)
    assert not watch.can_see
    assert not watch.has_come()


def test_a_port_that_is_back_is_opened_at_once(panel: PanelFile, tmp_path: Path) -> None:
    port = tmp_path / "ttyACM0"
    bench = Bench(panel, url=str(port))
    bench.outcomes = [MISSING] * 6
    bench.run(7.0)  # the next try is up to two seconds away
    tries = len(bench.opened)
    assert tries <= 6
    bench.outcomes.clear()
    port.touch()
    back_s = bench.clock.now()
    bench.run(LOOK_EACH_S + 2 * STEP_S)
    assert len(bench.opened) == tries + 1
    assert bench.opened[-1] <= back_s + LOOK_EACH_S + STEP_S


def test_a_port_that_is_back_and_not_ready_is_tried_with_short_waits(
    panel: PanelFile, tmp_path: Path
) -> None:
    """The system first makes the file, and gives the right to open it a moment later."""
    port = tmp_path / "ttyACM0"
    bench = Bench(panel, url=str(port))
    denied: LinkError = PortBusy("no permission to open the port", str(port))
    bench.outcomes = [MISSING] * 6
    bench.run(7.0)
    bench.outcomes = [denied, denied]
    port.touch()
    before = len(bench.opened)
    bench.run(LOOK_EACH_S + 4 * BACK_OFF_FIRST_S)
    waits = [b - a for a, b in zip(bench.opened[before:], bench.opened[before + 1 :], strict=False)]
    assert waits == pytest.approx([BACK_OFF_FIRST_S, 2 * BACK_OFF_FIRST_S], abs=2 * STEP_S)


def test_a_board_that_was_replaced_while_it_was_live_is_opened_at_once(
    panel: PanelFile, tmp_path: Path
) -> None:
    port = tmp_path / "board"
    port.symlink_to(tmp_path)
    bench = Bench(panel, url=str(port))
    bench.go_live()
    bench.run(1.0, reports=True)
    port.unlink()
    port.symlink_to(tmp_path / "..")
    bench.port.broken = True
    bench.run(3 * STEP_S)
    assert len(bench.opened) == 2


def test_a_port_that_stays_is_opened_no_more_often(panel: PanelFile, tmp_path: Path) -> None:
    """Opening it resets some boards: one that boots must be left in peace."""
    port = tmp_path / "ttyACM0"
    port.touch()
    bench, usual = Bench(panel, url=str(port)), Bench(panel, url="socket://host:1")
    for each in (bench, usual):
        each.peer.mute = True
        each.run(30.0)
    assert bench.opened == pytest.approx(usual.opened, abs=2 * STEP_S)


def test_looking_is_due_in_time(panel: PanelFile, tmp_path: Path) -> None:
    bench = Bench(panel, url=str(tmp_path / "ttyACM0"))
    bench.outcomes = [MISSING] * 9
    bench.run(4.0)
    now_s = bench.clock.now()
    assert now_s < bench.session.next_due_s <= now_s + LOOK_EACH_S
