"""M-6, M-9, M-10, M-11: master warning and master caution, and their reset."""

from __future__ import annotations

from panelbridge.signals import GearPosition
from tests.logic.build import (
    CLOSED,
    FREE,
    LOCKED_UP,
    OPEN,
    Bench,
    air,
    changed,
    fed_twin,
    flying_gear_up,
    on_ground,
    twin,
)

WARNING, CAUTION = "master_warning_red", "master_caution_amber"
BRAKES = {"needs_hydraulics": False, "emergency_brake": False}


def master(bench: Bench) -> set[str]:
    return bench.lit & {WARNING, CAUTION}


def reset(bench: Bench) -> None:
    bench.after(0.5, changed(bench.switches, master_reset=False))
    bench.press("master_reset")


def test_each_occurrence_is_acknowledged_and_the_next_one_comes_back() -> None:
    """14 CFR 25.1322(c)(3), AC 25.1322-1: "each occurrence"; the horn is the warning."""
    bench = flying_gear_up(twin(alerts={}))
    for _ in range(3):
        bench.throttles(CLOSED, OPEN)
        assert (bench.horn, master(bench)) == ("intermittent", {WARNING})
        reset(bench)
        assert (bench.horn, master(bench)) == ("intermittent", set()), "the reset silences no horn"
        bench.throttles(OPEN, OPEN)
        assert master(bench) == set()


def test_the_parking_brake_set_at_idle_on_the_stand_lights_no_master() -> None:
    """AC 25.1322-1 5.a, 5.c(1) (M-6): a condition that is normal does not alert."""
    bench = on_ground(twin(alerts={}, brakes=BRAKES))
    bench.after(1.0, changed(bench.switches, parking_brake=0.0, left_brake=1.0, right_brake=1.0))
    bench.throttles(0.0, 0.0)
    reset(bench)  # it was found with its levers open
    bench.after(1.0, changed(bench.switches, parking_brake=1.0))
    assert "parking_brake_amber" in bench.lit
    assert (bench.horn, master(bench)) == ("silent", set())


def test_flashing_until_acknowledged_then_steady_then_off() -> None:
    """M-9: the master flashes; reset: it is dark, the cause's lamp steady; cause over: off."""
    flashing = {"flashing": [WARNING], "flash_hz": 2.0}
    bench = flying_gear_up(twin(alerts={}, lamps=flashing))
    bench.throttles(CLOSED, OPEN)
    seen = set()
    for _ in range(20):
        bench.after(0.1)
        assert "handle_red" in bench.lit, "the lamp of the cause is steady"
        seen.add(WARNING in bench.lit)
    assert seen == {True, False}
    reset(bench)
    for _ in range(20):
        bench.after(0.1)
        assert ("handle_red" in bench.lit, master(bench)) == (True, set())
    bench.throttles(OPEN, OPEN)
    assert "handle_red" not in bench.lit
    assert master(bench) == set()
    bench.throttles(CLOSED, OPEN)
    bench.after(0.5)
    seen = {WARNING in bench.lit}
    for _ in range(20):
        bench.after(0.1)
        seen.add(WARNING in bench.lit)
    assert seen == {True, False}, "a new cause flashes again"


def test_the_reset_changes_no_lamp_of_a_cause_that_is_present() -> None:
    """NUREG-0700 4.3.4-1 (M-10): reset while the cause is present changes no lamp of it."""
    bench = flying_gear_up(twin(alerts={}, speed_limits={"vle_kias": 200.0}))
    bench.after(1.0, aircraft=air((CLOSED, OPEN), 30.0, airspeed_kias=150.0))
    bench.after(1.0, aircraft=changed(bench.aircraft, gear_handle=GearPosition.UP))
    before = bench.lit - {WARNING, CAUTION}
    horn = bench.horn
    assert master(bench) == {WARNING}
    reset(bench)
    assert (bench.lit, bench.horn) == (before, horn)
    assert before


def test_a_caution_then_another_and_one_that_comes_back() -> None:
    """AC 25.1322-1 app. 1, MIL-STD-411F, from memory (M-11)."""
    limits = {"vlo_extend_kias": 150.0, "vle_kias": 200.0, "hysteresis_kias": 2.0}
    bench = flying_gear_up(
        fed_twin(alerts={}, speed_limits=limits), leg_locks=(LOCKED_UP,) * 3, airspeed_kias=140.0
    )
    bench.after(1.0, aircraft=changed(bench.aircraft, leg_locks=(FREE,) * 3))
    assert master(bench) == set()
    bench.after(1.0, aircraft=changed(bench.aircraft, airspeed_kias=205.0))
    assert CAUTION in bench.lit
    assert bench.names.count("speed_limit_exceeded") >= 1
    reset(bench)
    assert CAUTION not in bench.lit
    assert "speed_amber" in bench.lit
    bench.after(1.0, aircraft=changed(bench.aircraft, airspeed_kias=140.0))
    assert master(bench) == set(), "a caution that ends raises nothing"
    bench.after(1.0, aircraft=changed(bench.aircraft, airspeed_kias=205.0))
    assert CAUTION in bench.lit, "it is back"
