"""``panelbridge bench``: which files, in which order, what is printed, written and returned."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from panelbridge.bench.command import bench_command, numbered, write_timeline
from panelbridge.bench.scenario_search import find_scenarios
from panelbridge.errors import UsageError
from tests.bench import stub_bench
from tests.bench.made import approach
from tests.bench.stub_bench import write


def bench(paths: Sequence[Path | str], **options: Any) -> int:
    return bench_command(paths, load=stub_bench.load, run=stub_bench.run, **options)


# -- which files ------------------------------------------------------------------------------


def test_a_folder_is_searched_in_order_and_other_files_are_left_out(tmp_path: Path) -> None:
    write(tmp_path, "b.yaml")
    write(tmp_path, "a/z.yml")
    write(tmp_path, ".hidden/no.yaml")
    write(tmp_path, "c/.no.yaml")
    (tmp_path / "panel.yaml").write_text("# mine\nkind: 'panel'\n", "utf-8")
    (tmp_path / "notes.txt").write_text("kind: scenario\n", "utf-8")
    found = [file.relative_to(tmp_path).as_posix() for file in find_scenarios([tmp_path])]
    assert found == ["b.yaml", "a/z.yml"]


def test_a_slip_in_the_kind_is_not_left_out(tmp_path: Path) -> None:
    slip = tmp_path / "slip.yaml"
    slip.write_text("kind: scenaro\n", "utf-8")
    empty = tmp_path / "void.yaml"
    empty.write_text("name: forgot its kind\n", "utf-8")
    assert find_scenarios([tmp_path]) == [slip, empty]


def test_a_file_named_twice_runs_once_and_the_order_given_is_kept(tmp_path: Path) -> None:
    a, b = write(tmp_path, "a.yaml"), write(tmp_path, "b.yaml")
    (tmp_path / "deep").mkdir()
    assert find_scenarios([b, tmp_path, a, tmp_path / "deep" / ".." / "a.yaml"]) == [b, a]


def test_nothing_to_run_is_an_error(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="holds no scenario"):
        find_scenarios([tmp_path])
    with pytest.raises(UsageError, match="no such file or folder"):
        find_scenarios([tmp_path / "gone.yaml"])


# -- what is reported -----------------------------------------------------------------------------


def test_a_line_a_case_in_the_order_of_files(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    write(tmp_path, "b.yaml", "case: third passes")
    write(tmp_path, "a.yaml", "case: first passes", "case: second passes")
    assert bench([tmp_path]) == 0
    out, err = capsys.readouterr()
    lines = out.splitlines()
    assert [line.split()[:3] for line in lines[:3]] == [
        ["passed", "a", "[first]"],
        ["passed", "a", "[second]"],
        ["passed", "b", "[third]"],
    ]
    assert lines[3].startswith("3 scenarios: 3 passed, 0 failed")
    assert (len(lines), err) == (4, "")


def test_a_failure_is_reported_with_its_place_and_reasons(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = write(tmp_path, "a.yaml", "case: one fails", "case: two passes")
    assert bench([path]) == 1
    out = capsys.readouterr().out
    assert f"{path}:2:1 at 1.000 s" in out
    assert "does not hold" in out
    assert "leg locked down" in out
    assert out.index("FAILED  a [one]") < out.index("leg locked down") < out.index("a [two]")
    assert "1 passed, 1 FAILED" in out


def test_one_error_anywhere_and_nothing_runs(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    write(tmp_path, "a.yaml", "case: one fails")
    write(tmp_path, "b.yaml", "error: there is no lamp 'x'", "error: and no leg 'y'")
    write(tmp_path, "c.yaml", "error: no time")
    report = tmp_path / "report.xml"
    assert bench([tmp_path, tmp_path / "c.yaml"], junit=report) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.splitlines() == [
        f"{tmp_path / 'b.yaml'}:2:1: there is no lamp 'x'",
        "    Mend it",
        f"{tmp_path / 'b.yaml'}:3:1: and no leg 'y'",
        "    Mend it",
        f"{tmp_path / 'c.yaml'}:2:1: no time",
        "    Mend it",
        "3 errors: nothing was run",
    ]
    assert not report.exists()


def test_the_same_error_behind_several_scenarios_is_reported_once(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    write(tmp_path, "a.yaml")
    write(tmp_path, "b.yaml")

    def load(path: Path) -> Sequence[Any]:
        return stub_bench.load(write(tmp_path, "shared", "error: of the aircraft"))

    assert bench_command([tmp_path], load=load, run=stub_bench.run) == 2
    assert "1 error: nothing was run" in capsys.readouterr().err


def test_an_interrupt_ends_with_130_and_no_traceback(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    write(tmp_path, "a.yaml", "case: one passes", "case: two interrupts", "case: three passes")
    assert bench([tmp_path]) == 130
    out, err = capsys.readouterr()
    assert "a [one]" in out
    assert "a [three]" not in out
    assert err == "\ninterrupted\n"


# -- what is written --------------------------------------------------------------------------


def test_a_junit_report_counts_what_ran(tmp_path: Path) -> None:
    write(tmp_path, "a.yaml", "case: one fails", "case: two passes")
    report = tmp_path / "report.xml"
    assert bench([tmp_path], junit=report) == 1
    root = ET.parse(report).getroot()
    assert (root.get("tests"), root.get("failures")) == ("2", "1")
    assert [case.get("name") for case in root.iter("testcase")] == ["a [one]", "a [two]"]


def test_a_timeline_of_each_case_goes_into_files_with_numbers(tmp_path: Path) -> None:
    write(tmp_path, "a.yaml", "case: one passes", "case: two fails", "case: three passes")
    assert bench([tmp_path / "a.yaml"], timelines=[tmp_path / "run.vcd"]) == 1
    names = sorted(path.name for path in tmp_path.iterdir())
    assert names == ["a.yaml", "run-2.vcd", "run-3.vcd", "run.vcd"]
    assert "$enddefinitions" in (tmp_path / "run-3.vcd").read_text("utf-8")


@pytest.mark.parametrize("name", ["run.svg", "run.vcd", "RUN.SVG"])
def test_a_timeline_is_whole_or_not_there(
    tmp_path: Path, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / name
    write_timeline(approach(), path)
    before = path.read_bytes()
    assert (b"<svg" in before) == (path.suffix.lower() == ".svg")

    def half(*_: object) -> None:
        raise OSError(28, "no space left on device")

    monkeypatch.setattr("os.replace", half)
    with pytest.raises(UsageError, match="no space left on device"):
        write_timeline(approach(failing=True), path)
    assert path.read_bytes() == before
    assert [file.name for file in tmp_path.iterdir()] == [name]


def test_numbers_go_before_the_ending() -> None:
    assert numbered(Path("a/run.x.svg"), 1) == Path("a/run.x.svg")
    assert numbered(Path("a/run.x.svg"), 12) == Path("a/run.x-12.svg")


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"timelines": [Path("run.png")]}, r"--timeline: .*'.png'"),
        ({"timelines": [Path("run")]}, "picture or a waveform"),
        ({"timelines": [Path("no/such/run.svg")]}, "folder of this file is not there"),
        ({"junit": Path("no/such/report.xml")}, "folder of this file is not there"),
        ({"signals": ["horn"]}, "--signals: .*timeline"),
        ({"panel": Path("panel.yaml")}, "only with --port"),
    ],
)
def test_a_wrong_option_ends_before_anything_runs(
    tmp_path: Path, options: dict[str, Any], words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    write(tmp_path, "a.yaml", "case: one interrupts")
    with pytest.raises(UsageError, match=words):
        bench([tmp_path], **options)
    assert capsys.readouterr() == ("", "")


def test_a_folder_cannot_be_a_report(tmp_path: Path) -> None:
    write(tmp_path, "a.yaml", "case: one interrupts")
    with pytest.raises(UsageError, match="this is a folder"):
        bench([tmp_path], junit=tmp_path)


def test_coverage_has_whole_records_to_read(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    write(tmp_path, "a.yaml", "case: one passes")
    assert bench([tmp_path], coverage=True) == 0
    line = next(x for x in capsys.readouterr().out.splitlines() if "lamps dark" in x)
    assert line.split()[-3:] == ["10", "of", "10"]


def test_a_timeline_shows_the_signals_that_were_asked_for(tmp_path: Path) -> None:
    write(tmp_path, "a.yaml", "case: one passes")
    path = tmp_path / "run.vcd"
    assert bench([tmp_path], timelines=[path], signals=["nose_*", "horn"]) == 0
    names = [line.split()[4] for line in path.read_text("ascii").splitlines() if "$var" in line]
    assert {"horn", "nose_green", "nose_travel"} <= {*names}
    assert "airspeed_kias" not in names
    with pytest.raises(UsageError, match="no signal is named 'hron'"):
        bench([tmp_path], timelines=[path], signals=["hron"])
