"""The shipped files: found in a checkout and in an installed package, and safe to begin with."""

from __future__ import annotations

from pathlib import Path

import pytest

from panelbridge.config import shipped
from panelbridge.config.load import load_panel
from panelbridge.config.shipped import shipped_config, shipped_folder
from panelbridge.logic.inventory import gauges_of, switches_of

PANELS = sorted((shipped_folder() / "panels").glob("*.yaml"))


def test_found_in_a_checkout() -> None:
    assert shipped_config("panels/demo_panel.yaml").is_file()


def test_an_installed_package_carries_its_own(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    inside = tmp_path / "panelbridge" / "shipped_configs"
    (inside / "panels").mkdir(parents=True)
    (inside / "panels" / "x.yaml").touch()
    monkeypatch.setattr(shipped, "_PLACES", (inside, tmp_path / "configs"))
    assert shipped_config("panels/x.yaml") == inside / "panels" / "x.yaml"
    with pytest.raises(FileNotFoundError, match="panels/y"):
        shipped_config("panels/y.yaml")


def test_an_incomplete_installation(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shipped, "_PLACES", (tmp_path / "a", tmp_path / "b"))
    with pytest.raises(FileNotFoundError, match="no shipped configuration files"):
        shipped_folder()


def test_the_demonstration_panel_has_every_switch_and_gauge() -> None:
    loaded = load_panel(shipped_config("panels/demo_panel.yaml"))
    panel = loaded.panel
    needs = switches_of(loaded.aircraft)
    assert all(getattr(panel.switches, name) for name in needs if needs[name].required)
    assert all(getattr(panel.gauges, name) for name in gauges_of(loaded.aircraft))
    assert panel.horn is not None
    assert panel.not_fitted == []
    assert [board.board for board in panel.boards.values()] == ["mega2560"]


def test_two_boards_has_the_pedestals_switches_on_the_pedestal() -> None:
    panel = load_panel(shipped_config("panels/two_boards.yaml")).panel
    assert {name: entry.board for name, entry in panel.boards.items()} == {
        "gear_panel": "mega2560",
        "pedestal": "uno",
    }
    for name in ("steering_button", "horn_silence", "dimmer"):
        assert getattr(panel.switches, name).board == "pedestal"


@pytest.mark.parametrize("path", PANELS, ids=lambda path: path.name)
def test_every_panel_warns_before_anything_is_wired_and_names_no_port(path: Path) -> None:
    head = path.read_text("utf-8").split("kind:")[0]
    assert "UNPLUG" in head
    assert "resistor" in head
    assert "README" in head
    assert "For simulation only." in head
    assert all(board.port is None for board in load_panel(path).panel.boards.values())
