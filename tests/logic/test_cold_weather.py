"""Cold-weather routine: common practice, no source."""

from __future__ import annotations

from math import inf, nan
from typing import Any

import pytest
from pydantic import ValidationError

from panelbridge.logic.air_ground.facts import AirGroundFacts
from panelbridge.logic.antiskid.facts import ANTISKID
from panelbridge.logic.brakes.facts import LEFT_BRAKE, RIGHT_BRAKE, BrakesFacts
from panelbridge.logic.cold_weather.parameters import ColdWeatherParameters
from panelbridge.logic.cold_weather.system import COLD_WEATHER, ColdWeather
from panelbridge.logic.gear.facts import GearFacts
from panelbridge.logic.kit.aircraft_cells import brake_pedal
from panelbridge.signals import GearPosition, Level
from tests.logic.spread_stage import Spread, SpreadStage
from tests.logic.stage import Input

UP, DOWN = GearPosition.UP, GearPosition.DOWN
NUMBERS: dict[str, Any] = {
    "leave_down_s": 100.0,
    "brake_pumps": 3,
    "pedal_pressed_fraction": 0.7,
    "pedal_released_fraction": 0.1,
}


NAMES: dict[str, Input] = {
    "cold_weather": COLD_WEATHER,
    "ground_for_commands": (AirGroundFacts, "ground_for_commands"),
    "air_for_warnings": (AirGroundFacts, "air_for_warnings"),
    "handle": (GearFacts, "handle"),
    "all_down": (GearFacts, "all_down"),
    "antiskid_on": ANTISKID,
    "left": LEFT_BRAKE,
    "right": RIGHT_BRAKE,
    "feed_left": brake_pedal(0),
    "feed_right": brake_pedal(1),
    "pressing": (BrakesFacts, "side_fractions"),
}
SPREAD: Spread = {
    "on_ground": lambda on_ground: {
        "ground_for_commands": on_ground is not False,
        "air_for_warnings": on_ground is not True,
    },
    "pedals": lambda both: {"left": both[0], "right": both[1]},
    "feed_pedals": lambda both: {"feed_left": both[0], "feed_right": both[1]},
}


class Scene(SpreadStage[ColdWeather]):
    """The routine with what a flight needs."""

    def __init__(
        self,
        found: dict[str, Any] | None = None,
        *,
        has_antiskid: bool = True,
        has_brakes: bool = True,
        **numbers: Any,
    ) -> None:
        parameters = ColdWeatherParameters(**{**NUMBERS, **numbers})
        super().__init__(
            ColdWeather(parameters, has_antiskid=has_antiskid, has_brakes=has_brakes),
            NAMES,
            SPREAD,
            **{
                "cold_weather": True,
                "on_ground": True,
                "handle": DOWN,
                "all_down": True,
                "antiskid_on": True,
                "pedals": (0.0, 0.0),
                "pressing": (1.0, 1.0),  # as far as the pedals: there is pressure
                **(found or {}),
            },
        )
        self.at(0.0)

    def take_off(self) -> None:
        self.after(1.0, on_ground=False)

    def land(self) -> None:
        self.after(1.0, on_ground=True)

    def raise_gear(self) -> None:
        self.after(1.0, handle=UP)
        self.after(1.0, all_down=False)

    def lower_gear(self) -> None:
        self.after(1.0, handle=DOWN)
        self.after(10.0, all_down=True)

    def pump(self, times: int = 1, *, left: float = 1.0, right: float = 1.0) -> None:
        for _ in range(times):
            self.after(0.3, pedals=(left, right))
            self.after(0.3, pedals=(0.0, 0.0))

    def on_approach(self) -> None:
        """Took off, waited, raised the gear and lowered it again."""
        self.take_off()
        self.after(200.0)
        self.raise_gear()
        self.lower_gear()
        self.events.clear()

    @property
    def horn(self) -> str:
        self.hold()
        return self.system.sounds().value

    @property
    def asks(self) -> Any:
        """What it asks for."""
        self.hold()
        return self.value("cold_weather_state")


LEAVE, PUMP, REMIND = "leave_gear_down_amber", "pump_brakes_amber", "antiskid_reminder_amber"


# -- after the take-off ---------------------------------------------------------------------------


