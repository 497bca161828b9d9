"""A-19: US Army TM 55-1510-220-10, 222-10, TM 1-1510-224-10: the handle's down-lock hook."""

from __future__ import annotations

from tests.logic.build import Bench, ground, on_ground, switches, twin
from tests.logic.gear_rig import DOWN, NAMES, Rig

PACK = {"power": "electric_pack"}


def test_on_the_ground_the_handle_is_held_and_a_raised_one_moves_nothing() -> None:
    """TM 55-1510-222-10: strut compressed, up without release: ignored, pump off, three greens."""
    rig = Rig(power=PACK).after(1.0)
    assert rig.held
    rig.after(1.0, handle="up").after(60.0)
    assert rig.all_down
    assert rig.greens == set(NAMES)
    assert [word for _, name, word in rig.trace if name == "power"] == []
    assert "handle_lock_forced" in rig.names
    assert rig.facts.demand is DOWN


def test_the_release_frees_the_handle_and_the_gear_stays_down_with_horn_and_red() -> None:
    """TM 55-1510-222-10: override used and handle raised on the ground: horn intermittent, red."""
    rig = Rig(power=PACK).after(1.0, release=True)
    assert not rig.held
    rig.after(0.5, handle="up").after(0.5, release=False).after(60.0)
    assert rig.all_down
    assert rig.handle_red
    assert rig.facts.is_refused
    assert "handle_lock_overridden" in rig.names
    assert "handle_lock_forced" not in rig.names
    assert [word for _, name, word in rig.trace if name == "power"] == []
    bench = on_ground()  # the same, with the panel's horn and lamps
    bench.after(1.0, switches("up"))
    assert bench.horn == "intermittent"
    assert "handle_red" in bench.lit
    assert bench.all_locked_down


def test_the_hook_frees_when_the_weight_comes_off() -> None:
    """TM 55-1510-222-10: frees automatically after take-off; then a raised handle retracts."""
    rig = Rig(power=PACK).after(1.0)
    assert rig.held
    assert not rig.after(1.0, strut=False).held
    rig.after(1.0, handle="up").after(30.0)
    assert rig.all_up
    assert "handle_lock_forced" not in rig.names
    assert rig.after(1.0, handle="down").after(30.0).after(1.0, strut=True).held


def test_without_bus_power_nothing_holds_it() -> None:
    """TM 55-1510-222-10: battery off: the hook's solenoid has no current."""
    rig = Rig(power=PACK).after(1.0, bus=False)
    assert not rig.held
    (word,) = rig.lock.values
    assert word.read(rig.loop.world(rig.now_s)) == "unpowered"
    assert rig.after(1.0, bus=None).held, "unknown counts as powered"
    rig.after(1.0, bus=False).after(1.0, handle="up").after(60.0)
    assert rig.all_down


def test_the_override_of_the_squat_switches_used_on_the_ground_moves_nothing() -> None:
    """A-19, M-12: TM 55-1510-222-10: override, handle up on the ground: horn, red, no leg moves."""
    bench = Bench(twin(air_ground={"retract_override": True}))
    bench.at(0.0, switches("down", squat_override=False), ground(gear_handle=DOWN))
    bench.after(1.0, switches("down", squat_override=True))
    bench.after(1.0, switches("up", squat_override=True))
    bench.after(60.0)
    assert bench.horn == "intermittent"
    assert "handle_red" in bench.lit
    assert bench.command == "down"
    assert {"nose_green", "left_green", "right_green"} <= bench.lit
    assert "squat_override_refused" in bench.names
