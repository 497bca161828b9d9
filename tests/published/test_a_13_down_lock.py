"""A-13: 14 CFR 23.729(b), before 2017: the gear is kept extended by means other than pressure."""

from __future__ import annotations

import pytest

from tests.logic.build import DOWN, LEG_NAMES, changed, flying_gear_down, on_ground
from tests.logic.gear_rig import flying

GREENS = {f"{name}_green" for name in LEG_NAMES}


@pytest.mark.parametrize("found", [flying_gear_down, on_ground])
def test_ten_minutes_without_pressure_unlock_nothing(found: object) -> None:
    """14 CFR 23.729(b): pressure to zero, ten simulated minutes: three greens and no horn."""
    assert callable(found)
    bench = found(hydraulic_pressure_psi=1500.0)
    bench.at(2.0, aircraft=changed(bench.aircraft, hydraulic_pressure_psi=0.0))
    for number in range(6000):
        bench.at(2.1 + number * 0.1)
        assert bench.lit == GREENS
        assert bench.horn == "silent"
    assert bench.all_locked_down
    assert bench.command == DOWN.value
    assert bench.names == []
    assert bench.result.outputs.gauges == {"hydraulic_pressure": 0.0}


def test_a_gauge_is_no_proof_of_a_lock() -> None:
    """14 CFR 23.729(b), (e), before 2017: lamps follow lock switches, not pressure."""
    bench = flying_gear_down(hydraulic_pressure_psi=0.0)
    for pressure in (0.0, 3000.0, None, 1500.0):
        bench.after(1.0, aircraft=changed(bench.aircraft, hydraulic_pressure_psi=pressure))
        assert bench.lit == GREENS


@pytest.mark.parametrize("uplocks", ["mechanical", "pressure"])
@pytest.mark.parametrize("power", ["hydraulic", "electric_pack"])
def test_ten_minutes_without_any_power_unlock_nothing(power: str, uplocks: str) -> None:
    """14 CFR 23.729(b): the pump failed, no pressure, no bus: the down-locks hold."""
    numbers = {"power": power, "uplocks": uplocks, "uplock_hold_s": 5.0}
    rig = flying(DOWN, power=numbers).fault("gear_power", "failed")
    rig.after(1.0, hydraulic=False, bus=False)
    for _ in range(60):
        rig.after(10.0)
        assert rig.all_down
        assert rig.greens == set(LEG_NAMES)
        assert not rig.handle_red
    rig.after(1.0, handle="up").after(600.0)
    assert rig.all_down, "nor does the handle: nothing drives them"


def test_without_pressure_a_gear_held_up_by_pressure_sags() -> None:
    """14 CFR 23.729(b) asks it of the down-locks only: up may be held by pressure."""
    numbers = {"power": "hydraulic", "uplocks": "pressure", "uplock_hold_s": 30.0}
    rig = flying(power=numbers).at(10.0, hydraulic=False)
    assert rig.at(39.9).all_up
    assert rig.reds == set()
    rig.at(40.1)
    assert rig.leg_states == ["stopped"] * 3
    assert rig.reds == set(LEG_NAMES)
    assert rig.handle_red
    assert "gear_up_pressure_lost" in rig.names
    assert rig.at(50.0, hydraulic=True).all_up, "the pressure lifts them into their locks again"
    assert rig.reds == set()
    hooks = flying(power={"power": "hydraulic"}).at(10.0, hydraulic=False).at(1000.0)
    assert hooks.all_up
