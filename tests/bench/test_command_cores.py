"""Scenarios on several processes: the same results in the same order, and a clean end."""

from __future__ import annotations

import multiprocessing
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from panelbridge.bench import crew as crew_module
from panelbridge.bench.command import bench_command
from panelbridge.bench.crew import Crew, crew_of
from panelbridge.bench.verdict.trace import ScenarioResult
from panelbridge.clock import LiveClock
from panelbridge.errors import LogicError
from tests.bench import stub_bench
from tests.bench.stub_bench import write


def _files(folder: Path, count: int = 7) -> list[Path]:
    """Files with none to three cases, some failing."""
    return [
        write(
            folder,
            f"{number:02}.yaml",
            *(f"case: c{case} {'fails' if case == 1 else 'passes'}" for case in range(number % 4)),
        )
        for number in range(count)
    ]


def _run(files: list[Path], jobs: int, *, traced: bool) -> list[ScenarioResult]:
    with crew_of(stub_bench.load, stub_bench.run, jobs=jobs, traced=traced) as crew:
        return list(crew.run(crew.load(files)))


@pytest.mark.parametrize("traced", [False, True])
def test_results_equal_those_of_one_process(tmp_path: Path, traced: bool) -> None:
    files = _files(tmp_path)
    alone = _run(files, 1, traced=traced)
    assert len(alone) == 9
    shared = _run(files, 3, traced=traced)
    assert shared == alone
    # What is frozen here is frozen when it comes from there.
    lamps = [type(s.outputs.lamps) for result in shared for s in result.trace.samples]
    assert lamps == [type(s.outputs.lamps) for result in alone for s in result.trace.samples]
    assert bool(lamps) is traced


def test_what_is_printed_is_the_same(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _files(tmp_path)
    told = []
    for jobs in (1, 2):
        assert bench_command([tmp_path], load=stub_bench.load, run=stub_bench.run, jobs=jobs) == 1
        told.append(capsys.readouterr())
    assert told[0] == told[1]
    assert told[0].out.count("FAILED  ") == 3


def test_mistakes_come_from_every_process(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for number in range(5):
        write(tmp_path, f"{number}.yaml", f"mistake: m{number}")
    assert bench_command([tmp_path], load=stub_bench.load, run=stub_bench.run, jobs=2) == 2
    err = capsys.readouterr().err
    assert [f"m{number}" for number in range(5)] == [w for w in err.split() if w[0] == "m"][:5]
    assert "5 mistakes: nothing was run" in err


def test_one_long_table_is_shared_out_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(crew_module, "MANY_CASES", 40)
    monkeypatch.setattr(os, "cpu_count", lambda: 2)
    file = write(tmp_path, "a.yaml", *(f"case: c{number} passes" for number in range(40)))
    with crew_of(stub_bench.load, stub_bench.run) as crew:
        loads = crew.load([file])
        assert crew.processes == 1
        results = list(crew.run(loads))
        assert crew.processes == 2
    assert [result.plan.case for result in results] == [f"c{number}" for number in range(40)]


def test_few_scenarios_need_no_other_process(tmp_path: Path) -> None:
    with crew_of(stub_bench.load, stub_bench.run) as crew:
        assert len(list(crew.run(crew.load(_files(tmp_path))))) == 9
        assert crew.processes == 1


def test_whoever_loaded_a_file_runs_its_cases() -> None:
    crew = Crew(stub_bench.load, stub_bench.run)
    a, b = Path("a"), Path("b")
    crew._holders.update({a: 0, b: 1})
    chunks = crew._chunks([(a, 0), (b, 0), (a, 1), (a, 2), (b, 1)], 2)
    assert chunks == [(0, [(a, 0), (a, 1)]), (1, [(b, 0), (b, 1)]), (0, [(a, 2)])]


def _interrupted_run(files: list[Path]) -> None:
    with crew_of(stub_bench.load, stub_bench.run, jobs=2) as crew:
        for _ in crew.run(crew.load(files)):
            raise KeyboardInterrupt


def test_no_process_is_left_after_an_interrupt(tmp_path: Path) -> None:
    files = _files(tmp_path, 8)
    with pytest.raises(KeyboardInterrupt):
        _interrupted_run(files)
    assert multiprocessing.active_children() == []


def test_a_worker_that_dies_is_told(tmp_path: Path) -> None:
    files = [
        write(tmp_path, "a.yaml", "case: one passes"),
        write(tmp_path, "b.yaml", "case: one dies"),
    ]
    with pytest.raises(LogicError, match="in the middle of its work"):
        _run(files, 2, traced=False)
    assert multiprocessing.active_children() == []


_PROGRAM = """
import signal
import sys
from pathlib import Path
from panelbridge.bench.command import bench_command
from tests.bench import slow_bench

if __name__ == "__main__":
    # Whatever a shell starts in the background inherits an ignored Ctrl-C.
    signal.signal(signal.SIGINT, signal.default_int_handler)
    sys.exit(
        bench_command([Path(sys.argv[1])], load=slow_bench.load, run=slow_bench.run, jobs=2)
    )
"""


@pytest.mark.skipif(os.name == "nt", reason="a terminal's Ctrl-C is sent by POSIX means here")
def test_ctrl_c_at_a_terminal_ends_every_process_without_a_traceback(tmp_path: Path) -> None:
    """As a terminal does it: SIGINT to the whole group, in the middle of the work."""
    scenarios = tmp_path / "scenarios"
    for number in range(4):
        write(scenarios, f"{number}.yaml", "case: one passes", "case: two sleeps")
    program = tmp_path / "program.py"
    program.write_text(_PROGRAM, "utf-8")
    root = Path(__file__).parents[2]
    process = subprocess.Popen(
        [sys.executable, str(program), str(scenarios)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(root)},
        start_new_session=True,
    )
    with process:
        clock = LiveClock()
        while len(asleep := list(scenarios.glob("*.asleep"))) < 2 and clock.now() < 60.0:
            clock.sleep_until(clock.now() + 0.02)
        workers = [int(path.read_text("utf-8")) for path in asleep]
        os.killpg(process.pid, signal.SIGINT)
        out, err = process.communicate(timeout=60)
    assert len(workers) == 2, out + err
    assert err == "\ninterrupted\n"
    assert process.returncode == 130
    for worker in workers:
        with pytest.raises(ProcessLookupError):
            os.kill(worker, 0)
