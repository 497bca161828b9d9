"""An hour of flight through the logic, as a ratio to a hand-written loop and to real time.

``python -m tests.benchmarks.logic_hour`` plays 180,000 steps (50 Hz) in each of which airspeed,
altitude, both throttles, the flaps and the pressure change, through ``PanelLogic`` and through a
loop that evaluates the same conditions by hand and acts on edges alone. Both get the same ready
inputs, in turns in one run, and must give the same horn and the same gauge at every edge.

Told are the median of the rounds, the best and the worst one: each round has both loops one after
the other, so that its ratio is of one moment of the machine. What is wanted is held against the
median and told in words; the exit code says only whether both give the same.
"""

from __future__ import annotations

import argparse
import cProfile
import gc
import pstats
import sys
import time
from collections.abc import Callable, Sequence
from math import isnan, sin
from statistics import median

from panelbridge.logic.panel_logic import PanelLogic
from panelbridge.signals import AircraftState, HandleContacts, SwitchState
from tests.logic.build import UP, twin

STEP_S = 0.02
STEPS = 180_000
RATIO_WANTED = 0.75
REAL_TIME_WANTED = 3600.0
LIMIT, REOPEN, FLAP_LIMIT, SETTLE_S, GAUGE_STEP_PSI = 0.25, 0.28, 20.0, 0.1, 10.0

Edge = tuple[int, str, float]
Play = Callable[[Sequence[AircraftState]], Sequence[object]]
"""Plays a flight; gives its edges."""
SWITCHES = SwitchState(
    gear_handle=HandleContacts.UP,
    horn_silence=False,
    lamp_test=False,
    warning_test=False,
    steering_button=False,
    dimmer_fraction=1.0,
)


def flight(steps: int) -> list[AircraftState]:
    """The aircraft in cruise; each step has new values, every few minutes a condition changes."""
    struts = (False, False, False)
    states = []
    for number in range(steps):
        noise = sin(number * 0.7)
        closed = number % 15_000 > 14_000  # a lever is closed for 20 s every 5 minutes
        beyond = number % 40_000 > 39_500  # the flaps go too far for 10 s
        states.append(
            AircraftState(
                airspeed_kias=200.0 + noise,
                altitude_ft=10_000.0 + number * 0.01,
                throttle_fraction=(
                    (0.15 if closed else 0.7) + 0.01 * noise,
                    0.7 - 0.01 * noise,
                ),
                flap_deg=(25.0 if beyond else 10.0) + 0.1 * noise,
                strut_compressed=struts,
                gear_handle=UP,
                hydraulic_pressure_psi=2900.0 + 4.0 * noise + (20.0 if number % 6000 < 9 else 0.0),
            )
        )
    return states


def ours(states: Sequence[AircraftState]) -> list[Edge]:
    """Every change of horn or gauge."""
    logic = PanelLogic(twin())
    edges: list[Edge] = []
    before = None
    for number, state in enumerate(states):
        result = logic.step(number * STEP_S, SWITCHES, state)
        if result.outputs is not before:
            before = result.outputs
            edges.append((number, before.horn.value, before.gauges["hydraulic_pressure"]))
    return edges


def by_hand(states: Sequence[AircraftState]) -> list[Edge]:
    """The same for a gear that is locked up: compares everything, works on edges alone."""
    raw, settled, due_s = [False, False], [False, False], [float("inf")] * 2
    flaps_beyond, steps_psi, next_due_s, old_s = False, -1, float("inf"), -1.0
    switches: SwitchState | None = None
    old = AircraftState()
    edges: list[Edge] = []
    dirty = True
    for number, state in enumerate(states):
        now_s = number * STEP_S
        if now_s < old_s:
            raise ValueError(now_s)
        old_s = now_s
        if now_s > next_due_s:
            settle(raw, settled, due_s, now_s, inclusive=False)
            next_due_s, dirty = min(due_s), True
        if SWITCHES is not switches:
            switches, dirty = SWITCHES, True
        if state is not old:
            throttles = state.throttle_fraction
            if throttles is not old.throttle_fraction:
                for lever, fraction in enumerate(throttles):
                    if fraction is None or isnan(fraction):
                        continue
                    closed = fraction <= (REOPEN if raw[lever] else LIMIT)
                    if closed is not raw[lever]:
                        raw[lever] = closed
                        changed = closed is not settled[lever]
                        due_s[lever] = now_s + SETTLE_S if changed else float("inf")
                        next_due_s = min(due_s)
            flaps = state.flap_deg
            if flaps != old.flap_deg and flaps is not None and not isnan(flaps):
                beyond = flaps > FLAP_LIMIT
                if beyond is not flaps_beyond:
                    flaps_beyond, dirty = beyond, True
            if state.strut_compressed != old.strut_compressed:
                dirty = True
            if state.gear_handle is not old.gear_handle:
                dirty = True
            pressure = state.hydraulic_pressure_psi
            if pressure != old.hydraulic_pressure_psi:
                steps = -1
                if pressure is not None and not isnan(pressure):
                    steps = round(pressure / GAUGE_STEP_PSI)
                if steps != steps_psi:
                    steps_psi, dirty = steps, True
            old = state
        if now_s >= next_due_s:
            settle(raw, settled, due_s, now_s, inclusive=True)
            next_due_s, dirty = min(due_s), True
        if dirty:
            dirty = False
            sounds = "continuous" if flaps_beyond else "intermittent" if any(settled) else "silent"
            edge = (number, sounds, steps_psi * GAUGE_STEP_PSI)
            if not edges or edges[-1][1:] != edge[1:]:
                edges.append(edge)
    return edges


