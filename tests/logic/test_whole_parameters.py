"""Every parameter of an aircraft file is read by some rule: changed alone, it changes what is seen.

Seen is what comes out of scripted runs (lamps, horn, gauges, solenoids, commands, events with
their times) and the values that systems publish; never the words of a reason.
"""

from __future__ import annotations

from collections.abc import Mapping
from itertools import chain
from pathlib import Path

import pytest

from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.inventory import lamps_of
from panelbridge.logic.kit.parameters import Parameters
from panelbridge.logic.own.parameters import OwnLampParameters
from panelbridge.logic.panel_logic import PanelLogic
from tests.logic.every_parameter import Place, groups_under, others, places_of, refused
from tests.logic.every_parameter_scripts import differs, scripts, seen_in
from tests.logic.whole_aircraft import KINDS, fed

ELSEWHERE: Mapping[tuple[str, str], tuple[str, str]] = {
    ("LegParameters", "free_fall_s"): ("piston", "the jet's legs go down by air"),
    ("GearPowerParameters", "uplock_hold_s"): ("piston", "the jet has hooks"),
    ("GearPowerParameters", "breaker"): ("piston", "the jet's gear is not electric"),
    ("GearPowerParameters", "nominal_v"): ("piston", "the jet's gear is not electric"),
    ("GearPowerParameters", "stall_v"): ("piston", "the jet's gear is not electric"),
    ("EmergencyParameters", "means"): ("turboprop", "the jet's emergency brake needs the bottle"),
    ("EmergencyParameters", "stroke_s"): ("turboprop", "the jet has no hand pump"),
    ("EmergencyParameters", "pump_without_handle"): ("turboprop", "the jet has no hand pump"),
    ("GearWarningParameters", "rearm_fraction"): ("turboprop", "the jet re-arms otherwise"),
    ("SpeedLimitsParameters", "vlo_kias"): ("piston", "the jet has two of them"),
    ("OwnSwitchParameters", "kind"): (
        "turboprop",
        "the jet's have words: toggles",
    ),
    ("AgreementParameters", "legs_limit_s"): ("fed", "the jet's legs are the panel's own"),
}
"""Parameters that the jet cannot show: the kind that does, and why."""
REFUSED = {
    "hydraulics.accumulator.precharge_least_psi": "a limit that the file is held against",
    "hydraulics.accumulator.precharge_most_psi": "a limit that the file is held against",
    "hydraulics.supplies.1.spool_up_s": "an engine's own pump has none; that of supply 0 is seen",
}
"""Parameters whose only effect is that a file is refused."""
LABELS = {
    ("AircraftParameters", "name"): "a title for screens",
    ("OwnLampParameters", "label"): "words of a reason, tested below",
    ("OwnHornParameters", "label"): "words of a reason and of an event",
    ("OwnSwitchParameters", "label"): "words for screens",
}
"""Parameters that are words for people."""

TESTED_ALONE = {
    ("EmergencyParameters", "crank_turns"): "tests/logic/test_hand_crank.py",
    ("HydraulicsParameters", "fluid_clear_l"): "tests/logic/test_hydraulic_parameters.py",
    ("BrakesParameters", "antiskid_bleed_psi_per_min"): "tests/logic/test_brakes.py",
    ("AntiskidParameters", "wheel_radius_m"): "tests/logic/test_antiskid.py",
    ("AntiskidParameters", "too_fast_ratio"): "tests/logic/test_antiskid.py",
    ("FixedLegParameters", "name"): "tests/logic/test_fixed_legs.py",
    ("LandingBrakeParameters", "horn_pattern"): "tests/logic/test_landing_brake.py",
    ("SteeringParameters", "new_press_on_ground"): "tests/logic/test_steering.py",
    ("LampParameters", "silence_stops_test"): "tests/logic/test_gear_warning_power.py",
}
"""Parameters that no script here reaches, and the tests that change them."""


SHOWN = {**KINDS, "fed": fed("jet")}


def owner_of(place: Place) -> tuple[str, str]:
    group, name = place.owner
    return group.__name__, name


def shown(kind: str) -> list[Place]:
    """The parameters that this kind has to show, groups apart: their parameters are there."""
    found = []
    for place in places_of(SHOWN[kind]):
        if isinstance(place.value, Parameters) or owner_of(place) in {*LABELS, *TESTED_ALONE}:
            continue
        where = ELSEWHERE.get(owner_of(place), ("jet", ""))[0]
        if where == kind:
            found.append(place)
    return found


CASES = [(kind, place) for kind in ("jet", "piston", "turboprop", "fed") for place in shown(kind)]


@pytest.mark.parametrize(
    ("kind", "place"), CASES, ids=[f"{kind}-{place.words}" for kind, place in CASES]
)
def test_a_changed_parameter_changes_what_is_seen(kind: str, place: Place) -> None:
    aircraft = SHOWN[kind]
    if place.words in REFUSED:
        assert refused(aircraft, place)
        return
    changed = others(aircraft, place)
    first = next(changed, None)
    assert first is not None, f"no other value makes an aircraft: {place.words}"
    assert differs(aircraft, chain([first], changed), str(place.path[0])), place.words


def test_no_parameter_is_forgotten() -> None:
    """Each parameter of each group is among the cases, a label, or a group that is walked."""
    cases = {owner_of(place) for _, place in CASES} | {*LABELS, *TESTED_ALONE}
    for group in groups_under(AircraftParameters):
        for name in group.model_fields:
            walked = [
                place
                for kind in KINDS.values()
                for place in places_of(kind)
                if owner_of(place) == (group.__name__, name)
            ]
            alone = (group.__name__, name) in TESTED_ALONE
            assert walked or alone, f"{group.__name__}.{name} stands in no whole aircraft"
            if not any(isinstance(place.value, Parameters) for place in walked):
                assert (group.__name__, name) in cases, f"{group.__name__}.{name}"


def test_what_is_tested_alone_is_named_there() -> None:
    for (_, name), path in TESTED_ALONE.items():
        assert name in (Path(__file__).parents[2] / path).read_text("utf-8")


def test_a_label_is_reported_as_a_reason() -> None:
    jet = KINDS["jet"]
    lamp = OwnLampParameters(label="other words", lit_when={"gear": "locked_down"})
    other = jet.model_copy(update={"own_lamps": {**jet.own_lamps, "taxi_blue": lamp}})
    reported = PanelLogic(other).reasons("taxi_blue")
    assert reported[0].condition == "rule: other words"


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_seen_repeats_itself(kind: str) -> None:
    """Without this a difference would prove nothing."""
    for name in scripts(KINDS[kind]):
        copy = AircraftParameters.model_validate(KINDS[kind].model_dump())
        assert seen_in(KINDS[kind], name) == seen_in(copy, name)


def test_the_scripts_light_every_lamp_of_the_jet() -> None:
    lit: set[str] = set()
    for name in scripts(KINDS["jet"]):
        for _, what in seen_in(KINDS["jet"], name):
            if isinstance(what, tuple):
                lamps = what[0]
                if not all(lamps.values()):  # not in the lamp test
                    lit |= {lamp for lamp, level in lamps.items() if level}
    assert set(lamps_of(KINDS["jet"])) - lit == set()
