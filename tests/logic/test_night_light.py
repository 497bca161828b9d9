"""The light over the gear handle: common practice, no source."""

from __future__ import annotations

from typing import Any

import pytest

from panelbridge.logic.kit.world import World
from panelbridge.logic.lamps.facts import DIMMER, NIGHT
from panelbridge.logic.night_light.facts import NightLightFacts
from panelbridge.logic.night_light.parameters import NightLightParameters
from panelbridge.logic.night_light.system import NightLight
from tests.logic.stage import Stage


def stage(**numbers: Any) -> Stage[NightLight]:
    system = NightLight(NightLightParameters(**numbers))
    return Stage(system, {"night": NIGHT, "knob": DIMMER}, night=False, knob=1.0)


def burns(light: Stage[NightLight]) -> bool:
    light.hold()
    return light.lit == {"handle_light_white"}


@pytest.mark.parametrize(("night", "lit"), [(True, True), (False, False), (None, False)])
def test_it_burns_at_night_and_an_unknown_switch_is_day(night: bool | None, lit: bool) -> None:
    light = stage()
    light.after(1.0, night=night)
    assert burns(light) is lit


def test_the_knob_does_not_matter_unless_the_file_says_so() -> None:
    light = stage()
    light.after(1.0, knob=0.0)
    assert not burns(light)


@pytest.mark.parametrize(
    ("way", "lit"),
    [
        ((0.41,), False),
        ((0.4,), True),  # at the limit
        ((0.4, 0.449), True),  # within the play
        ((0.4, 0.46), False),
        ((0.4, 0.46, 0.41), False),  # it has to come back to the limit
        ((None,), False),  # unknown lights nothing
        ((0.4, None), True),  # lost, it stays as it was
    ],
)
def test_a_knob_turned_down_is_night_too(way: tuple[float | None, ...], lit: bool) -> None:
    light = stage(dimmer_at_most_fraction=0.4)
    for knob in way:
        light.after(1.0, knob=knob)
    assert burns(light) is lit


class _Counted(NightLight):
    looks = 0

    def update(self, now_s: float, world: World) -> NightLightFacts:
        self.looks += 1
        return super().update(now_s, world)


def test_a_knob_that_stays_above_its_limit_does_not_wake_it() -> None:
    system = _Counted(NightLightParameters(dimmer_at_most_fraction=0.4))
    light = Stage(system, {"knob": DIMMER}, knob=1.0)
    light.after(1.0, knob=0.9)
    looks = system.looks
    for knob in (0.8, 0.5, 0.41):
        light.after(1.0, knob=knob)
    assert system.looks == looks
    light.after(1.0, knob=0.39)
    assert system.looks == looks + 1
