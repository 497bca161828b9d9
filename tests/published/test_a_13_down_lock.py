"""A-13: 14 CFR 23.729(b), before 2017: the gear is kept extended by means other than pressure."""

from __future__ import annotations

import pytest

from tests.logic.build import DOWN, LEG_NAMES, changed, flying_gear_down, on_ground

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