def test_the_gear_is_left_down_for_the_set_time() -> None:
    cold = Scene()
    assert (cold.asks, cold.lit) == ("waiting", set())
    cold.take_off()
    assert (cold.asks, cold.lit) == ("leave_gear_down", {LEAVE})
    assert cold.value("leave_gear_down_s") == 100.0
    cold.at(100.9)
    assert cold.lit == {LEAVE}
    assert cold.value("leave_gear_down_s") == pytest.approx(0.1)
    cold.at(150.0)
    assert (cold.asks, cold.lit) == ("gear_may_be_raised", set())
    assert cold.value("leave_gear_down_s") == 0.0
    cold.raise_gear()
    assert (cold.asks, cold.horn) == ("waiting", "silent")
    assert cold.logged == [
        (1.0, "leave_gear_down_asked", ""),
        (101.0, "gear_may_be_raised", ""),
    ]
    assert cold.events[0].text == "keep the gear down for 100 s"
    assert [h.level for h in cold.events] == [Level.CAUTION, Level.INFO]


def test_one_minute_at_least() -> None:
    """The trade's check value: left down for at least one minute (common practice, no source)."""
    cold = Scene(leave_down_s=60.0)
    cold.take_off()
    cold.after(59.9)
    assert cold.lit == {LEAVE}
    cold.after(0.1)
    assert cold.lit == set()


def test_raised_early_it_warns_until_it_is_lowered_or_the_time_is_over() -> None:
    cold = Scene()
    cold.take_off()
    cold.after(10.0, handle=UP)
    assert (cold.horn, cold.lit) == ("intermittent", {LEAVE})
    cold.after(1.0, all_down=False)
    cold.after(1.0, handle=DOWN)
    assert cold.horn == "silent"
    cold.after(1.0, handle=UP)
    assert cold.horn == "intermittent"
    cold.at(100.99)
    assert cold.horn == "intermittent"
    cold.at(101.0)
    assert (cold.horn, cold.asks) == ("silent", "waiting")
    assert cold.logged[1:] == [
        (11.0, "gear_raised_early", ""),
        (14.0, "gear_raised_early", ""),
        (101.0, "gear_may_be_raised", ""),
    ]
    assert cold.events[1].level is Level.WARNING


def test_raised_early_and_lowered_again_nothing_is_pumped_before_the_time_is_over() -> None:
    cold = Scene()
    cold.take_off()
    cold.raise_gear()
    cold.lower_gear()
    assert cold.asks == "leave_gear_down"
    cold.after(200.0)
    assert cold.asks == "gear_may_be_raised", "still right after the take-off"


def test_a_handle_that_was_up_on_the_ground_warns_at_the_lift_off() -> None:
    cold = Scene()
    cold.after(1.0, handle=UP)
    assert cold.horn == "silent"
    cold.take_off()
    assert cold.horn == "intermittent"
    assert cold.names == ["leave_gear_down_asked", "gear_raised_early"]


@pytest.mark.parametrize("pattern", ["silent", "intermittent", "continuous"])
def test_the_horn_s_pattern_is_of_the_aircraft(pattern: str) -> None:
    cold = Scene(early_raise_pattern=pattern)
    cold.take_off()
    cold.raise_gear()
    assert cold.horn == pattern
    assert "gear_raised_early" in cold.names


def test_landing_or_switching_off_ends_the_time() -> None:
    for end in ({"on_ground": True}, {"cold_weather": False}):
        cold = Scene()
        cold.take_off()
        cold.after(10.0, **end)
        assert cold.lit == set()
        assert cold.loop.next_due_s == inf
        cold.after(1.0, on_ground=True, cold_weather=True)
        cold.after(1.0, on_ground=False)
        assert cold.value("leave_gear_down_s") == 100.0, "a new take-off, the whole time"


def test_landing_after_the_time_ends_it_too() -> None:
    cold = Scene()
    cold.take_off()
    cold.after(150.0)
    cold.land()
    assert cold.asks == "waiting"
    cold.take_off()
    assert cold.asks == "leave_gear_down"


def test_switched_off_or_on_too_late_nothing_is_asked() -> None:
    cold = Scene()
    cold.after(1.0, cold_weather=False)
    assert cold.asks == "off"
    cold.take_off()
    assert (cold.asks, cold.names) == ("off", [])
    unknown = Scene()
    unknown.after(1.0, on_ground=None)
    unknown.take_off()
    assert unknown.asks == "leave_gear_down", "lost in between: it took off all the same"


def test_a_flight_that_is_found_in_the_air_did_not_take_off() -> None:
    for first in (None, False):
        cold = Scene({"on_ground": first, "all_down": False, "handle": UP})
        cold.after(1.0, on_ground=False)
        assert (cold.asks, cold.names) == ("waiting", [])
    cold.lower_gear()
    assert cold.asks == "pump_brakes"


