"""Samples and traces made by hand: a logic stepped by a script, kept as the bench keeps it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import cache
from itertools import zip_longest
from math import inf
from pathlib import Path
from typing import Any

from msgspec.structs import replace

from panelbridge.bench.language.expectations import Spot
from panelbridge.bench.language.plan import ScenarioPlan
from panelbridge.bench.language.signals_by_name import signals_of
from panelbridge.bench.language.targets import Targets
from panelbridge.bench.verdict.failure import Failure
from panelbridge.bench.verdict.trace import Mark, Sample, ScenarioResult, Trace
from panelbridge.config.aircraft_file import AircraftFile
from panelbridge.config.load import load_aircraft, load_panel
from panelbridge.config.panel_file import PanelFile
from panelbridge.logic.aircraft_values import cells_of
from panelbridge.logic.gear.facts import GearFacts, LegFacts
from panelbridge.logic.kit.world import Facts
from panelbridge.logic.lamps.facts import ShownFacts
from panelbridge.logic.panel_logic import PanelLogic
from panelbridge.signals import (
    AircraftState,
    GearPosition,
    HandleContacts,
    StepResult,
    SwitchState,
    Value,
)
from tests.bench.plain import plain_config

Run = Callable[..., ScenarioResult]
"""Runs a scenario whose steps are given as text: the fixture of that name."""
FILE = "scenarios/approach.yaml"


@cache
def twin_jet() -> AircraftFile:
    """The aircraft of few systems."""
    return load_aircraft(plain_config("aircraft/twin_jet.yaml"))


@cache
def demo_panel() -> PanelFile:
    """Its panel, with a lamp of every kind."""
    return load_panel(plain_config("panels/demo_panel.yaml")).panel


CRUISE = AircraftState(
    airspeed_kias=250.0,
    altitude_ft=5000.0,
    ground_speed_kt=260.0,
    throttle_fraction=(0.7, 0.7),
    flap_deg=0.0,
    strut_compressed=(False, False, False),
    gear_handle=GearPosition.UP,
    hydraulic_pressure_psi=3000.0,
)
GEAR_UP = SwitchState(
    gear_handle=HandleContacts.UP,
    horn_silence=False,
    lamp_test=False,
    warning_test=False,
    steering_button=False,
    dimmer=1.0,
)


def having(sample: Sample, *facts: Facts, time_s: float | None = None, **shown: Any) -> Sample:
    """The sample with other facts, and with other fields of what the panel shows."""
    over: dict[type[Facts], Facts] = {type(one): one for one in facts}
    if shown:
        over[ShownFacts] = replace(sample.shown, **shown)
    return Sample(sample.time_s if time_s is None else time_s, sample.having(over))


def having_legs(sample: Sample, legs: Iterable[LegFacts], **more: Any) -> Sample:
    """The sample with other legs; ``more`` as of ``having``."""
    return having(sample, replace(sample[GearFacts], legs=tuple(legs)), **more)


def cells_in(aircraft: AircraftFile, state: AircraftState) -> dict[Any, Any]:
    """The values of a state as cells of a world."""
    found: dict[Any, Any] = {}
    for field, cells in cells_of(aircraft).items():
        raw = getattr(state, field)
        if cells and cells[0].place is None:
            found[cells[0]] = raw
        else:
            found.update(zip_longest(cells, raw))
    return found


def recorded(result: ScenarioResult) -> list[tuple[float, dict[str, Value]]]:
    """What every signal was in every sample."""
    signals = signals_of(result.plan.aircraft, result.plan.panel).values()
    return [
        (sample.time_s, {one.name: one.read(sample) for one in signals})
        for sample in result.trace.samples
    ]


class Maker:
    """Steps a logic through a script and keeps a trace.

    Args:
        start: the aircraft's first state.
        switches: the switches' first state.
        name: of the scenario.
        case: of the scenario.
        panel: the panel file, None = none.
    """

    def __init__(
        self,
        start: AircraftState = CRUISE,
        switches: SwitchState = GEAR_UP,
        *,
        name: str = "Approach",
        case: str = "",
        panel: PanelFile | None = None,
    ) -> None:
        self.logic = PanelLogic(twin_jet())
        self.trace = Trace()
        self.now_s = 0.0
        self.switches = switches
        self.aircraft = start
        self.dead: set[str] = set()
        self.failures: list[Failure] = []
        self.plan = ScenarioPlan(name, case, "", Path(FILE), twin_jet(), panel, start, {}, (), None)
        self._step(0.0)

    def _step(self, now_s: float) -> StepResult:
        result = self.logic.step(now_s, self.switches, self.aircraft)
        shown = {n: 0 if n in self.dead else v for n, v in result.outputs.lamps.items()}
        sample = having(Sample(now_s, self.logic.world()), lamps=shown)
        self.trace.samples.append(sample)
        self.trace.events.extend(result.events)
        self.trace.end_s = self.now_s = now_s
        return result

    def wait(self, for_s: float) -> Maker:
        """Let time pass, with a step at every timer."""
        until_s = self.now_s + for_s
        while (due_s := self.logic.next_due_s) <= until_s and due_s < inf:
            self._step(max(due_s, self.now_s))
        self.now_s = self.trace.end_s = until_s
        return self

    def switch(self, **changes: Any) -> Maker:
        """Move switches now."""
        self.switches = self.switches.having(**changes)
        self._step(self.now_s)
        return self

    def fly(self, **changes: Any) -> Maker:
        """Give aircraft values now."""
        self.aircraft = replace(self.aircraft, **changes)
        self._step(self.now_s)
        return self

    def ramp(self, over_s: float, step_s: float = 0.02, **targets: float) -> Maker:
        """Move aircraft numbers in straight lines; ``throttles`` moves all levers."""
        begun = self.aircraft
        start_s = self.now_s
        steps = max(round(over_s / step_s), 1)
        for number in range(1, steps + 1):
            part = number / steps
            values: dict[str, Any] = {}
            for name, target in targets.items():
                if name == "throttles":
                    values["throttle_fraction"] = tuple(
                        (old or 0.0) + part * (target - (old or 0.0))
                        for old in begun.throttle_fraction
                    )
                else:
                    old = getattr(begun, name) or 0.0
                    values[name] = old + part * (target - old)
            self.wait(max(start_s + over_s * part - self.now_s, 0.0))
            self.fly(**values)
        return self

    def mark(self, text: str, line: int = 1, **more: Any) -> Maker:
        """A step began, or an expectation ended, now."""
        self.trace.marks.append(Mark(self.now_s, text, Spot(FILE, line, 5), **more))
        return self

    def fail(self, expected: str, actual: str, line: int = 1, **more: Any) -> Maker:
        """An expectation failed now."""
        spot = Spot(FILE, line, 5)
        last = tuple(f"{h.time_s:9.3f} s  {h.text}" for h in self.trace.events[-5:])
        reasons: Mapping[str, Any] = more.pop("reasons", {})
        self.failures.append(Failure(spot, self.now_s, expected, actual, last, reasons))
        return self.mark(f"expected {expected}, was {actual}", line, failed=True)

    @property
    def result(self) -> ScenarioResult:
        """What came of it."""
        return ScenarioResult(self.plan, tuple(self.failures), self.trace)


def approach(*, failing: bool = False, panel: PanelFile | None = None) -> ScenarioResult:
    """An approach: levers closed, horn, silenced, flaps, gear down, touch-down, lamp test."""
    maker = Maker(panel=panel, case="steep" if failing else "")
    maker.mark("levers to idle", 10).ramp(4.0, throttles=0.2, airspeed_kias=170.0)
    maker.wait(1.0).mark("horn: intermittent", 12, passed=True)
    maker.mark("silence pressed", 14).switch(horn_silence=True).wait(0.3)
    maker.switch(horn_silence=False).wait(1.0).mark("horn: silent", 15, passed=True)
    maker.ramp(3.0, flap_deg=30.0, altitude_ft=1500.0).wait(1.5)
    maker.mark("horn: continuous", 18, passed=True)
    maker.mark("gear down", 20).switch(gear_handle=HandleContacts.BETWEEN).wait(0.25)
    maker.switch(gear_handle=HandleContacts.DOWN)
    if failing:
        maker.wait(3.0)
        maker.fail("nose_green lit within 3 s", "nose_green is dark", 22)
    maker.wait(8.0).mark("gear: locked_down", 24, passed=True)
    maker.ramp(5.0, altitude_ft=0.0, airspeed_kias=125.0)
    maker.fly(strut_compressed=(False, True, True)).wait(0.7)
    maker.fly(strut_compressed=(True, True, True)).wait(1.0)
    maker.switch(dimmer=0.3).wait(1.5)
    maker.switch(lamp_test=True).wait(1.0).switch(lamp_test=False).wait(1.0)
    maker.switch(steering_button=True).wait(1.0)
    return maker.result


TARGETS = Targets()
"""The shipped aircraft and panels, read once by the tests of a worker."""
