"""The exact words of a failure, for every kind of expectation, from the file to the console."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest

from panelbridge.bench.language.load_scenario import load_scenarios
from panelbridge.bench.reports.text import result_text
from panelbridge.bench.world.virtual_world import run_scenario
from tests.bench.plain import plain_config

AIRCRAFT = plain_config("aircraft/twin_jet.yaml").as_posix()
DOWN = "  - { at_s: 1, move: { gear_handle: down } }\n"
ON_ITS_WAY = """\
    last happened 1.320 s  the gear handle was moved down
                  1.320 s  the gear was commanded down
                  1.720 s  the nose leg was unlocked
                  1.920 s  the left leg was unlocked
                  1.920 s  the right leg was unlocked"""
ALL_DOWN = """\
    last happened 1.320 s  the gear was commanded down
                  1.720 s  the nose leg was unlocked
                  1.920 s  the left leg was unlocked
                  1.920 s  the right leg was unlocked
                  6.920 s  the nose leg is locked down
                  8.220 s  the left leg is locked down
                  8.520 s  the right leg is locked down
                  8.520 s  the gear is locked down"""

CASES = {
    "now": (
        "  - { at_s: 1, expect: { gear: locked_down, on_ground: false } }\n",
        """\
    test.yaml:7:16 at 1.000 s
    expected      gear is locked_down and on_ground is false
    actual        gear is locked_up
    because       gear: locked_up, since the start
                  looks at       gear_handle is up
                  looks at       simulator_handle is up
                  looks at       strut_nose is extended
                  looks at       strut_left is extended
                  looks at       strut_right is extended
                  looks at       on_ground is false
    last happened nothing""",
    ),
    "now, one of a list and a comparison": (
        "  - { at_s: 1, expect: { nose_leg: [extending, retracting], altitude_ft: "
        "{ at_least: 22000, at_most: 30000 } } }\n",
        """\
    test.yaml:7:16 at 1.000 s
    expected      (nose_leg is extending or nose_leg is retracting) and (altitude_ft at least 22000
                    ft and altitude_ft at most 30000 ft)
    actual        nose_leg is up_locked, altitude_ft is 21000 ft
    because       nose_leg: up_locked, since the start
                  looks at       gear_handle is up
                  looks at       simulator_handle is up
                  looks at       strut_nose is extended
                  looks at       strut_left is extended
                  looks at       strut_right is extended
                  looks at       on_ground is false
    because       altitude_ft: 21000 ft, since the start
    last happened nothing""",
    ),
    "now, not and unknown": (
        "  - { at_s: 1, set: { flap_deg: unknown }, expect: { not: { flap_deg: unknown } } }\n",
        """\
    test.yaml:7:44 at 1.000 s
    expected      not flap_deg is unknown
    actual        flap_deg is unknown
    because       flap_deg: unknown, since 1.000 s; before: 0 degrees
                  set by         the step at test.yaml:7:5
    last happened nothing""",
    ),
    "within": (
        DOWN + "  - { after_s: 1, expect: { legs: down_locked }, within_s: 2.5 }\n",
        f"""\
    test.yaml:8:19 at 4.500 s
    expected      nose_leg is down_locked and left_leg is down_locked and right_leg is down_locked,
                    within 2.5 s
    actual        nose_leg is extending, left_leg is extending, right_leg is extending
    because       nose_leg: extending, since 1.720 s; before: unlocking_to_extend
                  then           the nose leg was unlocked
                  and 3 more that it looks at
    because       left_leg and right_leg alike: extending, since 1.920 s; before:
                    unlocking_to_extend
                  then           the left leg was unlocked
                  and 3 more that it looks at
{ON_ITS_WAY}""",
    ),
    "throughout": (
        "  - { at_s: 1, expect: { gear: locked_up }, throughout_s: 5 }\n"
        "  - { at_s: 2, move: { gear_handle: down } }\n",
        """\
    test.yaml:7:16 at 2.720 s
    expected      gear is locked_up, throughout 5 s
    actual        gear is not_locked
    because       gear: not_locked, since 2.720 s; before: locked_up
                  then           the nose leg was unlocked
                  and 3 more that it looks at
    last happened 2.320 s  the gear handle was moved down
                  2.320 s  the gear was commanded down
                  2.720 s  the nose leg was unlocked""",
    ),
    "throughout to the end": (
        "  - { at_s: 1, expect: { airspeed_kias: { at_least: 200 } }, throughout_s: end }\n"
        "  - { at_s: 3, set: { airspeed_kias: 150 } }\n",
        """\
    test.yaml:7:16 at 3.000 s
    expected      airspeed_kias at least 200 kt, throughout, to the end
    actual        airspeed_kias is 150 kt
    because       airspeed_kias: 150 kt, since 3.000 s; before: 240 kt
                  set by         the step at test.yaml:8:5
    last happened nothing""",
    ),
    "never of a condition": (
        "  - { at_s: 1, never: { flap_deg: { above: 20 }, gear: locked_up }, for_s: 5 }\n"
        "  - { at_s: 3, set: { flap_deg: 21.5 } }\n",
        """\
    test.yaml:7:16 at 3.000 s
    expected      never flap_deg above 20 degrees and gear is locked_up, throughout 5 s
    actual        flap_deg is 21.5 degrees, gear is locked_up
    because       flap_deg: 21.5 degrees, since 3.000 s; before: 0 degrees
                  set by         the step at test.yaml:8:5
    because       gear: locked_up, since the start
                  looks at       gear_handle is up
                  looks at       simulator_handle is up
                  looks at       strut_nose is extended
                  looks at       strut_left is extended
                  looks at       strut_right is extended
                  looks at       on_ground is false
    last happened nothing""",
    ),
    "never of an event": (
        "  - { at_s: 1, never: { event: leg_unlocked } }\n"
        "  - { at_s: 2, move: { gear_handle: down } }\n  - { after_s: 2 }\n",
        """\
    test.yaml:7:16 at 2.720 s
    expected      never leg_unlocked, throughout, to the end
    actual        leg_unlocked: 2.720 s  the nose leg was unlocked
    last happened 2.320 s  the gear handle was moved down
                  2.320 s  the gear was commanded down
                  2.720 s  the nose leg was unlocked""",
    ),
    "in order, of which one came": (
        DOWN + "  - { after_s: 0, in_order: [leg_unlocked nose, gear_locked_down], within_s: 3 }\n",
        f"""\
    test.yaml:8:19 at 4.000 s
    expected      leg_unlocked (nose), then gear_locked_down, within 3 s
    actual        leg_unlocked (nose) at 1.720 s, then no gear_locked_down
{ON_ITS_WAY}""",
    ),
    "in order, of which none came": (
        "  - { at_s: 1, in_order: [gear_locked_up] }\nruns_for_s: 9\n",
        """\
    test.yaml:7:16 at 9.000 s
    expected      gear_locked_up, to the end
    actual        no gear_locked_up
    last happened nothing""",
    ),
    "wait-for that gives up": (
        DOWN + "  - { wait_for: { any: [ { gear: locked_down }, { on_ground: true } ] }, "
        "limit_s: 3 }\n  - { after_s: 1, expect: { gear: locked_down } }\n",
        f"""\
    test.yaml:8:5 at 4.000 s
    expected      gear is locked_down or on_ground is true, within 3 s
    actual        gear is not_locked, on_ground is false
    because       gear: not_locked, since 1.720 s; before: locked_up
                  then           the nose leg was unlocked
                  and 3 more that it looks at
    because       on_ground: false, since the start
                  looks at       strut_nose is extended
                  looks at       strut_left is extended
                  looks at       strut_right is extended
{ON_ITS_WAY}
    not decided   the scenario ended before these could be:
                  test.yaml:9:19  gear is locked_down""",
    ),
    "step whose time is past after a wait": (
        DOWN + "  - { wait_for: { gear: locked_down } }\n"
        "  - { at_s: 8, expect: { gear: locked_down } }\n",
        f"""\
    test.yaml:9:5 at 8.520 s
    expected      this step begins at 8 s
    actual        the step before it began at 8.520 s only, after a wait
{ALL_DOWN}""",
    ),
}


def _reported(folder: Path, monkeypatch: pytest.MonkeyPatch, steps: str) -> str:
    path = Path("test.yaml")
    monkeypatch.chdir(folder)
    head = f"kind: scenario\nformat: 2\nname: Test\naircraft: {AIRCRAFT}\nstart: cruise clean\n"
    path.write_text(f"{head}steps:\n{steps}", encoding="utf-8")
    (plan,) = load_scenarios(path)
    return result_text(run_scenario(plan))


@pytest.mark.parametrize(("steps", "block"), CASES.values(), ids=CASES)
def test_a_failure_is_reported_in_exactly_these_words(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, steps: str, block: str
) -> None:
    first, _, rest = _reported(tmp_path, monkeypatch, steps).partition("\n")
    assert first.startswith("FAILED  Test ")
    assert rest.split("\n") == block.split("\n")


def test_a_long_reason_goes_on_under_its_own_beginning(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each condition keeps its column, however its line had to be cut."""
    steps = "  - { at_s: 1, set: { flap_deg: 30 }, expect: { horn: silent } }\n"
    lines = _reported(tmp_path, monkeypatch, steps).splitlines()
    begin = lines.index("    because       horn:") + 1
    end = next(n for n, line in enumerate(lines) if line.startswith("    last happened"))
    reasons = lines[begin:end]
    assert {len(line) - len(line.lstrip()) for line in reasons} == {18, 33}
    assert all(len(line) <= 100 for line in reasons)
    # A line is cut only where its next word would not have had room.
    for line, following in pairwise(reasons):
        if following.startswith(" " * 33):
            assert len(line) + 1 + len(following.split()[0]) > 100
    whole = " ".join(" ".join(reasons).split())
    assert "holds rule: flaps beyond approach and gear not locked down - sounds the horn" in whole
