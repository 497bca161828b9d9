"""Made-up moments of a run, for tests and for looking at the screen."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from panelbridge.dashboard.interfaces import LampLook, SwitchControl
from panelbridge.engine.snapshot import Snapshot
from panelbridge.link.session import BoardHealth, LinkState
from panelbridge.signals import (
    AircraftState,
    Commands,
    Event,
    GearPosition,
    HandleContacts,
    HornPattern,
    LegLocks,
    LegState,
    LegView,
    Level,
    LogicView,
    Outputs,
    SwitchState,
)

LEGS = ("nose", "left", "right")
LAMPS = (
    LampLook("nose_green", "nose down", "green", "gear_panel"),
    LampLook("left_green", "left down", "green", "gear_panel"),
    LampLook("right_green", "right down", "green", "gear_panel"),
    LampLook("nose_red", "nose unsafe", "red", "gear_panel"),
    LampLook("left_red", "left unsafe", "red", "gear_panel"),
    LampLook("right_red", "right unsafe", "red", "gear_panel"),
    LampLook("handle_red", "handle knob", "red", "gear_panel"),
    LampLook("steering", "steering on", "white", "gear_panel"),
)
HORN_BOARD = "gear_panel"
FEW_LAMPS = LAMPS[:3]
"""A small panel: three green lamps, the others are not fitted."""
NOT_YET = Snapshot()


def leg(name: str, state: LegState, travel: float, weight: bool) -> LegView:
    """A leg whose lock switches say what its state says."""
    locks = LegLocks(state is LegState.UP_LOCKED, state is LegState.DOWN_LOCKED)
    return LegView(name, state, travel, weight, locks)


def lamps(green: Sequence[int], red: Sequence[int], handle: int = 0, steer: int = 0) -> Outputs:
    """Brightness of every lamp, and the gauge."""
    values = {f"{name}_green": value for name, value in zip(LEGS, green, strict=True)}
    values |= {f"{name}_red": value for name, value in zip(LEGS, red, strict=True)}
    values |= {"handle_red": handle, "steering": steer}
    return Outputs(lamps=values, gauges={"hydraulic_pressure": 2850.0})


GEAR_BOARD = BoardHealth(
    "gear_panel",
    "uno",
    "simboard://gear",
    LinkState.LIVE,
    frames_received=4184,
    frames_sent=4179,
    round_trip_ms=2.3,
)
PEDESTAL_BOARD = BoardHealth(
    "pedestal",
    "pico",
    "/dev/ttyACM1",
    LinkState.LIVE,
    frames_received=12207,
    frames_sent=12201,
    frame_errors=3,
    round_trip_ms=1.1,
    reconnects=1,
)
PARKED = AircraftState(
    airspeed_kias=0.0,
    altitude_ft=620.0,
    ground_speed_kt=0.0,
    throttle_fraction=(0.05, 0.05),
    flap_deg=0.0,
    strut_compressed=(True, True, True),
    gear_handle=GearPosition.DOWN,
    hydraulic_pressure_psi=2850.0,
)
FREE = SwitchState(
    gear_handle=HandleContacts.DOWN,
    horn_silence=False,
    lamp_test=False,
    warning_test=False,
    steering_button=False,
    dimmer=0.7,
)
LOG = (
    Event(0.1, "board_live", Level.INFO, "board gear is live on simboard://gear", "gear"),
    Event(2.0, "lamp_test_began", Level.INFO, "lamp test began"),
    Event(4.0, "lamp_test_ended", Level.INFO, "lamp test ended"),
    Event(9.0, "steering_engaged", Level.INFO, "nose-wheel steering engaged"),
    Event(19.0, "steering_released", Level.INFO, "nose-wheel steering released"),
)

START = Snapshot(
    time_s=0.4,
    aircraft_name="twin trainer",
    panel_name="bench panel",
    switches=FREE.having(gear_handle=HandleContacts.DOWN),
    aircraft=replace(PARKED, hydraulic_pressure_psi=285.0),
    outputs=replace(lamps((178,) * 3, (0,) * 3), gauges={"hydraulic_pressure": 285.0}),
    logic=LogicView(
        legs=tuple(leg(name, LegState.DOWN_LOCKED, 1.0, True) for name in LEGS),
        handle=GearPosition.DOWN,
        gear_demand=GearPosition.DOWN,
    ),
    boards=(replace(GEAR_BOARD, frames_received=21, frames_sent=19),),
    events=LOG[:1],
    event_count=1,
    feed_name="demonstration flight",
    feed_fresh=True,
    phase="parked",
)

CRUISE = replace(
    START,
    time_s=86.2,
    switches=FREE.having(gear_handle=HandleContacts.UP),
    aircraft=AircraftState(
        airspeed_kias=228.0,
        altitude_ft=6400.0,
        ground_speed_kt=228.0,
        throttle_fraction=(0.68, 0.68),
        flap_deg=0.0,
        strut_compressed=(False, False, False),
        gear_handle=GearPosition.UP,
        hydraulic_pressure_psi=2850.0,
    ),
    outputs=lamps((0,) * 3, (0,) * 3),
    commands=Commands(GearPosition.UP),
    logic=LogicView(
        legs=tuple(leg(name, LegState.UP_LOCKED, 0.0, False) for name in LEGS),
        handle=GearPosition.UP,
        gear_demand=GearPosition.UP,
        on_ground=False,
    ),
    boards=(GEAR_BOARD,),
    events=(
        *LOG,
        Event(47.0, "gear_selected_up", Level.INFO, "gear handle moved up"),
        Event(52.1, "leg_locked_up", Level.INFO, "left leg locked up", "left"),
        Event(52.4, "leg_locked_up", Level.INFO, "right leg locked up", "right"),
        Event(53.0, "leg_locked_up", Level.INFO, "nose leg locked up", "nose"),
    ),
    event_count=9,
    phase="cruise",
)

TRANSIT = replace(
    CRUISE,
    time_s=127.6,
    switches=FREE.having(gear_handle=HandleContacts.DOWN),
    outputs=lamps((0, 178, 0), (178, 0, 178), handle=178),
    logic=LogicView(
        legs=(
            leg("nose", LegState.UNLOCKING_TO_EXTEND, 0.0, False),
            leg("left", LegState.DOWN_LOCKED, 1.0, False),
            leg("right", LegState.EXTENDING, 0.62, False),
        ),
        handle=GearPosition.DOWN,
        gear_demand=GearPosition.DOWN,
        on_ground=False,
        gear_disagrees=True,
    ),
    events=(
        *CRUISE.events,
        Event(124.0, "gear_selected_down", Level.INFO, "gear handle moved down"),
        Event(127.5, "leg_locked_down", Level.INFO, "left leg locked down", "left"),
    ),
    event_count=11,
    phase="approach",
)

HORN = replace(
    CRUISE,
    time_s=97.3,
    aircraft=replace(CRUISE.aircraft, throttle_fraction=(0.08, 0.64), airspeed_kias=221.0),
    outputs=replace(
        lamps((0,) * 3, (255,) * 3, handle=255),
        horn=HornPattern.INTERMITTENT,
    ),
    logic=replace(
        CRUISE.logic,
        warning_causes=(
            "throttle of engine 1 is closed (8 %) and the gear is not locked down",
            "flaps are set for landing and the gear is not locked down",
        ),
    ),
    events=(
        *CRUISE.events,
        Event(
            95.0,
            "warning_began",
            Level.WARNING,
            "horn sounds: throttle of engine 1 is closed and the gear is not locked down",
        ),
    ),
    event_count=10,
    phase="idle descent",
)

LOST = replace(
    CRUISE,
    time_s=90.0,
    switches=SwitchState(),
    boards=(
        replace(
            GEAR_BOARD,
            url="COM5",
            state=LinkState.WAITING,
            message="COM5: the port went away while it was open\n"
            "    plug the board in again; the next try comes in 2 s",
        ),
        PEDESTAL_BOARD,
    ),
    logic=replace(
        CRUISE.logic,
        faults=("the gear handle is unknown: board gear is not connected",),
    ),
    events=(
        *CRUISE.events,
        Event(88.5, "board_lost", Level.FAULT, "board gear was lost: COM5 went away", "gear"),
    ),
    event_count=10,
)

REFUSED = replace(
    START,
    time_s=3.0,
    switches=SwitchState(),
    outputs=lamps((0,) * 3, (0,) * 3),
    boards=(
        replace(
            GEAR_BOARD,
            url="COM5",
            state=LinkState.REFUSED,
            frames_received=2,
            frames_sent=1,
            round_trip_ms=None,
            message="COM5: the board is a mega2560 and the panel file says uno\n"
            "    write 'board: mega2560' under 'boards: gear:' in the panel file, "
            "or plug in the right board",
        ),
    ),
    events=(
        Event(
            1.9,
            "board_refused",
            Level.FAULT,
            "board gear was refused: it is a mega2560 and the panel file says uno",
            "gear",
        ),
    ),
    event_count=1,
)

FINISHED = replace(START, time_s=192.0, finished=True, phase="parked")

SCENES = {
    "start": START,
    "cruise": CRUISE,
    "transit": TRANSIT,
    "horn": HORN,
    "lost": LOST,
    "refused": REFUSED,
}
_PUSH = ("released", "pressed")
SWITCHES = (
    SwitchControl("gear_handle", "Gear handle", "handle", ("up", "down")),
    SwitchControl("horn_silence", "Horn silence", "button", _PUSH),
    SwitchControl("lamp_test", "Lamp test", "button", _PUSH),
    SwitchControl("warning_test", "Warning test", "button", _PUSH),
    SwitchControl("steering_button", "Steering", "button", _PUSH),
    SwitchControl("dimmer", "Dimmer", "lever"),
)
