"""L-10, M-3: TM 55-1510-215-10: the parking brake shall not be set during flight."""

from __future__ import annotations

from tests.logic.test_landing_brake import LAMP, stage


def test_in_the_air_with_the_lever_not_released_there_is_a_caution() -> None:
    """L-10: TM 55-1510-215-10 para. 2-8; as advice: no published rule asks for it (M-3)."""
    one = stage()
    one.after(1.0, parked=True)
    assert one.lit == {LAMP}
    one.after(1.0, parked=False)
    assert one.lit == set()


def test_on_the_stand_it_is_none() -> None:
    """M-6, AC 25.1322-1: set on the ground it is no condition that needs an alert."""
    one = stage(horn_pattern="continuous")
    one.after(1.0, on_ground=True, parked=True)
    assert one.lit == set()
    assert one.system.sounds().value == "silent"
