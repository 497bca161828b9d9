"""Words of messages."""

from __future__ import annotations

import pytest

from panelbridge.config.words import counted, did_you_mean, listed, nearest, quoted

NAMES = ["gear_handle", "horn_silence", "mega2560", "uno", "COM5"]


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("gear_handel", "gear_handle"),
        ("Gear-Handle", "gear_handle"),
        ("GEAR HANDLE", "gear_handle"),
        ("mega", "mega2560"),
        ("Arduino Mega 2560", "mega2560"),
        ("Arduino UNO", "uno"),
        ("com5", "COM5"),
        ("silence_horn", "horn_silence"),
        ("flaps", None),
        ("", None),
        ("g", None),
        ("x" * 10_000, None),
    ],
)
def test_nearest(written: str, meant: str | None) -> None:
    assert nearest(written, NAMES) == meant


def test_did_you_mean() -> None:
    assert did_you_mean("unno", NAMES) == "Did you mean 'uno'?"
    assert did_you_mean("flaps", NAMES) == ""
    assert did_you_mean("flaps", []) == ""


def test_listed() -> None:
    assert listed([]) == ""
    assert listed(["a"]) == "a"
    assert listed(["a", 1]) == "a or 1"
    assert listed(["a", "b", "c"], "and") == "a, b and c"


def test_quoted_is_one_short_line() -> None:
    assert quoted("a") == "'a'"
    assert quoted("a\nb\x07c") == "'a?b?c'"
    assert quoted("x" * 100) == f"'{'x' * 37}...'"


def test_counted() -> None:
    assert counted(1, "lamp") == "1 lamp"
    assert counted(0, "lamp") == "0 lamps"
    assert counted(2, "switch", "switches") == "2 switches"
