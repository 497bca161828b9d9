"""``check`` warns of an aircraft file that is allowed and rarely meant, and the file stays good."""

from __future__ import annotations

from pathlib import Path

import pytest

from panelbridge.config import commands

GOOD = Path(__file__).parent / "bad" / "good"


def test_a_vle_below_vlo_is_warned_of_once(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """14 CFR 25.1515 does not forbid it."""
    for name in ("aircraft", "panel", "feed"):
        text = (GOOD / f"{name}.yaml").read_text("utf-8")
        if name == "aircraft":
            text += "speed_limits: { vlo_kias: 180, vle_kias: 170 }\n"
        (tmp_path / f"{name}.yaml").write_text(text, "utf-8")
    paths = [tmp_path / "aircraft.yaml", tmp_path / "panel.yaml"]
    assert commands.check(paths) == 0
    printed = capsys.readouterr()
    assert printed.out.count(": good ") == 2
    assert printed.err.count("warning: the gear may move at 180 knots") == 1
    assert "error" not in printed.err
