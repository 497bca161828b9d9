"""A scenario language of one line a case, for tests of what stands around the bench.

A line ``case: NAME passes``, ``fails`` or ``interrupts`` is a case, ``error: TEXT`` an error.
"""

from __future__ import annotations

from pathlib import Path

from msgspec.structs import replace

from panelbridge.bench.language.expectations import Spot
from panelbridge.bench.language.plan import After, ScenarioPlan, Step
from panelbridge.bench.verdict.failure import Failure
from panelbridge.bench.verdict.trace import Mark, ScenarioResult
from panelbridge.config.yaml_source import read_yaml
from panelbridge.errors import ConfigError, ConfigProblem
from panelbridge.signals import Reason
from tests.bench.made import CRUISE, Maker, twin_jet


def load(path: Path) -> list[ScenarioPlan]:
    """The cases of a file."""
    read_yaml_exists(path)
    plans: list[ScenarioPlan] = []
    errors: list[ConfigProblem] = []
    for number, line in enumerate(path.read_text("utf-8").splitlines(), 1):
        key, _, value = line.partition(": ")
        spot = Spot(str(path), number, 1)
        if key == "error":
            errors.append(ConfigProblem(str(path), number, 1, value, "Mend it"))
        elif key == "case":
            name, _, fate = value.partition(" ")
            step = Step(After(0.0), (), (), fate, spot)
            plans.append(
                ScenarioPlan(path.stem, name, "", path, twin_jet(), None, CRUISE, {}, (step,))
            )
    if errors:
        raise ConfigError(errors)
    return plans


def read_yaml_exists(path: Path) -> None:
    """Raises ConfigError as the loader does when a file cannot be read."""
    if not path.is_file():
        read_yaml(path)


def run(plan: ScenarioPlan) -> ScenarioResult:
    """A short run of the real logic that ends as the file says."""
    fate, spot = plan.steps[0].note, plan.steps[0].spot
    if fate == "interrupts":
        raise KeyboardInterrupt
    result = Maker().wait(1.0).result
    failures: tuple[Failure, ...] = ()
    if fate == "fails":
        reasons = {"nose_green": (Reason("leg locked down", holds=False, detail="in transit"),)}
        failures = (Failure(spot, 1.0, "nose_green lit", "dark", ("leg_unlocked",), reasons),)
        result.trace.marks.append(Mark(1.0, "nose_green", spot, failed=True))
    return replace(result, plan=plan, failures=failures)


def write(folder: Path, name: str, *lines: str) -> Path:
    """A file of this language."""
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text("\n".join(["kind: scenario", *lines, ""]), encoding="utf-8")
    return path
