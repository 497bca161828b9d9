"""The order of the systems; nothing else here names one.

What a system publishes the later ones see in the same pass. A few earlier ones read later ones (the
hydraulics what the gear and the brakes draw, the brakes' supply what the wheels ask for, the
emergency extension what the brakes take, the wheel locks which wheels are watched, the override of
the squat switches where the handle stands, the lock of a wheel whether it is steered), and then the
pass is repeated.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import Any

from panelbridge.errors import LogicError
from panelbridge.logic.agreement.system import Agreement
from panelbridge.logic.air_ground.system import AirGround
from panelbridge.logic.aircraft_base import AircraftBase
from panelbridge.logic.alerts.system import MasterAlerts
from panelbridge.logic.antiskid.monitor import AntiskidMonitor
from panelbridge.logic.antiskid.sensors import WheelSensors
from panelbridge.logic.antiskid.system import AntiSkid
from panelbridge.logic.antiskid.wheel_locks import WheelLocks
from panelbridge.logic.brake_heat.system import BrakeHeat
from panelbridge.logic.brakes.antiskid_drain import AntiskidDrain
from panelbridge.logic.brakes.pedals import BrakePedals
from panelbridge.logic.brakes.supply import BrakeSupply
from panelbridge.logic.brakes.system import Brakes
from panelbridge.logic.brakes.wheels import WheelBrakes
from panelbridge.logic.cold_weather.system import ColdWeather
from panelbridge.logic.emergency.system import Emergency
from panelbridge.logic.gear.system import LandingGear
from panelbridge.logic.gear_warning.system import GearWarning
from panelbridge.logic.handle_lock.override import SquatOverride
from panelbridge.logic.handle_lock.system import HandleLock
from panelbridge.logic.hydraulics.gauge import FedPressure
from panelbridge.logic.hydraulics.system import Hydraulics
from panelbridge.logic.kit.chart import Chart
from panelbridge.logic.kit.declarations import EventTexts, Group, Misfit, Want
from panelbridge.logic.kit.handles import Switch
from panelbridge.logic.kit.system import Build, System
from panelbridge.logic.lamps.system import Lamps
from panelbridge.logic.landing_brake.system import LandingBrake
from panelbridge.logic.missing_data.system import MissingData
from panelbridge.logic.night_light.system import NightLight
from panelbridge.logic.own.horn import OwnHorn
from panelbridge.logic.own.lamps import OwnLamps
from panelbridge.logic.own.switches import OwnSwitches
from panelbridge.logic.panel_numbers import PanelNumbers
from panelbridge.logic.simulation.system import Simulation
from panelbridge.logic.speed_limits.system import SpeedLimits
from panelbridge.logic.steering.system import Steering
from panelbridge.logic.takeoff_warning.system import TakeoffWarning
from panelbridge.logic.wheel_lock.system import WheelLock

ORDER: tuple[type[System[Any]], ...] = (
    Simulation,
    AirGround,
    Hydraulics,
    FedPressure,
    Emergency,
    SquatOverride,
    LandingGear,
    Agreement,
    HandleLock,
    BrakePedals,
    BrakeSupply,
    Brakes,
    WheelSensors,
    WheelLocks,
    AntiskidMonitor,
    AntiSkid,
    WheelBrakes,
    AntiskidDrain,
    BrakeHeat,
    LandingBrake,
    WheelLock,
    Steering,
    GearWarning,
    TakeoffWarning,
    MissingData,
    SpeedLimits,
    ColdWeather,
    NightLight,
    MasterAlerts,
    OwnSwitches,
    OwnHorn,
    OwnLamps,
    Lamps,
)

GROUPS: tuple[Group, ...] = tuple(group for kind in ORDER for group in kind.groups)
"""Every group of an aircraft file."""
CHARTS: tuple[type[Chart], ...] = tuple(chart for kind in ORDER for chart in kind.charts)
SWITCHES: Mapping[str, Switch[Any]] = {
    switch.name: switch for kind in ORDER for switch in kind.switches
}
"""Every switch that a system can read, by name."""
EVENTS: EventTexts = {name: text for kind in ORDER for name, text in kind.events.items()}
"""Level and text of every event of the logic."""


class _Same:
    """An aircraft as the key of what is made from it: the same object, not an equal one."""

    def __init__(self, aircraft: AircraftBase) -> None:
        self.aircraft = aircraft

    def __hash__(self) -> int:
        return id(self.aircraft)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and self.aircraft is other.aircraft


def fresh_systems(
    aircraft: AircraftBase, panel: PanelNumbers | None = None
) -> tuple[System[Any], ...]:
    """The systems for one logic; what they declare is checked and made once for each aircraft.

    Raises:
        LogicError: parts of the aircraft do not fit one another.
    """
    return tuple([one.fresh() for one in _sound_systems(_Same(aircraft), panel or PanelNumbers())])


@lru_cache(maxsize=8)
def _sound_systems(same: _Same, panel: PanelNumbers) -> tuple[System[Any], ...]:
    for misfit in misfits_of(same.aircraft):
        if not misfit.is_warning:
            where = ".".join(str(step) for step in misfit.path)
            raise LogicError(f"{where}: {misfit.what}", hint=misfit.hint)
    return make_systems(same.aircraft, panel)


def make_systems(
    aircraft: AircraftBase, panel: PanelNumbers | None = None
) -> tuple[System[Any], ...]:
    """The systems of an aircraft, in their order.

    Raises:
        LogicError: a lamp of the builder's own names a signal that does not exist.
    """
    made: tuple[System[Any], ...] = ()
    for kind in ORDER:
        system = kind.of(Build(aircraft, panel or PanelNumbers(), made))
        if system is not None:
            made = (*made, system)
    return made


def misfits_of(aircraft: AircraftBase) -> Iterator[Misfit]:
    """Everything that one group asks for and another group does not have."""
    for kind in ORDER:
        yield from kind.misfits(aircraft)


def wants_of(aircraft: AircraftBase) -> Iterator[Want]:
    """Values that the systems can do without, and what suffers when a feed does not give them."""
    for kind in ORDER:
        yield from kind.wants(aircraft)
