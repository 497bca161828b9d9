"""Warnings of values that the feed of a panel leaves out, and what suffers."""

from __future__ import annotations

from pathlib import Path

import pytest

from panelbridge.config.load import check_file
from panelbridge.config.shipped import shipped_config
from panelbridge.errors import ConfigError

PANEL = shipped_config("panels/four_engine_freighter_panel.yaml")
FEED = shipped_config("feeds/four_engine_freighter_downwind.yaml")


def warnings(folder: Path, feed: str, radius: str = "wheel_radius_m: 0.63") -> list[str]:
    aircraft = shipped_config("aircraft/four_engine_freighter.yaml").read_text("utf-8")
    (folder / "aircraft.yaml").write_text(aircraft.replace("wheel_radius_m: 0.63", radius), "utf-8")
    (folder / "feed.yaml").write_text(feed, "utf-8")
    lines = [
        "feed: feed.yaml" if line.startswith("feed:") else line
        for line in PANEL.read_text("utf-8").splitlines()
    ]
    text = "\n".join(lines)
    name = next(line for line in lines if line.startswith("aircraft:"))
    (folder / "panel.yaml").write_text(text.replace(name, "aircraft: aircraft.yaml"), "utf-8")
    found = check_file(folder / "panel.yaml").warnings
    assert all(one.is_warning and one.line for one in found)
    return [one.what for one in found]


@pytest.mark.parametrize(
    ("left_out", "radius", "says"),
    [
        ("", "wheel_radius_m: 0.63", ""),
        ("ground_speed_kt", "wheel_radius_m: 0.63", "wheels that all lock together"),
        ("ground_speed_kt", "wheel_radius_m: null", ""),
        ("wheels_rpm", "wheel_radius_m: null", "anti-skid fails there"),
    ],
)
def test_what_suffers(tmp_path: Path, left_out: str, radius: str, says: str) -> None:
    lines = FEED.read_text("utf-8").splitlines()
    kept = [line for line in lines if not left_out or not line.strip().startswith(left_out)]
    said = warnings(tmp_path, "\n".join(kept), radius)
    assert len(said) == bool(says)
    assert all(says in one for one in said)


@pytest.mark.parametrize("name", ["bus_voltage_v", "n1_2", "torque_1", "speed_brake"])
def test_a_feed_by_itself_may_give_what_only_some_aircraft_have(tmp_path: Path, name: str) -> None:
    path = tmp_path / "feed.yaml"
    text = f"kind: feed\nformat: 2\nname: Some\nsource: fixed\nvalues:\n  {name}: 0.5\n"
    path.write_text(text, "utf-8")
    assert check_file(path).warnings == ()
    path.write_text(text.replace(name, "n3_1"), "utf-8")
    with pytest.raises(ConfigError, match="there is no aircraft value 'n3_1'"):
        check_file(path)
