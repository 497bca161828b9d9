"""What the screen gets from a panel file."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from panelbridge.cli.screen import fitted_switches, horn_board_of, looks_of
from panelbridge.config.load import LoadedPanel, load_panel
from panelbridge.config.shipped import shipped_config
from panelbridge.dashboard.interfaces import LampLook
from panelbridge.logic.inventory import lamps_of
from tests.logic.whole_aircraft import KINDS


@pytest.fixture
def two_boards() -> LoadedPanel:
    return load_panel(shipped_config("panels/two_boards.yaml"))


def test_every_lamp_is_known_with_the_board_that_lights_it(two_boards: LoadedPanel) -> None:
    looks = looks_of(two_boards)
    assert [look.name for look in looks] == list(two_boards.panel.lamps)
    assert looks[0] == LampLook("nose_green", "NOSE", "green", "gear_panel")
    assert LampLook("steering_green", "STEERING", "green", "pedestal") in looks


def test_lamps_that_are_not_fitted_are_not_known() -> None:
    loaded = load_panel(shipped_config("panels/first_lamp.yaml"))
    assert [look.name for look in looks_of(loaded)] == ["nose_green", "left_green", "right_green"]
    assert [switch.name for switch in fitted_switches(loaded)] == ["gear_handle", "horn_silence"]


def test_a_lamp_without_a_legend_has_the_one_that_is_declared(two_boards: LoadedPanel) -> None:
    plain = load_panel(shipped_config("panels/first_lamp.yaml"))
    assert [look.label for look in looks_of(plain)] == ["NOSE", "LEFT", "RIGHT"]
    lamps = two_boards.panel.lamps
    own = lamps["steering_green"].model_copy(update={"legend": "WHEEL"})
    panel = two_boards.panel.model_copy(update={"lamps": {**lamps, "steering_green": own}})
    labels = {look.name: look.label for look in looks_of(replace(two_boards, panel=panel))}
    assert labels["steering_green"] == "WHEEL"


@pytest.mark.parametrize("kind", KINDS)
def test_every_declared_legend_fits_a_small_tile(kind: str) -> None:
    aircraft = KINDS[kind]
    seen: dict[tuple[str, str], str] = {}
    for name, lamp in lamps_of(aircraft).items():
        if name in aircraft.own_lamps:
            continue
        words = lamp.legend.split(" ")
        assert all(0 < len(word) <= 10 for word in words), name
        assert len(words) <= 2, name
        assert lamp.legend == lamp.legend.upper()
        assert seen.setdefault((lamp.legend, lamp.colour), name) == name


def test_the_horn_is_known_with_its_board_or_as_missing(two_boards: LoadedPanel) -> None:
    assert horn_board_of(two_boards) == "gear_panel"
    mute = two_boards.panel.model_copy(update={"horn": None})
    assert horn_board_of(replace(two_boards, panel=mute)) is None