def settle(
    raw: list[bool], settled: list[bool], due_s: list[float], now_s: float, *, inclusive: bool
) -> None:
    """Settle the levers that are due."""
    for lever, due in enumerate(due_s):
        if due < now_s or (inclusive and due == now_s):
            settled[lever], due_s[lever] = raw[lever], float("inf")


def timed(run: Play, states: Sequence[AircraftState]) -> float:
    """Seconds of the processor for one run: what others do on the machine does not count."""
    gc.collect()
    start = time.process_time()
    run(states)
    return time.process_time() - start


def main() -> int:
    """Run and print; gives the exit code."""
    return compare(ours, by_hand, flight(STEPS), RATIO_WANTED, REAL_TIME_WANTED, __doc__)


def compare(
    ours: Play,
    by_hand: Play,
    states: list[AircraftState],
    ratio_wanted: float,
    real_time_wanted: float,
    description: str | None,
) -> int:
    """Play both as the command line says, and print; the exit code says whether they agree."""
    parser = argparse.ArgumentParser(description=description)
    parser.add_argument("--rounds", type=int, default=5, help="rounds; the median counts")
    parser.add_argument("--profile", action="store_true", help="where our time goes")
    options = parser.parse_args()
    if options.profile:
        with cProfile.Profile() as profile:
            ours(states)
        pstats.Stats(profile).sort_stats("tottime").print_stats(10)
        return 0
    edges = ours(states)
    if edges != by_hand(states):
        print("the two do not give the same")
        return 1
    rounds = [(timed(ours, states), timed(by_hand, states)) for _ in range(options.rounds)]
    steps = len(states)
    print(f"{steps} steps, {len(edges)} edges, {len(rounds)} rounds; median (lowest to highest):")
    for line in report(rounds, steps, ratio_wanted, real_time_wanted):
        print(line)
    return 0


def report(
    rounds: Sequence[tuple[float, float]],
    steps: int,
    ratio_wanted: float,
    real_time_wanted: float,
) -> list[str]:
    """Lines of what the rounds gave.

    Args:
        rounds: seconds of ours and of the loop by hand, a pair a round; at least one.
        steps: in each run.
        ratio_wanted: least part of the loop's speed.
        real_time_wanted: least times real time.
    """
    step_us = [ours_s / steps * 1e6 for ours_s, _ in rounds]
    ratios = [hand_s / ours_s for ours_s, hand_s in rounds]
    speeds = [steps * STEP_S / ours_s for ours_s, _ in rounds]
    return [
        f"a step, us            {spread(step_us, '.2f')}",
        f"hand-written / ours   {spread(ratios, '.2f')}  {wanted(ratios, ratio_wanted)}",
        f"times real time       {spread(speeds, '.0f')}  {wanted(speeds, real_time_wanted)}",
    ]


def spread(values: Sequence[float], form: str) -> str:
    """The median, and from the lowest to the highest."""
    return f"{median(values):{form}} ({min(values):{form}} to {max(values):{form}})"


def wanted(values: Sequence[float], least: float) -> str:
    """Whether the median is as much as is wanted."""
    return f"wanted >= {least:g}: {'met' if median(values) >= least else 'NOT MET'}"


if __name__ == "__main__":
    sys.exit(main())
