"""The library for flight dynamics: an aircraft of ours in it, stepped, read and moved."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

from panelbridge.errors import FeedError
from panelbridge.extras import require_extra
from panelbridge.feeds.flight_model.motion import FlightControls, Motion

STEP_S = 0.01
"""Period of the integration, s: a whole part of the autopilot's period."""
MODELS = Path(__file__).parent / "models"
"""The models' files in the library's own layout."""
_EARTH_FT = 20_925_646.0


class NotANumber(Exception):  # noqa: N818 - named for what happened
    """The model has given a value that is no number: nothing of it can be trusted any more."""


class FlightLibrary:
    """One aircraft in the library. It opens no port and prints nothing.

    Args:
        model: folder of the aircraft.
        engines: number of its engines.
        wheel_height_ft: centre of gravity above the ground when parked.
        aside_ft: where it stands, to the right of the runway's centre line.
        root: folder of the library's files.

    Raises:
        UsageError: the library is not installed.
        FeedError: it cannot load the model.
    """

    def __init__(
        self,
        model: str,
        *,
        engines: int,
        wheel_height_ft: float,
        aside_ft: float = 0.0,
        root: Path = MODELS,
    ) -> None:
        library = require_extra("jsbsim", "fdm")
        library.FGJSBBase().debug_lvl = 0  # shared by all of the library: no word to the console
        fdm = library.FGFDMExec(str(root), None)
        fdm.set_dt(STEP_S)
        try:
            loaded = fdm.load_model(model)
        except library.BaseError as error:
            raise FeedError(f"the flight model '{model}' cannot be loaded: {error}") from error
        if not loaded:
            raise FeedError(f"the flight model '{model}' cannot be loaded")
        fdm.disable_input()  # a model's file can ask for ports
        fdm.disable_output()
        fdm["ic/h-agl-ft"] = wheel_height_ft
        fdm["ic/psi-true-deg"] = 0.0
        fdm["ic/lat-gc-deg"] = 0.0
        fdm["ic/long-gc-deg"] = math.degrees(aside_ft / _EARTH_FT)
        fdm.run_ic()
        self._fdm: Any = fdm
        self._error: type[Exception] = library.BaseError
        self._engines = engines
        self._wheel_height_ft = wheel_height_ft
        self._steps = 0
        self._engines_run = False

    def step(self) -> None:
        """One period of the integration. Raises: NotANumber."""
        try:
            self._fdm.run()
        except self._error as error:
            raise NotANumber(str(error)) from error
        self._steps += 1

    def value(self, name: str) -> float:
        """A property of the model. Raises: NotANumber."""
        value = float(self._fdm[name])
        if not math.isfinite(value):
            raise NotANumber(name)
        return value

    def set(self, name: str, value: float) -> None:
        """Set a property of the model."""
        self._fdm[name] = value

    def motion(self) -> Motion:
        """How it moves. Raises: NotANumber."""
        value = self.value
        heading_deg = value("attitude/psi-deg")
        return Motion(
            time_s=self._steps * STEP_S,
            ahead_ft=value("position/lat-gc-rad") * _EARTH_FT,
            aside_ft=value("position/long-gc-rad") * _EARTH_FT,
            wheels_ft=value("position/h-agl-ft") - self._wheel_height_ft,
            kias=value("velocities/vc-kts"),
            ground_kt=value("velocities/vg-fps") * 3600.0 / 6076.115,
            heading_deg=heading_deg - 360.0 if heading_deg > 180.0 else heading_deg,
            pitch_deg=value("attitude/theta-deg"),
            bank_deg=value("attitude/phi-deg"),
            path_deg=value("flight-path/gamma-deg"),
            attack_deg=value("aero/alpha-deg"),
            rates_deg_s=(
                math.degrees(value("velocities/p-rad_sec")),
                math.degrees(value("velocities/q-rad_sec")),
                math.degrees(value("velocities/r-rad_sec")),
            ),
            on_ground=self.each_leg("WOW", 0.5),
            legs=(
                value("gear/unit[0]/pos-norm"),
                value("gear/unit[1]/pos-norm"),
                value("gear/unit[2]/pos-norm"),
            ),
        )

    def each_leg(self, name: str, above: float) -> tuple[bool, bool, bool]:
        """Whether a property of the legs is above a limit: nose, left, right."""
        nose, left, right = (self.value(f"gear/unit[{leg}]/{name}") > above for leg in range(3))
        return nose, left, right

    def move(self, controls: FlightControls) -> None:
        """Take the autopilot's controls, but those that the panel moves."""
        for engine in range(self._engines):
            self._fdm[f"fcs/throttle-cmd-norm[{engine}]"] = controls.throttle
        self._fdm["fcs/elevator-cmd-norm"] = controls.elevator
        self._fdm["fcs/aileron-cmd-norm"] = controls.aileron
        self._fdm["fcs/rudder-cmd-norm"] = controls.rudder
        self._fdm["fcs/flap-cmd-norm"] = controls.flaps
        self._fdm["fcs/speedbrake-cmd-norm"] = controls.speed_brake
        if controls.engines is not self._engines_run:
            self._engines_run = controls.engines
            if controls.engines:
                self._fdm["propulsion/set-running"] = -1.0  # all of them
            else:
                self._fdm["propulsion/cutoff_cmd"] = 1.0
