"""What a link leaves out, and which systems suffer, when a panel is checked with it."""

from __future__ import annotations

from pathlib import Path

import pytest

from panelbridge.config.load import check_file, load_panel
from panelbridge.config.shipped import shipped_config, shipped_folder
from panelbridge.errors import ConfigError

DEMO = shipped_config("panels/demo_panel.yaml")
FIRST = shipped_config("panels/first_lamp.yaml")
LINKS = sorted(path.stem for path in (shipped_folder() / "feeds").glob("link_*.yaml"))


def warnings(feed: str, panel: Path = DEMO) -> list[str]:
    found = check_file(panel, feed=shipped_config(f"feeds/{feed}.yaml")).warnings
    return [one.what for one in found if one.file == str(panel)]


def test_the_systems_are_named() -> None:
    said = warnings("link_json")
    assert "the feed 'JSON' gives no 'mass_kg': brake heat does without" in said
    assert "the feed 'JSON' gives no 'speed_brake' or 'trim': take-off does without" in said
    assert not any("left_pedal" in one for one in said)  # the panel has its own


def test_a_small_panel_misses_less() -> None:
    assert warnings("link_text", FIRST) == []
    assert warnings("link_text") != []


@pytest.mark.parametrize("name", LINKS)
def test_every_shipped_link_fits_the_demonstration_panel(name: str) -> None:
    loaded = load_panel(DEMO, shipped_config(f"feeds/{name}.yaml"))
    assert loaded.feed_path == shipped_config(f"feeds/{name}.yaml")


def test_errors_of_panel_and_given_feed_at_once(tmp_path: Path) -> None:
    feed = tmp_path / "feed.yaml"
    text = shipped_config("feeds/link_text.yaml").read_text("utf-8")
    feed.write_text(text.replace("throttles:", "throttels:"), "utf-8")
    panel = tmp_path / "panel.yaml"
    aircraft = shipped_config("aircraft/first_steps.yaml").as_posix()
    text = FIRST.read_text("utf-8").replace("../aircraft/first_steps.yaml", aircraft)
    panel.write_text(text.replace("D9", "D99"), "utf-8")
    with pytest.raises(ConfigError) as caught:
        load_panel(panel, feed)
    assert {Path(one.file).name for one in caught.value.problems} == {"feed.yaml", "panel.yaml"}


def test_there_are_five() -> None:
    assert len(LINKS) == 5
