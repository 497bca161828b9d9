"""The commands ``run --publish``, ``watch`` and ``web`` as processes of their own."""

from __future__ import annotations

import json
import os
import re
import signal
import socket
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

import pytest

from panelbridge.cli.app import run_app
from panelbridge.cli.publishing import is_move, own_token
from panelbridge.cli.run_options import PublishOptions
from panelbridge.clock import LiveClock
from panelbridge.dashboard.interfaces import SwitchControl
from panelbridge.errors import UsageError
from panelbridge.watch.find_run import find_run, living_runs
from panelbridge.watch.run_files import published_runs
from panelbridge.watch.viewer_link import ViewerLink
from panelbridge.watch.watched_run import Liveness
from tests.own_process import Process

PANEL = "configs/panels/first_lamp.yaml"
RUN = ("run", PANEL, "--simulate", "--headless", "--publish")
pytestmark = pytest.mark.timeout(120)


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for name in ("HOME", "USERPROFILE"):
        monkeypatch.setenv(name, str(tmp_path))
    return tmp_path / ".panelbridge" / "runs"


@contextmanager
def running(*arguments: str) -> Iterator[Process]:
    process = Process(*arguments)
    try:
        process.wait_for("run_published")
        yield process
    finally:
        if process.is_running:
            process.stop()


@contextmanager
def watching(folder: Path, address: str | None = None) -> Iterator[ViewerLink]:
    link = ViewerLink(lambda: find_run(address, living_runs(folder), ""), LiveClock())
    try:
        link.start()
        yield link
    finally:
        link.close()


def until(condition: Callable[[], bool]) -> None:
    clock = LiveClock()
    while not condition():
        clock.sleep_until(clock.now() + 0.01)


def test_a_run_is_found_seen_and_ends_with_a_word(home: Path) -> None:
    with running(*RUN) as process:
        with watching(home) as link:
            until(lambda: "board_connected" in [one.name for one in link.snapshot().events])
            assert link.snapshot().panel_name == "First lamps"
            assert link.snapshot().boards[0].state == "live"
            assert link.status().is_live
            link.ask("move", "gear_handle", "up")  # read only: this sends the viewer away
            assert process.stop(signal.SIGINT) == 0
            until(lambda: link.status().liveness is not Liveness.LIVE)
        assert list(home.iterdir()) == []
        assert not any("gear_handle" in line for line in process.lines)


@pytest.mark.thorough
def test_the_end_is_said(home: Path) -> None:
    with running(*RUN) as process, watching(home) as link:
        until(lambda: link.snapshot().time_s > 0.1)
        assert process.stop() == 0
        until(lambda: link.status().liveness is Liveness.ENDED)
        assert link.status().text == "the run has ended"


@pytest.mark.skipif(sys.platform == "win32", reason="SIGKILL")
@pytest.mark.thorough
def test_a_run_that_is_killed_is_said_and_leaves_no_file(home: Path) -> None:
    with running(*RUN) as process, watching(home) as link:
        until(lambda: link.snapshot().time_s > 0.1)
        process.kill()
        until(lambda: link.status().liveness is Liveness.ENDED)
        assert "without a goodbye" in link.status().text
        until(lambda: not list(home.iterdir()))


@pytest.mark.skipif(sys.platform != "linux", reason="looks into /proc")
@pytest.mark.thorough
def test_a_publisher_that_is_killed_is_said_on_both_sides_and_the_run_goes_on(home: Path) -> None:
    with running(*RUN) as process, watching(home) as link:
        until(lambda: link.snapshot().time_s > 0.1)
        (_, run), *_ = published_runs(home)
        os.kill(publisher_of(run.process), signal.SIGKILL)
        until(lambda: link.status().liveness is Liveness.LOST)
        process.wait_for("publisher_lost")
        assert process.is_running
        assert process.stop() == 0


def publisher_of(process: int) -> int:
    """The process that this one has started."""
    children = Path(f"/proc/{process}/task/{process}/children").read_text().split()
    assert len(children) == 1
    return int(children[0])


def test_hands_move_the_switches_of_simulated_boards(home: Path) -> None:
    with running(*RUN, "--hands") as process, watching(home) as link:
        until(lambda: link.snapshot().positions.get("gear_handle") == "down")
        for order in (
            *(("move", "gear_handle", "sideways"), ("move", "no_such_switch", "up")),
            *(("move", "gear_handle", 0.5), ("fly_again",), ("fire",), ("move", "gear_handle")),
        ):
            link.ask(*order)
        link.ask("move", "gear_handle", "up")
        until(lambda: link.snapshot().positions["gear_handle"] == "up")
        assert process.is_running


