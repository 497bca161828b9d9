"""A made-up run to look at the screen without engine, board or feed.

``python -m tests.dashboard.made_up_run`` lets you move the switches: the legs follow the handle,
the lamps follow the legs, and a second board goes away for a while. ``--scene horn`` (or start,
cruise, transit, lost, refused, finished, not_yet) shows one moment; ``--scene full`` one of an
aircraft that has every system. ``--real`` shows it as with real boards.
"""

from __future__ import annotations

import argparse

from msgspec.structs import replace

from panelbridge.clock import LiveClock
from panelbridge.engine.snapshot import KEPT_EVENTS, Snapshot
from panelbridge.signals import Event, GearPosition, HornPattern, LegState, Level, LogicView
from tests.dashboard import scenes
from tests.dashboard.fakes import FakeControls, FakeSource, app_for, full_app, show_switches

LEG_TRAVEL_S = {"nose": 4.0, "left": 3.2, "right": 3.6}


class MadeUpRun:
    """Imitates a run without any rule of the real logic."""

    def __init__(self, controls: FakeControls) -> None:
        self._clock = LiveClock()
        self._controls = controls
        self._before_s = 0.0
        self._travel = dict.fromkeys(LEG_TRAVEL_S, 1.0)
        self._events: list[Event] = []
        self._moves = 0

    def snapshot(self) -> Snapshot:
        """The moment that it is now."""
        now_s = self._clock.now()
        step_s, self._before_s = now_s - self._before_s, now_s
        down = self._controls.places["gear_handle"] == "down"
        legs = []
        for name, travel_s in LEG_TRAVEL_S.items():
            way = step_s / travel_s * (1 if down else -1)
            travel = min(max(self._travel[name] + way, 0.0), 1.0)
            self._travel[name] = travel
            moving = LegState.EXTENDING if down else LegState.RETRACTING
            state = {0.0: LegState.UP_LOCKED, 1.0: LegState.DOWN_LOCKED}.get(travel, moving)
            legs.append(scenes.leg(name, state, travel, False))
        for name, position in self._controls.moves[self._moves :]:
            text = f"{name} moved to {position}"
            self._events.append(Event(now_s, "switch_moved", Level.INFO, text, name))
        self._moves = len(self._controls.moves)

        test = self._controls.places["lamp_test"] == "pressed"
        steering = self._controls.places["steering_button"] == "pressed"
        light = int(255 * float(self._controls.places["dimmer"]))
        green = [light if test or leg.locks.is_down else 0 for leg in legs]
        red = [light if test or 0 < (leg.travel_fraction or 0) < 1 else 0 for leg in legs]
        outputs = scenes.lamps(green, red, light if any(red) else 0, light * steering)
        lost = now_s % 40 > 32
        pedestal = replace(
            scenes.LOST.boards[0] if lost else scenes.PEDESTAL_BOARD,
            name="pedestal",
            frames_received=int(now_s * 100),
        )
        gear = replace(
            scenes.GEAR_BOARD,
            frames_received=int(now_s * 100),
            frames_sent=int(now_s * 99),
            round_trip_ms=2.0 + now_s % 0.7,
        )
        gauge = {"hydraulic_pressure": 2850.0 - 400 * any(red)}
        horn = HornPattern.CONTINUOUS if test else HornPattern.SILENT
        return replace(
            show_switches(scenes.CRUISE, self._controls),
            time_s=now_s,
            aircraft=replace(
                scenes.CRUISE.aircraft,
                airspeed_kias=140 + 20 * (now_s % 3),
                altitude_ft=2000 + 17 * now_s,
            ),
            outputs=replace(outputs, gauges=gauge, horn=horn),
            logic=LogicView(
                legs=tuple(legs),
                handle=GearPosition.DOWN if down else GearPosition.UP,
                gear_demand=GearPosition.DOWN if down else GearPosition.UP,
                on_ground=False,
                gear_disagrees=any(leg.locks.is_down is not down for leg in legs),
                warning_causes=("lamp test",) if test else (),
                steering_engaged=steering,
                faults=("board pedestal is away",) if lost else (),
            ),
            boards=(gear, pedestal),
            events=tuple(self._events[-KEPT_EVENTS:]),
            event_count=len(self._events),
            phase="made up",
        )


def main() -> None:
    """Open the screen."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--scene")
    parser.add_argument("--real", action="store_true")
    options = parser.parse_args()
    controls = FakeControls()
    source: FakeSource | MadeUpRun = MadeUpRun(controls)
    if options.scene == "full":
        full_app(real=options.real, refresh_hz=10.0).run()
        return
    if options.scene:
        source = FakeSource(getattr(scenes, options.scene.upper()))
    app_for(source, None if options.real else controls, refresh_hz=10.0).run()


if __name__ == "__main__":
    main()
