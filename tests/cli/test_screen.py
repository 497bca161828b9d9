"""What the screen gets from a panel file."""

from __future__ import annotations

from dataclasses import replace

import pytest

from panelbridge.cli.screen import fitted_switches, horn_board_of, looks_of
from panelbridge.config.load import LoadedPanel, load_panel
from panelbridge.config.shipped import shipped_config
from panelbridge.dashboard.interfaces import LampLook


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


def test_the_horn_is_known_with_its_board_or_as_missing(two_boards: LoadedPanel) -> None:
    assert horn_board_of(two_boards) == "gear_panel"
    mute = two_boards.panel.model_copy(update={"horn": None})
    assert horn_board_of(replace(two_boards, panel=mute)) is None