@pytest.mark.thorough
def test_two_runs_are_both_named_and_each_can_be_watched(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with ExitStack() as stack:
        for _ in range(2):
            stack.enter_context(running(*RUN))
        found = living_runs(home)
        assert len(found) == 2
        with pytest.raises(UsageError, match="2 runs are published here"):
            find_run(None, found, "")
        for run in found:
            with watching(home, str(run.port)) as link:
                until(lambda link=link: link.snapshot().time_s > 0.1)  # type: ignore[misc]
        assert run_app(["watch", "--list"]) == 0
        said = capsys.readouterr().out
        assert all(run.address in said and run.token in said for run in found)


@pytest.mark.thorough
def test_another_address_is_warned_of_and_needs_the_token(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PANELBRIDGE_TOKEN", "a token of my own")
    with running(*RUN, "--publish-at", "0.0.0.0:0") as process:
        said = "\n".join(process.lines)
        assert "warning: what viewers see and do travels unencrypted" in said
        assert "!   run_published" in said
        assert "a token of my own" not in said
        (run,) = living_runs(home)
        assert run.token == "a token of my own"
        assert run.host == "0.0.0.0"


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["run", PANEL, "--simulate", "--headless", "--hands"], "--hands: it is for viewers"),
        (
            ["run", PANEL, "--port", "socket://x:1", "--publish", "--hands"],
            "switches of real boards",
        ),
        ([*RUN, "--publish-at", "192.0.2.1:7000"], "192.0.2.1:7000: this address cannot be had"),
        ([*RUN, "--publish-at", "http://x"], "not an address"),
        (["watch"], "no run of this user is published"),
        (["watch", "192.0.2.1:7000"], "the token of this run is needed"),
        (["watch", "--page", "cellar"], "there is no page 'cellar'"),
        (["web"], "no run of this user is published"),
        (["web", "--page", "cellar"], "the pages are"),
    ],
    ids=lambda value: " ".join(value[:1] + value[-2:]) if isinstance(value, list) else "",
)
def test_errors_are_plain_words_and_exit_code_2(
    arguments: list[str],
    words: str,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("panelbridge.cli.terminal._is_a_tty", lambda stream: True)
    monkeypatch.setenv("TERM", "xterm")
    assert run_app(arguments) == 2
    error = capsys.readouterr().err
    assert words in error
    assert "Traceback" not in error


def test_a_taken_port_is_a_plain_error(capsys: pytest.CaptureFixture[str]) -> None:
    with socket.create_server(("127.0.0.1", 0)) as server:
        port = server.getsockname()[1]
        assert run_app([*RUN, "--publish-at", f"127.0.0.1:{port}"]) == 2
    assert "this address cannot be had" in capsys.readouterr().err


def test_a_short_token_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PANELBRIDGE_TOKEN", "short")
    with pytest.raises(UsageError, match="5 characters: it could be guessed"):
        own_token()


def test_hands_are_wanted_only_with_viewers_and_simulated_boards() -> None:
    assert not PublishOptions().is_wanted(simulated=False)
    assert PublishOptions(publish=True).is_wanted(simulated=False)
    assert PublishOptions(at="desk:1").is_wanted(simulated=False)
    assert PublishOptions(publish=True, hands=True).is_wanted(simulated=True)
    with pytest.raises(UsageError, match="real boards"):
        PublishOptions(publish=True, hands=True).is_wanted(simulated=False)


HANDLE = SwitchControl("gear_handle", "Gear", "handle", ("up", "down"))
LEVER = SwitchControl("dimmer", "Dimmer", "lever")


@pytest.mark.parametrize(
    ("order", "wanted"),
    [
        *((["move", "gear_handle", "up"], True), (["move", "dimmer", 0.5], True)),
        *((["move", "dimmer", 1], True), (["move", "dimmer", 1.1], False)),
        *((["move", "dimmer", -0.1], False), (["move", "dimmer", "up"], False)),
        *((["move", "dimmer", float("nan")], False), (["move", "dimmer", True], False)),
        *((["move", "gear_handle", "left"], False), (["move", "gear_handle", 1], False)),
        *((["move", "other", "up"], False), (["move"], False), ([], False)),
        *((["move", "gear_handle", "up", "now"], False), (["move", 1, "up"], False)),
        (["move", "gear_handle", ["up"]], False),
    ],
    ids=json.dumps,
)
def test_an_order_moves_a_switch_to_one_of_its_positions_or_nothing(
    order: list[object], wanted: bool
) -> None:
    assert is_move(order, (HANDLE, LEVER)) is wanted


@pytest.mark.skipif(sys.platform == "win32", reason="SIGTERM")
@pytest.mark.thorough
def test_web_serves_until_it_is_stopped(home: Path) -> None:
    with running(*RUN):
        done = subprocess.Popen(
            [sys.executable, "-m", "panelbridge", "web", "--port", "0"],
            stdout=subprocess.PIPE,
            text=True,
        )
        assert done.stdout is not None
        with done.stdout as lines:
            first = lines.readline()
            found = re.fullmatch(r"open http://127\.0\.0\.1:(\d+)/\?token=(\w{32})\n", first)
            assert found, first
            with socket.create_connection(("127.0.0.1", int(found[1]))) as page:
                page.sendall(b"GET / HTTP/1.1\r\nHost: evil.example\r\n\r\n")
                assert page.recv(1000).startswith(b"HTTP/1.1 403 ")
            done.send_signal(signal.SIGTERM)
            assert done.wait() == 0