def test_unknown_inputs_leave_everything_as_it_is() -> None:
    cold = Scene()
    cold.take_off()
    cold.raise_gear()
    cold.after(1.0, cold_weather=None, on_ground=None, handle=None, antiskid_on=None)
    assert (cold.horn, cold.lit) == ("intermittent", {LEAVE})
    cold.at(101.0)
    assert cold.lit == set()


def test_a_switch_that_was_never_known_is_off() -> None:
    cold = Scene({"cold_weather": None})
    cold.take_off()
    assert cold.asks == "off"


# -- before the landing ---------------------------------------------------------------------------


def test_the_whole_approach() -> None:
    cold = Scene()
    cold.on_approach()
    assert (cold.asks, cold.lit) == ("pump_brakes", {PUMP})
    cold.pump(2)
    assert cold.value("brake_pumps_left") == 3.0, "not with anti-skid on"
    cold.after(1.0, antiskid_on=False)
    cold.pump()
    assert cold.value("brake_pumps_left") == 2.0
    cold.pump()
    cold.after(0.3, pedals=(1.0, 1.0))
    assert (cold.asks, cold.lit) == ("antiskid_on", {REMIND}), "counted when pressed"
    assert cold.value("brake_pumps_left") == 0.0
    cold.after(5.0, pedals=(0.0, 0.0))
    assert cold.lit == {REMIND}
    cold.after(1.0, antiskid_on=True)
    assert (cold.asks, cold.lit) == ("done", set())
    cold.after(1.0, antiskid_on=False)
    assert cold.asks == "done", "asked once"
    cold.land()
    assert cold.asks == "waiting"
    assert cold.names == ["brakes_pumped", "antiskid_switched_on_again"]


def test_the_asking_says_how_often() -> None:
    cold = Scene(brake_pumps=7)
    cold.take_off()
    cold.after(200.0)
    cold.raise_gear()
    cold.lower_gear()
    text = "before landing: anti-skid off, then pump the brakes 7 times"
    assert cold.events[-1].text == text
    cold.after(1.0, antiskid_on=False)
    cold.pump(6)
    assert cold.asks == "pump_brakes"
    cold.pump()
    assert cold.asks == "antiskid_on"
    text = "the brakes were pumped: switch anti-skid on again"
    assert cold.events[-1].text == text


def pumps_left(cold: Scene) -> Any:
    return cold.value("brake_pumps_left")


@pytest.mark.parametrize("pressing", [(0.0, 0.0), (1.0, 0.0), (0.0, 0.05)])
def test_pumping_counts_only_with_pressure_at_both_brakes(pressing: tuple[float, float]) -> None:
    """Three pumps are asked for: 3 left without pressure, 2 after one with it."""
    cold = Scene()
    cold.on_approach()
    cold.after(1.0, antiskid_on=False, pressing=pressing)
    cold.pump(5)
    assert pumps_left(cold) == 3.0
    cold.after(1.0, pedals=(1.0, 1.0))
    cold.after(1.0, pressing=(0.05, 0.05))
    assert pumps_left(cold) == 2.0, "pressure comes while the pedals are down"
    cold.after(1.0, pressing=(0.0, 0.0))
    cold.after(1.0, pressing=(1.0, 1.0))
    assert pumps_left(cold) == 2.0, "once for each press"


def test_an_aircraft_file_without_brakes_counts_the_pedals() -> None:
    cold = Scene(has_brakes=False)
    cold.on_approach()
    cold.after(1.0, antiskid_on=False, pressing=(0.0, 0.0))
    cold.pump()
    assert pumps_left(cold) == 2.0


def test_pumps_before_it_is_asked_do_not_count() -> None:
    cold = Scene()
    cold.after(1.0, antiskid_on=False)
    cold.pump(5)
    cold.on_approach()
    assert cold.value("brake_pumps_left") == 3.0


def test_an_unknown_antiskid_is_not_off_until_it_was_known_to_be() -> None:
    cold = Scene()
    cold.on_approach()
    cold.after(1.0, antiskid_on=None)
    cold.pump(5)
    assert cold.value("brake_pumps_left") == 3.0
    cold.after(1.0, antiskid_on=False)
    cold.after(1.0, antiskid_on=None)
    cold.pump(3)
    assert cold.lit == {REMIND}, "lost afterwards it stays off"
    cold.after(1.0)
    assert cold.lit == {REMIND}


def test_a_go_around_begins_again() -> None:
    cold = Scene()
    cold.on_approach()
    cold.after(1.0, antiskid_on=False)
    cold.pump(2)
    cold.raise_gear()
    assert cold.asks == "waiting"
    cold.lower_gear()
    assert cold.value("brake_pumps_left") == 3.0
    cold.pump(3)
    cold.raise_gear()
    assert cold.lit == {REMIND}, "the anti-skid is still off"
    cold.after(1.0, antiskid_on=True)
    cold.after(1.0)
    cold.after(1.0, antiskid_on=None)
    cold.lower_gear()
    assert cold.asks == "pump_brakes"


