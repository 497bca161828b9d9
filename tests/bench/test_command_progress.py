"""The bar of long runs: on a terminal's stderr only, and never in the way of the lines."""

from __future__ import annotations

import io

import pytest

from panelbridge.bench.reports.progress import LONG_RUN, progress_bar


class Terminal(io.StringIO):
    """A stream that is a terminal."""

    def isatty(self) -> bool:
        return True


def _run(count: int) -> None:
    with progress_bar(count, "running scenarios") as tell:
        for number in range(count):
            print(f"line {number}")
            tell()


def _streams(monkeypatch: pytest.MonkeyPatch) -> tuple[io.StringIO, io.StringIO]:
    out, err = io.StringIO(), Terminal()
    monkeypatch.setattr("sys.stdout", out)
    monkeypatch.setattr("sys.stderr", err)
    monkeypatch.setenv("TERM", "xterm")
    return out, err


def _lines(count: int) -> list[str]:
    return [f"line {number}" for number in range(count)]


def test_a_long_run_on_a_terminal_has_a_bar(monkeypatch: pytest.MonkeyPatch) -> None:
    out, err = _streams(monkeypatch)
    _run(LONG_RUN)
    assert out.getvalue().splitlines() == _lines(LONG_RUN)  # a file gets its lines untouched
    assert "running scenarios" in err.getvalue()
    assert f"{LONG_RUN}/{LONG_RUN}" in err.getvalue()


def test_a_short_run_has_none(monkeypatch: pytest.MonkeyPatch) -> None:
    out, err = _streams(monkeypatch)
    _run(LONG_RUN - 1)
    assert out.getvalue().splitlines() == _lines(LONG_RUN - 1)
    assert err.getvalue() == ""


def test_without_a_terminal_there_is_none(capsys: pytest.CaptureFixture[str]) -> None:
    _run(LONG_RUN + 1)
    out, err = capsys.readouterr()
    assert out.splitlines() == _lines(LONG_RUN + 1)
    assert err == ""
