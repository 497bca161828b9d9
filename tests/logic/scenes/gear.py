"""The gear: doors, power, lock of the handle, lock-out."""

from __future__ import annotations

from panelbridge.signals import Event
from tests.logic.build import Bench, changed, ground, switches, twin
from tests.logic.gear_rig import DOWN, Rig, flying, three_legs


def events() -> list[Event]:
    """What can happen to a gear."""
    doors = flying(legs=three_legs(door={}))
    doors.after(1.0, handle="down").after(60.0)

    pack = flying(DOWN, power={"power": "electric_pack", "travel_limit_s": 14.0})
    pack.fault("nose", "hung").after(1.0, handle="up").after(60.0).press("gear_reset")

    breaker = flying(power={"power": "electric_pack", "breaker": True}).after(1.0, breaker=False)
    breaker.press("breaker")

    slow = flying(
        DOWN, power={"power": "hydraulic", "travel_limit_s": 2.0, "reset_in_flight": False}
    )
    slow.after(1.0, handle="up").after(60.0).press("gear_reset")

    stuck = flying(DOWN).after(1.0, handle="up").after(3.0).fault("nose", "down_switch_stuck")

    held = flying(power={"power": "hydraulic", "uplocks": "pressure"})
    held.after(1.0, hydraulic=False).after(600.0)

    lock = Rig()
    lock.after(1.0, handle="up").after(1.0, handle="down").after(1.0, release=True)
    lock.after(1.0, handle="up")

    out = flying()
    out.press("emergency").after(60.0)
    handle = flying().after(1.0, handle="both").after(1.0, handle="between").after(1.0, handle="up")
    handle.after(1.0, handle="between").after(2.0, handle="unknown").after(1.0, handle="down")
    handle.after(1.0, handle="up").fault("nose", "contradictory")

    unsure = flying(DOWN).after(1.0, strut=None).after(1.0, handle="up").after(1.0, strut=False)
    unsure.after(60.0)
    override = Bench(twin(air_ground={"retract_override": True}))
    panel = switches("down", squat_override=False)
    override.at(0.0, panel, ground(gear_handle=DOWN))
    override.press("squat_override")
    override.after(1.0, aircraft=changed(override.aircraft, strut_compressed=(False, True, False)))
    override.after(60.0)
    override.press("squat_override")
    rigs = (doors, pack, breaker, slow, stuck, held, lock, out, handle, unsure)
    return [event for rig in (*rigs, override) for event in rig.events]
