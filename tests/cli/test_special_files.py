"""Paths that name no regular file are refused before they are opened, wherever they are named.

An open pipe without a writer would block for ever, a device may never end, and opening a serial
port restarts many boards.
"""

from __future__ import annotations

import os
import re
import shutil
import socket
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from panelbridge.bench.scenario_search import kind_of
from panelbridge.cli.app import run_app
from panelbridge.config.shipped import shipped_folder
from panelbridge.config.yaml_text import MAX_BYTES

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="POSIX's special files")

NAME = "odd.yaml"
_refused: set[str] = set()


def _refuse_to_open(event: str, arguments: tuple[object, ...]) -> None:
    """An open that would wait for ever fails at once instead; everything else is left alone."""
    if _refused and event == "open" and str(arguments[0]).endswith(tuple(_refused)):
        raise AssertionError(f"{arguments[0]} was opened")


sys.addaudithook(_refuse_to_open)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A folder with a panel, its aircraft and its feed, in which ``NAME`` is never opened."""
    for name in ("panels/first_lamp.yaml", "aircraft/first_steps.yaml", "feeds/parked.yaml"):
        shutil.copy(shipped_folder() / name, tmp_path)
    panel = tmp_path / "first_lamp.yaml"
    text = re.sub(r"\.\./\w+/", "", panel.read_text("utf-8"))
    panel.write_text(f"{text}feed: parked.yaml\n", "utf-8")
    monkeypatch.chdir(tmp_path)
    _refused.add(NAME)
    yield tmp_path
    _refused.clear()


def make_pipe() -> None:
    os.mkfifo(NAME)


def make_socket() -> None:
    with socket.socket(socket.AF_UNIX) as end:
        end.bind(NAME)


def make_device() -> None:
    Path(NAME).symlink_to("/dev/zero")


def make_linked_pipe() -> None:
    os.mkfifo("pipe")
    Path(NAME).symlink_to("pipe")


THINGS = {
    "this is a folder, not a file": lambda: Path(NAME).mkdir(),
    "this is a pipe, not a file": make_pipe,
    "this is a socket, not a file": make_socket,
    "this is a device, not a file": make_device,
}


def scenario(lines: str) -> list[str]:
    head = "kind: scenario\nformat: 2\nname: Test\n"
    Path("scenario.yaml").write_text(f"{head}{lines}", "utf-8")
    return ["check", "scenario.yaml"]


def edited(old: str, new: str) -> list[str]:
    panel = Path("first_lamp.yaml")
    text = panel.read_text("utf-8")
    assert text.count(f"\n{old}\n") == 1
    panel.write_text(text.replace(f"\n{old}\n", f"\n{new}\n"), "utf-8")
    return ["check", str(panel)]


STEP = "steps:\n  - after_s: 1\n"
PLACES: dict[str, Callable[[], list[str]]] = {
    "check": lambda: ["check", NAME],
    "names": lambda: ["names", NAME],
    "run": lambda: ["run", NAME, "--simulate", "--headless"],
    "run --feed": lambda: ["run", "first_lamp.yaml", "--simulate", "--headless", "--feed", NAME],
    "demo": lambda: ["demo", "--headless", "--panel", NAME],
    "simboard": lambda: ["simboard", "--panel", NAME],
    "bench --panel": lambda: [
        *("bench", *scenario(f"aircraft: first_steps.yaml\n{STEP}")[1:]),
        *("--port", "simboard://a", "--panel", NAME),
    ],
    "an aircraft in a panel": lambda: edited("aircraft: first_steps.yaml", f"aircraft: {NAME}"),
    "a feed in a panel": lambda: edited("feed: parked.yaml", f"feed: {NAME}"),
    "an aircraft in a scenario": lambda: scenario(f"aircraft: {NAME}\n{STEP}"),
    "a panel in a scenario": lambda: scenario(f"panel: {NAME}\n{STEP}"),
    "an include": lambda: scenario(f"aircraft: first_steps.yaml\nsteps:\n  - include: {NAME}\n"),
}


@pytest.mark.parametrize("place", PLACES)
def test_a_pipe_is_refused_wherever_it_is_named(
    place: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    make_pipe()
    arguments = PLACES[place]()
    assert run_app(arguments) == 2
    said = capsys.readouterr().err
    assert "this is a pipe, not a file" in said
    assert NAME in said.splitlines()[0]


@pytest.mark.parametrize("words", THINGS)
def test_what_is_no_file_is_called_by_its_name(
    words: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    THINGS[words]()
    assert run_app(["names", NAME]) == 2
    assert f"{NAME}: {words}" in capsys.readouterr().err


@pytest.mark.parametrize("make", [make_pipe, make_socket, make_device, make_linked_pipe])
def test_a_folder_of_scenarios_may_hold_one(
    make: Callable[[], None], folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    make()
    assert kind_of(Path(NAME)) == ""
    assert run_app(["bench", "."]) == 2
    assert f"{NAME}: this is a" in capsys.readouterr().err


def test_a_link_to_a_file_is_that_file(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "link.yaml").symlink_to("first_lamp.yaml")
    (folder / "dead.yaml").symlink_to("gone.yaml")
    assert run_app(["check", "link.yaml"]) == 0
    assert run_app(["check", "dead.yaml"]) == 2
    assert "there is no such file" in capsys.readouterr().err


def test_no_more_of_a_file_is_read_than_its_bound(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    long = folder / "long.yaml"
    long.write_text("#" * MAX_BYTES + "\nkind: feed\n", "utf-8")
    assert run_app(["check", "long.yaml"]) == 2
    assert f"larger than {MAX_BYTES // 1024} KiB" in capsys.readouterr().err
    assert kind_of(long) == ""


def test_a_name_that_is_too_long_is_no_traceback(capsys: pytest.CaptureFixture[str]) -> None:
    assert run_app(["bench", "x" * 5000]) == 2
    assert "there is no such file or folder" in capsys.readouterr().err
