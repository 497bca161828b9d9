"""L-17, L-19 to L-22: energy of a stop, heat sink, cooling, fuse plugs."""

from __future__ import annotations

from math import exp

import pytest

from panelbridge.logic.brake_heat.nodes import energy_j
from panelbridge.logic.brake_heat.system import BrakeHeat
from tests.logic.stage import Stage
from tests.logic.test_brake_heat import stage, stop

LB_KG, FT_LB_J = 0.45359237, 1.3558179483314
MASS_KG, SINK_KG = 12_500 * LB_KG, 60 * LB_KG
STEEL_J_PER_KG_K = 0.12 * 4186.8
"""0.12 BTU/(lb F): the calorie and the BTU are the same heat for a degree of water."""
TEXT = {
    "mass_kg": MASS_KG,
    "heat_sink_kg": SINK_KG,
    "specific_heat_j_per_kg_k": STEEL_J_PER_KG_K,
    "ambient_c": 15.0,
    "brake_cooling_min": 20.0,
    "wheel_cooling_min": 45.0,
    "fuse_plug_c": None,
}


def stopped(**numbers: float | None) -> Stage[BrakeHeat]:
    made = stage(**{**TEXT, **numbers})
    stop(made, from_kt=90)
    return made


def test_kinetic_energy_of_a_wheel() -> None:
    """14 CFR 23.735(a)(2) before 2017: KE = 0.0443 W V2/N ft-lb; 2,242,688 ft-lb = 3.041 MJ."""
    by_rule = 0.0443 * 12_500 * 90**2 / 2 * FT_LB_J
    assert by_rule == pytest.approx(3.041e6, rel=1e-3)
    assert energy_j(MASS_KG, 90.0, 0.0) / 2 == pytest.approx(by_rule, rel=1e-3)


def test_one_failed_brake_doubles_the_other() -> None:
    """L-17: N = 1."""
    made = stage(**TEXT)
    made.after(0.0, speed=90.0)
    made.after(0.0, pedals=(1.0, 0.0))
    made.after(0.0, speed=0.0)
    both = stopped().value("left_brake_c") - 15.0
    assert made.value("left_brake_c") - 15.0 == pytest.approx(2.0 * both)


def test_heat_sink() -> None:
    """L-19: 400 F (222 K) in 60 lb of steel; a second stop without cooling adds as much."""
    made = stopped()
    assert made.value("left_brake_c") - 15.0 == pytest.approx(222.2, abs=0.5)
    stop(made, from_kt=90)
    assert made.value("left_brake_c") - 15.0 == pytest.approx(444.4, abs=1.0)


@pytest.mark.parametrize(("minutes", "left"), [(45.0, 0.105), (60.0, 0.050)])
def test_cooling(minutes: float, left: float) -> None:
    """NAVEDTRA 14018 (L-20): 45 to 60 min; T = Ta + (T0 - Ta) exp(-t/tau), common practice."""
    made = stopped()
    before = made.value("left_brake_c") - 15.0
    made.after(minutes * 60.0)
    now = made.value("left_brake_c") - 15.0
    assert now / before == pytest.approx(exp(-minutes / 20.0))
    assert now / before == pytest.approx(left, abs=5e-4)


def test_the_wheel_is_hottest_29_minutes_later_and_the_caution_waits_for_it() -> None:
    """US Navy 1260 (L-21): more than 25 minutes; with 20 and 45 min the peak is at 29.2 min."""
    made = stopped(too_hot_c=200.0, too_hot_hysteresis_c=10.0)
    seen = []
    for _ in range(40 * 60):
        made.after(1.0)
        seen.append(made.value("left_wheel_c"))
        assert ("brake_hot_amber" in made.lit) is (made.now_s < 29.194 * 60.0)
    assert (seen.index(max(seen)) + 1) / 60.0 == pytest.approx(29.2, abs=0.05)


def test_a_fuse_plug_melts_at_324_f_once() -> None:
    """US Navy 1260 (L-21): 324 F = 162.2 C; the event is latched."""
    melts_c = (324.0 - 32.0) / 1.8
    made = stopped(fuse_plug_c=melts_c)
    made.after(2 * 3600.0)
    assert "fuse_plug_melted" not in made.names, "one stop: 222 K make 52 K of the wheel"
    for _ in range(3):
        stop(made, from_kt=90)
    made.after(2 * 3600.0)
    assert made.names.count("fuse_plug_melted") == 2
    assert made.value("left_fuse_plug") == "melted"
    made.after(24 * 3600.0)
    assert made.value("left_brake_c") == pytest.approx(15.0, abs=1e-3)
    assert made.value("left_fuse_plug") == "melted"


def test_a_hot_brake_in_the_bay_stays_a_caution() -> None:
    """25.729(f)(3), from memory (L-22): retracted hot, it stays hot; the gear is not touched."""
    made = stopped(too_hot_c=200.0)
    made.after(60.0, ground_for_commands=False, all_down=False)
    made.after(600.0)
    assert made.lit == {"brake_hot_amber"}
    assert made.system.commands == ()
