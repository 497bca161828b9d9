"""The shipped files: found in a checkout and in an installed package, and safe to begin with."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from pydantic import BaseModel

from panelbridge.config import shipped
from panelbridge.config.load import load_aircraft, load_panel
from panelbridge.config.shipped import shipped_config, shipped_folder
from panelbridge.config.yaml_source import read_yaml
from panelbridge.logic.inventory import gauges_of, lamps_of, solenoids_of, switches_of

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


def test_the_demonstration_panel_has_all_that_the_twin_jet_can_have() -> None:
    loaded = load_panel(shipped_config("panels/demo_panel.yaml"))
    panel, aircraft = loaded.panel, loaded.aircraft
    for group, needs in (
        (panel.switches, switches_of(aircraft)),
        (panel.gauges, gauges_of(aircraft)),
        (panel.solenoids, solenoids_of(aircraft)),
    ):
        assert {name for name, entry in group if entry is not None} == {*needs}
    assert {*panel.lamps} == {*lamps_of(aircraft)}
    assert panel.horn is not None
    assert panel.not_fitted == []
    assert [board.board for board in panel.boards.values()] == ["mega2560"]


def test_the_twin_jet_says_every_number_itself() -> None:
    """A builder who copies it finds every parameter there, none is left to its default."""
    source = read_yaml(shipped_config("aircraft/twin_jet.yaml")).value
    aircraft = load_aircraft(shipped_config("aircraft/twin_jet.yaml"))
    assert isinstance(source, dict)
    assert [*_left_out(aircraft, source, "")] == [
        "hydraulics.supplies[1].spool_up_s",  # of bleed air only
        "speed_limits.vlo_kias",  # instead of the two that stand there
        "night_light",  # the light in its handle is enough
        "own_switches",  # the turboprop has some
        "own_horn",
        "starts.parked.like",  # it is the first
    ]


def _left_out(model: BaseModel, source: dict[str, Any], place: str) -> Iterator[str]:
    for name in type(model).model_fields:
        if name not in source:
            yield f"{place}{name}"
            continue
        yield from _left_out_of(getattr(model, name), source[name], f"{place}{name}")


def _left_out_of(value: object, source: Any, place: str) -> Iterator[str]:
    if isinstance(value, BaseModel):
        yield from _left_out(value, source, f"{place}.")
    elif isinstance(value, list):
        for number, one in enumerate(value):
            yield from _left_out_of(one, source[number], f"{place}[{number}]")
    elif isinstance(value, dict):
        for name, one in value.items():
            yield from _left_out_of(one, source[name], f"{place}.{name}")


def test_the_first_panel_is_small() -> None:
    loaded = load_panel(shipped_config("panels/first_lamp.yaml"))
    panel = loaded.panel
    assert [name for name, entry in panel.switches if entry is not None] == [
        "gear_handle",
        "horn_silence",
    ]
    assert {*panel.lamps} == {"nose_green", "left_green", "right_green"}
    assert len(panel.not_fitted) <= 4
    assert [board.board for board in panel.boards.values()] == ["uno"]


def test_two_boards_has_the_pedestals_switches_on_the_pedestal() -> None:
    panel = load_panel(shipped_config("panels/two_boards.yaml")).panel
    assert {name: entry.board for name, entry in panel.boards.items()} == {
        "gear_panel": "mega2560",
        "pedestal": "uno",
    }
    brakes = ("parking_brake", "emergency_brake")
    for name in ("steering_button", "horn_silence", "dimmer", *brakes):
        assert getattr(panel.switches, name).board == "pedestal"


@pytest.mark.parametrize("path", PANELS, ids=lambda path: path.name)
def test_every_panel_warns_before_anything_is_wired_and_names_no_port(path: Path) -> None:
    head = path.read_text("utf-8").split("kind:")[0]
    assert "UNPLUG" in head
    assert "resistor" in head
    assert "README" in head
    assert "For simulation only." in head
    assert all(board.port is None for board in load_panel(path).panel.boards.values())