def test_landed_before_the_pumping_was_done() -> None:
    for antiskid, asks in ((True, "waiting"), (False, "antiskid_on"), (None, "antiskid_on")):
        cold = Scene()
        cold.on_approach()
        cold.after(1.0, antiskid_on=False)
        cold.pump()
        if antiskid is not False:
            cold.after(1.0, antiskid_on=antiskid)
        cold.land()
        assert cold.asks == asks
    cold.after(1.0, antiskid_on=True)
    assert cold.lit == set()
    assert cold.asks == "waiting", "landed: nothing is left of the approach"


def test_pumped_and_landed_in_one_step_the_routine_waits_for_the_next_flight() -> None:
    cold = Scene(has_antiskid=False)
    cold.on_approach()
    cold.pump(2)
    cold.after(1.0, pedals=(1.0, 1.0), on_ground=True)
    assert cold.asks == "waiting"
    assert cold.names == ["brakes_pumped"]


def test_switching_off_ends_every_asking() -> None:
    for pumps in range(4):
        cold = Scene()
        cold.on_approach()
        cold.after(1.0, antiskid_on=False)
        cold.pump(pumps)
        assert cold.lit == ({REMIND} if pumps == 3 else {PUMP})
        cold.after(1.0, cold_weather=False)
        assert (cold.asks, cold.lit) == ("off", set())
    cold = Scene()
    cold.on_approach()
    cold.after(1.0, antiskid_on=False)
    cold.pump(3)
    cold.after(1.0, antiskid_on=True)
    cold.after(1.0, cold_weather=False)
    assert cold.asks == "off"


def test_a_circuit_with_the_gear_down_asks_only_when_switched_on_in_the_air() -> None:
    cold = Scene()
    cold.take_off()
    cold.after(300.0)
    assert cold.asks == "gear_may_be_raised"
    cold.after(1.0, cold_weather=False)
    cold.after(1.0, cold_weather=True)
    assert cold.asks == "pump_brakes"


def test_switched_on_on_the_ground_or_with_the_gear_up_nothing_is_pumped() -> None:
    cold = Scene()
    cold.after(1.0, cold_weather=False)
    cold.after(1.0, cold_weather=True)
    assert cold.asks == "waiting"
    cold.take_off()
    cold.after(200.0)
    cold.raise_gear()
    cold.after(1.0, cold_weather=False)
    cold.after(1.0, cold_weather=True)
    assert cold.asks == "waiting"
    cold.after(1.0, all_down=True)
    assert cold.asks == "waiting", "the handle is up"
    cold.after(1.0, all_down=False, handle=DOWN)
    assert cold.asks == "waiting", "not locked down"


@pytest.mark.parametrize("antiskid", [None, False, True])
def test_an_aircraft_without_antiskid_pumps_and_is_reminded_of_nothing(
    antiskid: bool | None,
) -> None:
    cold = Scene({"antiskid_on": antiskid}, has_antiskid=False)
    assert REMIND not in {lamp.name for lamp in cold.system.lamps}
    cold.take_off()
    cold.after(200.0)
    cold.raise_gear()
    cold.lower_gear()
    assert (cold.asks, cold.lit) == ("pump_brakes", {PUMP})
    assert cold.events[-1].text == "before landing: pump the brakes 3 times"
    cold.pump(3)
    assert (cold.asks, cold.lit) == ("done", set())
    assert cold.events[-1].text == "the brakes were pumped"
    cold.raise_gear()
    cold.lower_gear()
    cold.land()
    assert cold.asks == "waiting"


# -- pedals ---------------------------------------------------------------------------------------


def strokes_of(pedals: list[Any], inputs: tuple[str, ...] = ("pedals",)) -> int:
    """How many strokes are counted of these places of both pedals."""
    cold = Scene({"pedals": (None, None)}, brake_pumps=20)
    cold.on_approach()
    cold.after(1.0, antiskid_on=False)
    for both in pedals:
        cold.after(0.1, **dict.fromkeys(inputs, both))
    return 20 - int(cold.value("brake_pumps_left"))


