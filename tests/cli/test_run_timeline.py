"""Timelines of ``run`` and ``demo``: written however the run ends, and bounded."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest
from msgspec.structs import replace

from panelbridge.bench.reports.file_kinds import SVG, VCD
from panelbridge.cli.app import run_app
from panelbridge.cli.run_options import TimelineOptions
from panelbridge.cli.run_timeline import RunTimeline
from panelbridge.config.load import load_panel
from panelbridge.config.shipped import shipped_config
from panelbridge.engine.assemble import assemble_demo
from panelbridge.engine.snapshot import Snapshot
from panelbridge.link.session import LinkState
from tests.bench.vcd_reading import read_vcd
from tests.examples import few_of

DEMO = shipped_config("panels/demo_panel.yaml")
REPOSITORY = Path(__file__).parents[2]


def test_a_demonstration_leaves_its_picture_and_its_waveform(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    picture, waveform = tmp_path / "flight.svg", tmp_path / "flight.vcd"
    options = ["--timeline", str(picture), "--vcd", str(waveform)]
    assert run_app(["demo", "--headless", "--speed", "1000", *options]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[-2].startswith(f"wrote {picture}: 199 s, ")
    assert lines[-1].startswith(f"wrote {waveform}: 199 s, ")
    text = picture.read_text(encoding="utf-8")
    assert SVG.mark in text
    assert "demonstration flight, 199 s" in text
    assert "gear_handle" in text
    assert "nose_green" in text
    assert "passed" not in text
    assert VCD.mark in waveform.read_text(encoding="ascii")


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--timeline", "run.png"], "a timeline cannot be a file that ends with '.png'"),
        (["--vcd", "run.svg"], "a waveform cannot be a file that ends with '.svg'"),
        (["--signals", "horn"], "Give --timeline or --vcd too"),
        (["--timeline", "run.svg", "--signals", "hron"], "no signal is named 'hron'"),
        (["--timeline", "no/such/run.svg"], "the folder of this file is not there"),
        (["--timeline", "foreign.svg"], "is not a timeline of this program"),
    ],
)
@pytest.mark.parametrize("command", [["demo"], ["run", str(DEMO), "--simulate"]])
def test_what_is_wrong_is_said_before_the_run(
    command: list[str],
    options: list[str],
    said: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("foreign.svg").write_text("mine")
    assert run_app([*command, "--headless", *options]) == 2
    assert said in capsys.readouterr().err
    assert Path("foreign.svg").read_text() == "mine"
    assert os.listdir() == ["foreign.svg"]


@pytest.mark.skipif(sys.platform == "win32", reason="there a signal ends it at once")
@pytest.mark.parametrize("stop", few_of([signal.SIGINT, signal.SIGTERM]))
def test_a_run_that_is_stopped_leaves_its_timeline(tmp_path: Path, stop: signal.Signals) -> None:
    path = tmp_path / "run.vcd"
    command = [sys.executable, "-m", "panelbridge", "run", str(DEMO), "--simulate", "--headless"]
    with subprocess.Popen(
        [*command, "--vcd", str(path)], cwd=REPOSITORY, stdout=subprocess.PIPE, text=True
    ) as process:
        assert process.stdout is not None
        for line in process.stdout:
            if "board_connected" in line:
                break
        process.send_signal(stop)
        rest = process.stdout.read()
    assert process.returncode == 0
    assert f"wrote {path}: " in rest
    assert VCD.mark in path.read_text(encoding="ascii")


@pytest.mark.skipif(sys.platform == "win32", reason="there is no pseudo-terminal")
@pytest.mark.parametrize("ending", ["q", "closed"])
def test_a_run_with_its_screen_leaves_its_timeline(tmp_path: Path, ending: str) -> None:
    path = tmp_path / "run.svg"
    master, slave = os.openpty()
    command = [sys.executable, "-m", "panelbridge", "demo", "--timeline", str(path)]
    process = subprocess.Popen(
        command,
        cwd=REPOSITORY,
        env={**os.environ, "TERM": "xterm"},
        stdin=slave,
        stdout=slave,
        stderr=slave,
        start_new_session=True,
    )
    os.close(slave)
    seen = b""
    while b"quit" not in seen:
        seen += os.read(master, 4096)
    if ending == "q":
        os.write(master, b"q")
        while True:
            try:
                seen += os.read(master, 4096)
            except OSError:
                break
        assert f"wrote {path}: ".encode() in seen
    os.close(master)
    assert process.wait() == 0
    assert SVG.mark in path.read_text(encoding="utf-8")


@cache
def snapshots_of_a_flight() -> tuple[Snapshot, ...]:
    found: list[Snapshot] = []
    loaded = load_panel(DEMO)
    made = assemble_demo(loaded, speed=10_000, stop_when_finished=True, on_snapshot=found.append)
    made.engine.run()
    made.close()
    return tuple(found)


def test_a_long_run_keeps_its_last_part_and_says_so(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    picture, waveform = tmp_path / "run.svg", tmp_path / "run.vcd"
    options = TimelineOptions((picture, waveform))
    record = RunTimeline(load_panel(DEMO), options, "run", most_samples=300)
    flight = snapshots_of_a_flight()
    for snapshot in flight:
        record.put_snapshot(snapshot)
    record.write()
    said = capsys.readouterr().out
    travel = read_vcd(waveform.read_text("ascii"))["leg.nose_travel"].tv
    begin_s = next(tick / 1e6 for tick, value in travel if value != "nan")
    assert flight[-1].time_s / 10 < begin_s < flight[-1].time_s
    assert f"the last {flight[-1].time_s - begin_s:.0f} s of the run" in said
    assert "run, its last " in picture.read_text(encoding="utf-8")


def test_lamps_of_a_lost_board_are_at_idle(tmp_path: Path) -> None:
    path = tmp_path / "run.vcd"
    record = RunTimeline(load_panel(DEMO), TimelineOptions((path,)), "run")
    flight = snapshots_of_a_flight()
    lit = next(
        one
        for one in flight
        if one.outputs.lamps.get("nose_green") and one.boards[0].state is LinkState.LIVE
    )
    dead = tuple(replace(board, state=LinkState.WAITING) for board in lit.boards)
    record.put_snapshot(lit)
    record.put_snapshot(replace(lit, boards=dead, time_s=lit.time_s + 1.0))
    record.write()
    values = [value for _, value in read_vcd(path.read_text("ascii"))["lamp.nose_green"].tv]
    assert values[-2:] == ["1", "0"]
