"""Brakes: pedals, parking brake, emergency brake, beside supply and wheels."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest
from pydantic import ValidationError

from panelbridge.logic.air_ground.facts import AirGroundFacts
from panelbridge.logic.antiskid.facts import ANTISKID, AntiskidFacts, WheelFacts
from panelbridge.logic.brakes.facts import (
    BRAKE_STEPS,
    LEFT_BRAKE,
    RIGHT_BRAKE,
    WheelBrakesFacts,
)
from panelbridge.logic.brakes.parameters import BrakesParameters
from panelbridge.logic.brakes.pedals import BrakePedals, follow_travel, greater_known
from panelbridge.logic.brakes.store import Store, own_gas
from panelbridge.logic.brakes.supply import ACCUMULATOR_FAULT, BrakeSupply
from panelbridge.logic.brakes.system import (
    EMERGENCY_BRAKE,
    PARKING_BRAKE,
    PARKING_FAULT,
    Brakes,
)
from panelbridge.logic.brakes.wheels import WheelBrakes
from panelbridge.logic.emergency.facts import EmergencyFacts
from panelbridge.logic.hydraulics.facts import HydraulicsFacts
from panelbridge.logic.kit.aircraft_cells import brake_pedal, brake_pressure_psi
from panelbridge.logic.kit.curves import Boyle, Line
from tests.logic.spread_stage import Spread, SpreadStage
from tests.logic.stage import Input

NUMBERS: dict[str, Any] = {
    "wheels": [
        {"name": "left_outer", "side": "left"},
        {"name": "left_inner", "side": "left"},
        {"name": "right_inner", "side": "right"},
        {"name": "right_outer", "side": "right"},
    ],
    "full_psi": 1000.0,
    "pedal_free_fraction": 0.0,
    "pedal_full_fraction": 1.0,
    # 1 l of gas at 514.7 psia: 0.829 l of fluid at 3000 psi, 0.493 l at 1000 psi: 8.4 applications.
    "accumulator": {"gas_volume_l": 1.0, "precharge_psi": 500.0, "fill_l_per_s": 0.01},
    "application_l": 0.04,
    "low_applications": 2.0,
    "parking_set_fraction": 0.9,
    "parking_released_fraction": 0.1,
    "parking_hold_psi": 400.0,
    "parking_residual_psi": 100.0,
    "parking_bleed_psi_per_min": 60.0,
    "antiskid_bleed_psi_per_min": 20.0,
}
NAN = float("nan")


NAMES: dict[str, Input] = {
    "left": LEFT_BRAKE,
    "right": RIGHT_BRAKE,
    "feed_left": brake_pedal(0),
    "feed_right": brake_pedal(1),
    "left_psi": brake_pressure_psi(0),
    "right_psi": brake_pressure_psi(1),
    "parking_lever": PARKING_BRAKE,
    "emergency_lever": EMERGENCY_BRAKE,
    "parking_brake": PARKING_FAULT,
    "brake_accumulator": ACCUMULATOR_FAULT,
    "ground_for_commands": (AirGroundFacts, "ground_for_commands"),
    "air_for_warnings": (AirGroundFacts, "air_for_warnings"),
    "wheel_brakes_served": (HydraulicsFacts, "served", 0),
    "parking_brake_served": (HydraulicsFacts, "served", 1),
    "has_air": (EmergencyFacts, "has_air"),
    "air": (EmergencyFacts, "air"),
    "shut": (AntiskidFacts, "wheels"),
    "antiskid": ANTISKID,
    "line": (HydraulicsFacts, "pressure"),
    "line_l": (HydraulicsFacts, "accumulator_l"),
    "line_found": (HydraulicsFacts, "is_found"),
    "pumped": (HydraulicsFacts, "is_pumped"),
}
FULL_PSI = 3000.0


def pair(first: str, second: str) -> Any:
    """Two cells; what is not there is unknown."""
    return lambda both: dict(zip((first, second), (*both, None, None), strict=False))


SPREAD: Spread = {
    "pedals": pair("left", "right"),
    "feed_pedals": pair("feed_left", "feed_right"),
    "fed_psi": pair("left_psi", "right_psi"),
    "on_ground": lambda on_ground: {
        "ground_for_commands": on_ground is not False,
        "air_for_warnings": on_ground is not True,
    },
    "has_pressure": lambda has: {"wheel_brakes_served": "wheel_brakes" if has else None},
    "has_parking_pressure": lambda has: {"parking_brake_served": "parking_brake" if has else None},
}


def line_at(psi: float) -> dict[str, Any]:
    """The pressure line stands at a pressure; it has fluid without end."""
    gas = Boyle(Line(), 1.0, 500.0)
    return {"line": Boyle(Line(start=gas.volume_l(psi)), 1.0, 500.0)}


class BrakeStage(SpreadStage[Brakes]):
    """The brakes with their pedals, supply and wheels."""

    def value(self, name: str) -> Any:
        """A value of any of them now."""
        world = self.loop.world(self.now_s)
        (info,) = (one for system in self.loop.systems for one in system.values if one.name == name)
        return info.read(world)

    def fault(self, target: str, kind: str | None) -> Brakes:
        """Break or mend a part of any of them now."""
        (fault,) = (
            one for system in self.loop.systems for one in system.faults if one.name == target
        )
        assert kind is None or kind in fault.kinds
        self.loop.set(fault, kind)
        return self.at(self.now_s)

    @property
    def lit(self) -> set[str]:
        """The lamps that any of them lights."""
        return {
            lamp.name
            for system in self.loop.systems
            for lamp in system.lamps
            if lamp.lit(system.facts)
        }

    def hold(self) -> None:
        """What holds after every step of each of them."""
        brakes = self.system
        for system in self.loop.systems:
            self.system = system  # type: ignore[assignment]
            super().hold()
        self.system = brakes


def stage(*, fed_pressure: bool = False, first: bool = True, **numbers: Any) -> BrakeStage:
    """On the ground, with pressure and air, nothing pressed, the levers released."""
    parameters = BrakesParameters.model_validate({**NUMBERS, **numbers})
    gas = own_gas(parameters, FULL_PSI)
    store = Store(gas, parameters) if gas else None
    supply = BrakeSupply(parameters, store, fed=False, most_psi=FULL_PSI)
    made = BrakeStage(
        Brakes(parameters, fed_pressure=fed_pressure),
        NAMES,
        SPREAD,
        beside=[
            BrakePedals(parameters),
            *((supply,) if parameters.needs_hydraulics else ()),
        ],
        behind=[WheelBrakes(parameters, fed_pressure=fed_pressure)],
        pedals=(0.0, 0.0),
        parking_lever=0.0,
        emergency_lever=0.0,
        on_ground=True,
        has_pressure=True,
        has_parking_pressure=True,
        has_air=True,
        air=Line(start=2000.0),
        line_l=Line(start=1000.0),
        line_found=True,
        pumped=True,
        **line_at(FULL_PSI),
    )
    if first:
        made.at(0.0)
    return made


def without_power(*, empty: bool = False, **more: Any) -> BrakeStage:
    """Pressure from no pump; ``empty``: and none ever was."""
    brakes = stage(first=not empty, **more)
    brakes.at(1.0, has_pressure=False, has_parking_pressure=False)
    return brakes


def left(brakes: BrakeStage) -> Any:
    return brakes.value("brake_applications_left")


def braked(brakes: BrakeStage, shut: Sequence[bool] = ()) -> tuple[float, ...]:
    """How much each wheel is braked, with some of them shut off by anti-skid."""
    (wheels,) = (one for one in brakes.loop.systems if isinstance(one, WheelBrakes))
    (command,) = wheels.commands
    off = AntiskidFacts(wheels=tuple([WheelFacts(shut_off=off) for off in shut]))
    world = brakes.loop.world(brakes.now_s).having({AntiskidFacts: off})
    now = wheels.update(brakes.now_s, world)
    fractions = command.read(world.having({WheelBrakesFacts: now}))
    assert isinstance(fractions, tuple)
    return fractions


def sides(brakes: BrakeStage) -> tuple[float, float]:
    """How much the pedals or the emergency brake press on the left and right."""
    left, right = brakes.facts.side_fractions
    return left, right


def holds(brakes: BrakeStage) -> bool:
    """The parking brake holds."""
    return brakes.facts.parking_holds is True


def air_used(brakes: BrakeStage) -> float:
    """What the emergency brake has used since the beginning, full applications."""
    return float(brakes.facts.air_steps) / BRAKE_STEPS


def details(brakes: BrakeStage) -> dict[str, str]:
    """The details of all reasons."""
    words = brakes.system.words(brakes.loop.world(brakes.now_s))
    return {field: reasons[0].detail for field, reasons in words.items()}


def pulled(brakes: BrakeStage) -> bool:
    """The emergency brake presses the brakes."""
    return brakes.facts.emergency_braking is True


def is_parked(brakes: BrakeStage) -> bool:
    """Anti-skid has to wait for the parking brake."""
    return brakes.facts.is_parked is True


# -- pedals ---------------------------------------------------------------------------------------


def test_each_pedal_brakes_the_wheels_of_its_side() -> None:
    brakes = stage()
    brakes.after(1.0, pedals=(1.0, 0.5))
    assert braked(brakes) == (1.0, 1.0, 0.5, 0.5)
    assert sides(brakes) == (1.0, 0.5)
    assert (brakes.value("left_brake_psi"), brakes.value("right_brake_psi")) == (1000.0, 500.0)
    brakes.after(1.0, pedals=(0.0, None))
    assert braked(brakes) == (0.0,) * 4
    assert brakes.names == []


@pytest.mark.parametrize(
    ("panel", "feed", "fractions"),
    [
        ((0.5, 0.2), (0.3, 0.4), (0.5, 0.4)),
        ((None, None), (0.3, 0.4), (0.3, 0.4)),
        ((0.5, None), (), (0.5, 0.0)),
        ((0.5, 0.2), (None, NAN), (0.5, 0.2)),
        ((NAN, None), (None,), (0.0, 0.0)),
    ],
)
def test_the_greater_known_pedal_counts(
    panel: tuple[float | None, float | None],
    feed: tuple[float | None, ...],
    fractions: tuple[float, float],
) -> None:
    brakes = stage()
    brakes.after(1.0, pedals=panel, feed_pedals=feed)
    assert sides(brakes) == pytest.approx(fractions)


def test_before_anything_was_looked_at() -> None:
    brakes = stage(first=False)
    assert brakes.lit == {"parking_brake_amber", "brake_energy_low_amber"}
    assert braked(brakes) == (0.0,) * 4
    names = [one.name for system in brakes.loop.systems for one in system.values]
    assert {name: brakes.value(name) for name in names} == {
        **{f"{side}_brake_psi": 0.0 for side in ("left", "right")},
        **{f"{wheel['name']}_wheel_brake_psi": 0.0 for wheel in NUMBERS["wheels"]},
        "brake_accumulator_psi": 0.0,
        "brake_applications_left": 0.0,
        "brake_source": "none",
        "parking_brake_state": None,
    }
    facts = brakes.facts
    assert not facts.trapped


def followed(
    fractions: Sequence[float | None], free_fraction: float = 0.0, full_fraction: float = 1.0
) -> list[int]:
    """The step after each place of the travel."""
    numbers = {"pedal_free_fraction": free_fraction, "pedal_full_fraction": full_fraction}
    parameters, steps = BrakesParameters.model_validate(numbers), [0]
    for fraction in fractions:
        steps.append(follow_travel(fraction, steps[-1], parameters))
    return steps[1:]


def test_free_and_full_travel() -> None:
    way = (0.1, 0.2, 0.5, 0.799, 0.8, 1.0, 1.7, 0.5, 0.2, 0.0, -1.0)
    reported = dict(zip(way, followed(way, 0.2, 0.8), strict=True))
    assert reported == {
        0.1: 0,
        0.2: 0,
        0.5: 10,
        0.799: 19,
        0.8: 20,
        1.0: 20,
        1.7: 20,
        0.0: 0,
        -1.0: 0,
    }


def test_noise_of_less_than_a_step_moves_nothing() -> None:
    noise = (0.549, 0.46, 0.5, 0.53, 0.451)
    assert followed((0.52, *noise, 0.55, 0.5, None)) == [10, *[10] * 5, 11, 10, 0]


def test_steps_do_not_depend_on_how_often_the_travel_is_read() -> None:
    way = [number / 1000 for number in [*range(0, 940, 7), *range(940, 310, -9)]]
    for every in (1, 2, 5, 11):
        fractions = [*way[:134:every], way[134], *way[135:-1:every], way[-1]]
        assert followed(fractions)[-1] == 7, every


def test_greater_known() -> None:
    assert greater_known(None, None) is None
    assert greater_known(None, 0.2) == greater_known(0.2, None) == 0.2
    assert greater_known(0.3, 0.2) == greater_known(0.2, 0.3) == 0.3


# -- with and without a pump: ``test_brake_supply`` has the rest -----------------------------------


def apply(brakes: BrakeStage, fraction: float = 1.0) -> float:
    """Both pedals down and up; how much braked the left wheels."""
    brakes.after(1.0, pedals=(fraction, fraction))
    reached = braked(brakes)[0]
    assert braked(brakes) == (reached,) * 4
    brakes.after(1.0, pedals=(0.0, 0.0))
    return reached


def test_brakes_that_press_themselves_need_nothing() -> None:
    brakes = without_power(needs_hydraulics=False)
    assert [apply(brakes) for _ in range(20)] == [1.0] * 20
    brakes.after(1.0, parking_lever=1.0)
    brakes.after(100000.0)
    assert holds(brakes)
    assert brakes.names == ["parking_brake_set"]


# -- parking brake --------------------------------------------------------------------------------


def parked(brakes: BrakeStage) -> tuple[Any, bool, bool, float]:
    """Its word, whether it holds, whether the lamp is lit, how much brakes the first wheel."""
    lamp = "parking_brake_amber" in brakes.lit
    return brakes.value("parking_brake_state"), holds(brakes), lamp, braked(brakes)[0]


def test_set_held_and_released() -> None:
    brakes = stage()
    assert parked(brakes) == ("released", False, False, 0.0)
    assert not is_parked(brakes)
    brakes.after(1.0, parking_lever=0.5)
    assert parked(brakes) == ("partly", False, True, 0.0)
    assert is_parked(brakes)
    brakes.after(1.0, parking_lever=0.9)
    assert parked(brakes) == ("set", True, True, 1.0)
    brakes.after(36000.0)
    assert parked(brakes) == ("set", True, True, 1.0), "without attention"
    brakes.after(1.0, parking_lever=0.2)
    assert parked(brakes) == ("partly", True, True, 1.0), "a valve: as it was"
    brakes.after(1.0, parking_lever=0.1)
    assert parked(brakes) == ("released", False, False, 0.0)
    assert brakes.names == ["parking_brake_set", "parking_brake_released"]
    assert brakes.value("left_brake_psi") == 0.0


def test_it_cannot_be_set_without_pressure() -> None:
    brakes = without_power(empty=True)
    brakes.after(1.0, parking_lever=1.0)
    assert parked(brakes) == ("not_set", False, True, 0.0)
    brakes.after(1.0)
    assert brakes.names == ["parking_brake_not_set"], "reported once"
    brakes.after(1.0, parking_lever=0.0)
    brakes.after(1.0, parking_lever=1.0)
    assert brakes.names == ["parking_brake_not_set"] * 2
    brakes.after(1.0, has_parking_pressure=True)
    assert parked(brakes) == ("set", True, True, 1.0)


def test_with_its_own_pressure_the_accumulator_gives_nothing() -> None:
    brakes = stage()
    brakes.after(1.0, has_pressure=False, has_parking_pressure=True)
    brakes.after(1.0, parking_lever=1.0)
    assert brakes.value("brake_accumulator_psi") == pytest.approx(FULL_PSI)


@pytest.mark.parametrize("rate_hz", [0.01, 1.0, 3.0])
def test_without_pressure_it_bleeds_down_along_a_line(rate_hz: float) -> None:
    """1000 psi at 60 psi a minute; 400 psi, the least that holds, after ten minutes."""
    brakes = stage()
    brakes.at(10.0, parking_lever=1.0)
    brakes.at(100.0, has_parking_pressure=False, has_pressure=False)
    for number in range(1, int(1100 * rate_hz) + 1):
        passed_s = number / rate_hz
        brakes.at(100.0 + passed_s)
        psi = max(1000.0 - passed_s, 0.0)
        assert brakes.value("left_brake_psi") == pytest.approx(psi, abs=1e-6)
        assert holds(brakes) is (passed_s < 600.0)
        step = (psi + 49.9) // 50 / 20
        assert braked(brakes)[0] == pytest.approx(step)
        assert "parking_brake_amber" in brakes.lit
    assert brakes.logged[-1:] == [(700.0, "parking_brake_bled_down", "")]
    assert parked(brakes) == ("bled_down", False, True, 0.0)
    brakes.after(1.0, has_parking_pressure=True)
    assert parked(brakes) == ("set", True, True, 1.0)


def test_the_last_of_the_pressure_bleeds_down_too() -> None:
    brakes = stage()
    brakes.at(10.0, parking_lever=1.0)
    brakes.at(100.0, has_parking_pressure=False)
    brakes.at(1099.5, pedals=(0.5, 0.0))
    assert brakes.value("right_brake_psi") == pytest.approx(0.5)
    brakes.at(1101.0)
    assert brakes.value("right_brake_psi") == 0.0


def test_each_step_of_the_bleeding_comes_at_its_own_time() -> None:
    brakes = stage()
    brakes.at(0.0, parking_lever=1.0, has_parking_pressure=True)
    brakes.at(0.0, has_parking_pressure=False)
    assert brakes.loop.next_due_s == 50.0
    brakes.at(50.0)
    assert braked(brakes)[0] == 0.95
    assert brakes.loop.next_due_s == 100.0


def test_a_lever_that_is_found_set_has_held_before() -> None:
    brakes = stage(first=False)
    brakes.at(0.0, parking_lever=None, has_pressure=False, has_parking_pressure=False)
    assert parked(brakes) == (None, False, True, 0.0)
    assert not is_parked(brakes)
    brakes.at(1.0, parking_lever=1.0)
    assert parked(brakes) == ("set", True, True, 1.0)
    assert brakes.names == []


@pytest.mark.parametrize("lost", [None, NAN])
def test_a_lever_that_was_lost_leaves_the_brake_as_it_was(lost: float | None) -> None:
    brakes = stage()
    brakes.after(1.0, parking_lever=1.0)
    brakes.after(1.0, parking_lever=lost)
    assert parked(brakes) == (None, True, True, 1.0)
    assert is_parked(brakes)
    brakes.after(1.0, parking_lever=0.0)
    brakes.after(1.0, parking_lever=lost)
    assert parked(brakes) == (None, False, True, 0.0)
    brakes.after(1.0, parking_lever=1.0, has_pressure=False, has_parking_pressure=False)
    assert left(brakes) == 7.0, "found set again: no longer for nothing"


def test_trapped_pressure_shows_brakes_and_bleeds_down() -> None:
    brakes = stage()
    brakes.at(1.0, parking_lever=1.0)
    brakes.fault("parking_brake", "sticking")
    assert parked(brakes) == ("set", True, True, 1.0)
    brakes.at(100.0, parking_lever=0.0)
    assert parked(brakes) == ("trapped", True, True, 1.0)
    assert brakes.system.failures() == ("pressure is trapped in the released brakes",)
    assert brakes.lit == {"parking_brake_amber", "parking_brake_holds_green"}
    assert is_parked(brakes)
    brakes.at(999.9)
    assert parked(brakes) == ("trapped", False, True, 0.15)
    brakes.at(1000.0)
    assert parked(brakes) == ("released", False, False, 0.1)
    assert not is_parked(brakes)
    assert brakes.system.failures() == ()
    assert brakes.names == ["parking_brake_set", "parking_brake_trapped"]


def test_a_stuck_valve_that_is_mended_lets_go_and_can_be_set_over() -> None:
    brakes = stage()
    brakes.fault("parking_brake", "sticking")
    brakes.at(1.0, parking_lever=1.0)
    brakes.at(100.0, parking_lever=0.0)
    brakes.at(200.0, parking_lever=1.0)
    assert parked(brakes) == ("set", True, True, 1.0)
    assert brakes.value("left_brake_psi") == 1000.0
    brakes.at(300.0, parking_lever=0.0)
    brakes.fault("parking_brake", None)
    assert parked(brakes) == ("released", False, False, 0.0)
    brakes.at(400.0, parking_lever=1.0)
    brakes.at(401.0, parking_lever=0.0)
    assert parked(brakes) == ("released", False, False, 0.0)


def test_mending_the_valve_of_a_brake_that_is_set_lets_nothing_go() -> None:
    brakes = stage()
    brakes.at(1.0, parking_lever=1.0)
    brakes.fault("parking_brake", "sticking")
    brakes.fault("parking_brake", None)
    assert parked(brakes) == ("set", True, True, 1.0)
    brakes.at(2.0, parking_lever=0.5)
    brakes.fault("parking_brake", None)
    assert parked(brakes) == ("partly", True, True, 1.0)


def test_pedals_and_parking_brake_the_stronger_counts() -> None:
    brakes = stage()
    brakes.at(0.0, parking_lever=1.0)
    brakes.at(0.0, has_parking_pressure=False)
    brakes.at(500.0, pedals=(1.0, 0.2))
    assert braked(brakes) == (1.0, 1.0, 0.5, 0.5)
    assert brakes.value("right_brake_psi") == 500.0


def test_an_aircraft_without_one() -> None:
    brakes = stage(parking_brake=False)
    brakes.after(1.0, parking_lever=1.0)
    assert braked(brakes) == (0.0,) * 4
    assert not is_parked(brakes)
    assert not holds(brakes)
    assert brakes.system.lamps == ()
    assert brakes.system.sounds().value == "silent"
    assert "parking_brake_state" not in {one.name for one in brakes.system.values}
    assert brakes.names == []
    assert brakes.system.faults == ()


# -- emergency brake ------------------------------------------------------------------------------


def test_both_sides_alike_whatever_the_pedals() -> None:
    brakes = stage()
    brakes.after(1.0, pedals=(1.0, 0.0), emergency_lever=0.5)
    assert pulled(brakes)
    assert braked(brakes) == (0.5,) * 4
    brakes.after(1.0, emergency_lever=0.0)
    assert not pulled(brakes)
    assert braked(brakes) == (1.0, 1.0, 0.0, 0.0)
    assert brakes.names == ["emergency_brake_pulled", "emergency_brake_released"]


def test_the_first_step_of_it_counts() -> None:
    brakes = stage()
    brakes.after(1.0, pedals=(1.0, 1.0), emergency_lever=0.05)
    assert pulled(brakes)
    assert braked(brakes) == (0.05,) * 4
    assert brakes.names == ["emergency_brake_pulled"]
    brakes.after(1.0, emergency_lever=0.0)
    assert brakes.names == ["emergency_brake_pulled", "emergency_brake_released"]


def test_it_takes_air_by_what_it_rises() -> None:
    brakes = stage()
    used = []
    for lever in (0.5, 0.25, 0.75, 0.75, 0.0, 1.0):
        before = air_used(brakes)
        brakes.after(1.0, emergency_lever=lever)
        used.append(air_used(brakes) - before)
    assert used == [0.5, 0.0, 0.5, 0.0, 0.0, 1.0]
    assert brakes.value("brake_accumulator_psi") == pytest.approx(FULL_PSI), "nothing of it"


def test_without_air_it_keeps_what_it_has_and_the_pedals_brake() -> None:
    brakes = stage()
    brakes.after(1.0, emergency_lever=0.5)
    brakes.after(1.0, emergency_lever=1.0, has_air=False)
    assert braked(brakes) == (0.5,) * 4
    brakes.after(1.0, emergency_lever=0.25)
    assert braked(brakes) == (0.25,) * 4
    brakes.after(1.0, emergency_lever=0.0)
    brakes.after(1.0, emergency_lever=1.0, pedals=(0.5, 1.0))
    assert not pulled(brakes)
    assert braked(brakes) == (0.5, 0.5, 1.0, 1.0)
    brakes.after(1.0, has_air=True)
    assert braked(brakes) == (1.0,) * 4


@pytest.mark.parametrize("lost", [None, NAN])
def test_an_emergency_lever_that_is_lost_keeps_braking_until_it_is_back(
    lost: float | None,
) -> None:
    brakes = stage()
    brakes.after(1.0, emergency_lever=0.6)
    brakes.after(1.0, emergency_lever=lost)
    brakes.after(100.0)
    assert braked(brakes) == (0.6,) * 4
    brakes.after(1.0, emergency_lever=0.8)
    assert braked(brakes) == (0.8,) * 4
    brakes.after(1.0, emergency_lever=lost)
    brakes.after(1.0, emergency_lever=0.0)
    assert not pulled(brakes)
    assert brakes.names == ["emergency_brake_pulled", "emergency_brake_released"]


@pytest.mark.parametrize("lost", [None, NAN])
@pytest.mark.parametrize("rest", [0.0, 0.04])
def test_a_lever_that_is_found_pulled_does_nothing(lost: float | None, rest: float) -> None:
    brakes = stage()
    brakes.after(1.0, emergency_lever=rest)
    brakes.after(1.0, emergency_lever=lost)
    brakes.after(1.0, emergency_lever=0.8)
    assert not pulled(brakes)
    brakes.after(1.0, emergency_lever=0.0)
    brakes.after(1.0, emergency_lever=0.8)
    assert braked(brakes) == (0.8,) * 4
    fresh = stage(first=False)
    fresh.at(0.0, emergency_lever=1.0)
    assert not pulled(fresh)
    assert fresh.names == []


def test_an_aircraft_without_an_emergency_brake() -> None:
    brakes = stage(emergency_brake=False)
    brakes.after(1.0, emergency_lever=1.0)
    assert not pulled(brakes)
    assert air_used(brakes) == 0.0


# -- what anti-skid shuts off ---------------------------------------------------------------------


def test_it_shuts_off_pedals_alone() -> None:
    brakes = stage()
    shut = (True, False, True, False)
    brakes.after(1.0, pedals=(1.0, 1.0))
    assert braked(brakes, shut) == (0.0, 1.0, 0.0, 1.0)
    assert braked(brakes, shut[:1]) == (0.0, 1.0, 1.0, 1.0)
    brakes.after(1.0, emergency_lever=0.5)
    assert braked(brakes, shut) == (0.5,) * 4
    brakes.after(1.0, emergency_lever=0.0, parking_lever=1.0)
    assert braked(brakes, shut) == (1.0,) * 4


# -- pressure that the feed reports ---------------------------------------------------------------


def test_the_feed_s_pressure_is_shown_and_can_be_trapped() -> None:
    brakes = stage(fed_pressure=True)
    brakes.after(1.0, fed_psi=(50.0, 100.0))
    assert brakes.lit == set()
    brakes.after(1.0, fed_psi=(50.0, 100.1))
    assert brakes.lit == {"parking_brake_amber"}
    assert (brakes.value("left_brake_psi"), brakes.value("right_brake_psi")) == (50.0, 100.1)
    assert details(brakes)["trapped"] == "100.10 > 100.00 psi"
    brakes.after(1.0, fed_psi=(1000.0, 2000.0))
    assert brakes.lit == {"parking_brake_amber"}
    brakes.after(1.0, pedals=(0.5, 0.0))
    assert brakes.lit == set(), "pedals press"
    brakes.after(1.0, pedals=(0.0, 0.0), emergency_lever=1.0)
    assert brakes.lit == set(), "the emergency brake presses"
    brakes.after(1.0, emergency_lever=0.0)
    assert brakes.lit == {"parking_brake_amber"}
    brakes.after(1.0, fed_psi=(None, NAN))
    assert brakes.lit == set()
    assert (brakes.value("left_brake_psi"), brakes.value("right_brake_psi")) == (None, None)
    brakes.after(1.0, fed_psi=(150.0,))
    assert brakes.lit == {"parking_brake_amber"}
    assert details(brakes)["trapped"] == "150.00 > 100.00 psi"
    brakes.after(1.0, parking_lever=0.5, fed_psi=(0.0, 150.0))
    assert not brakes.facts.trapped, "the lever is not released"


def test_without_the_authority_the_feed_s_pressure_is_nothing() -> None:
    brakes = stage()
    brakes.after(1.0, fed_psi=(900.0, 900.0))
    assert brakes.lit == set()
    assert brakes.value("left_brake_psi") == 0.0
    assert details(brakes)["trapped"] == "0.00 <= 100.00 psi"


# -- words, files ---------------------------------------------------------------------------------


def test_the_reasons_hold_values_against_limits() -> None:
    brakes = without_power()
    brakes.after(1.0, parking_lever=0.5)
    assert details(brakes) == {
        "lever_released": "lever partly",
        "trapped": "0.00 <= 100.00 psi",
        "parking_holds": "0.00 <= 400.00 psi, lever partly",
    }
    brakes.hold()


def test_wheels_with_one_name_are_an_error() -> None:
    wheels = [{"name": "left", "side": "left"}] * 2
    with pytest.raises(ValidationError, match="two wheels are called 'left'"):
        BrakesParameters.model_validate({"wheels": wheels})


def run(**numbers: Any) -> list[Any]:
    """What comes of one script that needs every number."""
    seen: list[Any] = []
    brakes = stage(**numbers)

    def look() -> None:
        systems = brakes.loop.systems
        values = {one.name: brakes.value(one.name) for each in systems for one in each.values}
        seen.append((braked(brakes), values, brakes.lit))
        seen.append((brakes.system.sounds(), pulled(brakes), is_parked(brakes)))

    for lever in (0.02, 0.08, 0.3, 0.87, 1.0):
        brakes.after(1.0, parking_lever=lever)
        look()
    brakes.after(1.0, has_pressure=False, has_parking_pressure=False, antiskid=True)
    for number in range(12):
        brakes.after(60.0, antiskid=number < 2)
        look()
    if "parking_brake" in {one.name for one in brakes.system.faults}:
        brakes.fault("parking_brake", "sticking")
    brakes.after(1.0, parking_lever=0.0)
    for _ in range(8):
        brakes.after(30.0)
        look()
    if brakes.system.faults:
        brakes.fault("parking_brake", None)
    for number in range(10):
        brakes.after(1.0, pedals=(0.03 + number / 10, 0.97))
        look()
        brakes.after(1.0, pedals=(0.0, 0.0))
    brakes.after(1.0, emergency_lever=0.6, has_pressure=True)
    look()
    for _ in range(10):
        brakes.after(7.0)
        look()
    seen.append(brakes.logged)
    return seen


CHANGES: dict[str, Any] = {
    "wheels": NUMBERS["wheels"][:3],
    "full_psi": 1100.0,
    "pedal_free_fraction": 0.1,
    "pedal_full_fraction": 0.8,
    "needs_hydraulics": False,
    "accumulator": {**NUMBERS["accumulator"], "fill_l_per_s": 0.02},
    "application_l": 0.05,
    "low_applications": 3.0,
    "parking_brake": False,
    "parking_set_fraction": 0.85,
    "parking_released_fraction": 0.05,
    "parking_hold_psi": 500.0,
    "parking_residual_psi": 50.0,
    "parking_needs_pedals": True,
    "parking_bleed_psi_per_min": 70.0,
    "antiskid_bleed_psi_per_min": 25.0,
    "emergency_brake": False,
}


def test_every_number_changes_something() -> None:
    assert set(CHANGES) == set(BrakesParameters.model_fields)
    plain = run()
    for name, value in CHANGES.items():
        assert run(**{name: value}) != plain, name


def test_a_side_without_wheels_has_no_pressure() -> None:
    brakes = stage(wheels=[{"name": "left", "side": "left"}])
    brakes.after(1.0, pedals=(1.0, 1.0))
    assert (brakes.value("left_brake_psi"), brakes.value("right_brake_psi")) == (1000.0, 0.0)