@pytest.mark.parametrize(
    ("pedals", "strokes"),
    [
        ([(0.0, 0.0), (1.0, 1.0)], 1),
        ([(0.1, 0.1), (0.71, 0.71)], 1),
        ([(0.11, 0.1), (0.8, 0.8)], 0),
        ([(0.1, 0.11), (0.8, 0.8)], 0),
        ([(0.0, 0.0), (0.7, 1.0)], 0),
        ([(0.0, 0.0), (1.0, 0.7)], 0),
        ([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0)], 1),
        ([(0.0, 0.0), (1.0, 0.0), (0.5, 1.0), (1.0, 1.0)], 1),
        ([(0.0, 0.0), (1.0, 1.0), (0.5, 0.5), (1.0, 1.0)], 1),
        ([(0.0, 0.0), (1.0, 1.0), (0.0, 1.0), (1.0, 1.0)], 1),
        ([(0.0, 0.0), (1.0, 1.0), (0.0, 0.0), (1.0, 1.0)], 2),
        ([(1.0, 1.0), (1.0, 1.0)], 0),
        ([(0.0, 0.0), (None, 0.0), (1.0, 1.0)], 0),
        ([(0.0, 0.0), (0.0, nan), (1.0, 1.0)], 0),
        ([(0.0, 0.0), (None, None), (0.0, 0.0), (1.0, 1.0)], 1),
        ([(None, None), (1.0, 1.0)], 0),
    ],
)
def test_a_stroke_is_both_from_let_go_to_pressed(
    pedals: list[tuple[float | None, float | None]], strokes: int
) -> None:
    for inputs in (("pedals",), ("feed_pedals",), ("pedals", "feed_pedals")):
        assert strokes_of(pedals, inputs) == strokes


def test_of_panel_and_simulator_the_greater_pedal_of_each_side_counts() -> None:
    cold = Scene({"pedals": (0.0, None), "feed_pedals": (None, 0.0)})
    cold.on_approach()
    cold.after(1.0, antiskid_on=False)
    left = []
    for change in (
        {"pedals": (1.0, None)},
        {"feed_pedals": (0.0, 1.0)},
        {"pedals": (0.0, 0.0)},
        {"feed_pedals": (0.5, 0.0)},
        {"pedals": (0.0, 1.0), "feed_pedals": (1.0, 0.0)},
        {"feed_pedals": (0.1, 0.0), "pedals": (0.1, 0.1)},
        {"pedals": (1.0, 0.0), "feed_pedals": (0.0, 1.0)},
    ):
        cold.after(1.0, **change)
        left.append(cold.value("brake_pumps_left"))
    assert left == [3.0, 2.0, 2.0, 2.0, 2.0, 2.0, 1.0]


def test_pedals_need_their_limits_in_order() -> None:
    for low, high in ((0.6, 0.6), (0.7, 0.6)):
        with pytest.raises(ValidationError, match="is not below pedal_pressed_fraction"):
            ColdWeatherParameters(pedal_released_fraction=low, pedal_pressed_fraction=high)
    ColdWeatherParameters(pedal_released_fraction=0.59, pedal_pressed_fraction=0.6)


@pytest.mark.parametrize(
    ("numbers", "counted"),
    [
        ({}, True),
        ({"pedal_pressed_fraction": 0.95}, False),
        ({"pedal_released_fraction": 0.01}, False),
    ],
)
def test_each_limit_of_the_pedals_changes_the_count(numbers: dict[str, Any], counted: bool) -> None:
    cold = Scene(**numbers)
    cold.on_approach()
    cold.after(1.0, antiskid_on=False, pedals=(None, None))
    cold.after(1.0, pedals=(0.05, 0.05))
    cold.after(1.0, pedals=(0.9, 0.9))
    assert (cold.value("brake_pumps_left") == 2.0) is counted


# -- words ----------------------------------------------------------------------------------------


def words(cold: Scene) -> dict[str, str]:
    reported = cold.system.words(cold.loop.world(cold.now_s))
    return {name: reasons[0].detail for name, reasons in reported.items()}


def test_reasons_have_their_values() -> None:
    cold = Scene()
    assert words(cold) == {"leave_down": "", "handle_up": "", "pump": "", "remind": "anti-skid on"}
    cold.take_off()
    assert words(cold)["leave_down"] == "until 101.0 s"
    cold.after(200.0)
    cold.raise_gear()
    cold.lower_gear()
    cold.after(1.0, antiskid_on=False)
    cold.pump()
    assert words(cold)["pump"] == "2 more times with pressure at the brakes, anti-skid off"
    assert words(cold)["remind"] == "anti-skid off"


def test_steps_without_a_stroke_ask_for_nothing() -> None:
    cold = Scene()
    cold.on_approach()
    before, changes = cold.facts, cold.loop.changes
    for number in range(50):
        cold.after(0.1, pedals=(number * 0.01, 0.0))
    assert (cold.facts, cold.loop.changes) == (before, changes)
