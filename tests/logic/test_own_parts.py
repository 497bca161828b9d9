"""Switches and horn rules of the builder's own: in the whole logic. Common practice, no source.

Conserved: nothing is made up: what goes to the simulator is where the switches stand.
Limits: unknown is passed on as nothing, sounds nothing, and neither does its opposite.
By hand: a toggle off, on, unknown gives (("pump", "off"),), (("pump", "on"),), (); a lever at 0.25
gives 0.25; "throttle and flaps" sounds in one of four cases, and in none of the five with unknown.
"""

from __future__ import annotations

import pickle
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from panelbridge.logic.inventory import switches_of, vocabulary_of
from panelbridge.logic.own.parameters import OwnSwitchParameters
from panelbridge.logic.own.switches import OwnSwitches, own_switch
from panelbridge.logic.panel_logic import PanelLogic
from panelbridge.signals import AircraftState, Commands, HandleContacts, SwitchState
from tests.examples import examples
from tests.logic.build import twin

SWITCHES: dict[str, Any] = {
    "pump": {"label": "fuel pump"},
    "probe": {"label": "probe heat", "free_word": "cold", "operated_word": "hot"},
    "call": {"label": "call button", "kind": "button"},
    "mixture": {"label": "mixture", "kind": "lever"},
}
BOTH = {"throttle_1": {"at_most": 0.3}, "flap_deg": {"above": 15}}


class Rig:
    """A logic with parts of the builder's own."""

    def __init__(self, **parts: Any) -> None:
        self.aircraft = twin(own_switches=SWITCHES, **parts)
        self.logic = PanelLogic(self.aircraft)
        self.now_s = 0.0
        self.switches = SwitchState(gear_handle=HandleContacts.DOWN)
        self.state = AircraftState(strut_compressed=(True,) * 3, throttle_fraction=(0.8, 0.8))
        self.names: list[str] = []
        self.step()

    def step(self, **switches: Any) -> Any:
        self.switches = self.switches.having(**switches)
        self.now_s += 1.0
        result = self.logic.step(self.now_s, self.switches, self.state)
        self.names += [one.name for one in result.events]
        return result

    def fly(self, **values: Any) -> Any:
        fields = {name: getattr(self.state, name) for name in self.state.__struct_fields__}
        self.state = AircraftState(**{**fields, **values})
        return self.step()

    @property
    def lit(self) -> set[str]:
        result = self.logic.step(self.now_s, self.switches, self.state)
        return {name for name, level in result.outputs.lamps.items() if level}


def test_positions_go_to_the_simulator_in_words() -> None:
    rig = Rig()
    assert rig.step().commands.own_switches == ()
    told = rig.step(pump=False, probe=False, call=False, mixture=0.0).commands.own_switches
    assert told == (("pump", "off"), ("probe", "cold"), ("call", "released"), ("mixture", 0.0))
    told = rig.step(pump=True, probe=True, call=True, mixture=0.25).commands.own_switches
    assert told == (("pump", "on"), ("probe", "hot"), ("call", "pressed"), ("mixture", 0.25))
    assert rig.step(pump=None, mixture=None).commands.own_switches == (
        ("probe", "hot"),
        ("call", "pressed"),
    )


def test_nothing_moved_is_the_same_command() -> None:
    rig = Rig()
    first = rig.step(pump=True).commands
    assert rig.step().commands is first
    assert rig.fly(airspeed_kias=50.0).commands is first
    assert Commands().own_switches == ()


def test_they_are_signals_with_their_words() -> None:
    aircraft = Rig().aircraft
    signals = vocabulary_of(aircraft)
    assert signals["pump"].words == ("on", "off")
    assert signals["probe"].words == ("hot", "cold")
    assert signals["call"].words == ("pressed", "released")
    assert (signals["mixture"].form, signals["mixture"].group) == ("number", "switch")
    assert {"pump", "probe", "call", "mixture"} <= set(switches_of(aircraft))
    assert own_switch("pump", "fuel pump", "toggle") is own_switch("pump", "fuel pump", "toggle")


@pytest.mark.parametrize(
    ("condition", "on"),
    [
        ({"pump": "on"}, (True, False, False)),
        ({"pump": "off"}, (False, True, False)),
        ({"not": {"pump": "on"}}, (False, True, False)),
        ({"pump": "unknown"}, (False, False, True)),
        ({"any": [{"pump": "on"}, {"gear": "locked_down"}]}, (True, True, True)),
    ],
)
def test_conditions_over_them_are_three_valued(
    condition: dict[str, Any], on: tuple[bool, ...]
) -> None:
    rig = Rig(
        own_lamps={"own_white": {"label": "own", "lit_when": condition}},
        own_horn={"mine": {"label": "mine", "sounds_when": condition}},
    )
    for position, lit in zip((True, False, None), on, strict=True):
        rig.step(pump=position)
        assert ("own_white" in rig.lit) is lit
        assert (rig.step().outputs.horn.value != "silent") is lit


def test_a_lever_of_ones_own_has_limits() -> None:
    rig = Rig(own_lamps={"own_white": {"label": "own", "lit_when": {"mixture": {"above": 0.5}}}})
    seen = []
    for at in (0.5, 0.6, None, 0.4):
        rig.step(mixture=at)
        seen.append("own_white" in rig.lit)
    assert seen == [False, True, False, False]


@pytest.mark.parametrize("flap_deg", [None, 0.0, 30.0])
@pytest.mark.parametrize("lever", [None, 0.1, 0.8])
def test_throttle_and_flaps(lever: float | None, flap_deg: float | None) -> None:
    quiet = {"throttle_approach_fraction": None, "flap_limit_deg": None}
    rule = {"label": "low and slow", "sounds_when": BOTH, "pattern": "continuous"}
    rig = Rig(own_horn={"both": rule}, gear_warning=quiet, alerts={})
    result = rig.fly(throttle_fraction=(lever, 0.8), flap_deg=flap_deg)
    sounds = lever == 0.1 and flap_deg == 30.0
    assert result.outputs.horn.value == ("continuous" if sounds else "silent")
    assert ("master_warning_red" in rig.lit) is sounds
    assert ("own_horn_sounded" in rig.names) is sounds
    rig.fly(throttle_fraction=(0.8, 0.8))
    assert ("own_horn_stopped" in rig.names) is sounds
    reasons = {one.condition: one.holds for one in rig.logic.reasons("horn")}
    assert reasons["rule: low and slow"] is False
    assert reasons["throttle_1 at most 0.3"] is False
    assert reasons["flap_deg above 15"] is (flap_deg == 30.0)


def test_the_loudest_of_several_rules_sounds_beside_the_others() -> None:
    rules = {
        "one": {"label": "one", "sounds_when": {"pump": "on"}},
        "two": {"label": "two", "sounds_when": {"probe": "hot"}, "pattern": "continuous"},
    }
    rig = Rig(own_horn=rules)
    assert rig.step(pump=True, probe=False).outputs.horn.value == "intermittent"
    assert rig.step(probe=True).outputs.horn.value == "continuous"
    assert rig.step(probe=False).outputs.horn.value == "intermittent"
    assert rig.step(pump=False).outputs.horn.value == "silent"
    assert rig.names.count("own_horn_sounded") == 2


def test_a_number_that_changes_by_itself_sounds_in_time() -> None:
    rig = Rig(own_horn={"late": {"label": "late", "sounds_when": {"nose_travel": {"below": 0.5}}}})
    rig.fly(strut_compressed=(False,) * 3)
    rig.now_s = 10.0
    rig.step(gear_handle=HandleContacts.UP)
    rig.now_s = 60.0
    (sounded,) = [one for one in rig.step().events if one.name == "own_horn_sounded"]
    assert sounded.time_s == pytest.approx(11.0 + 0.5 + 7.0 / 2), "half of the nose leg's way"


@pytest.mark.parametrize(
    ("numbers", "what"),
    [
        ({"kind": "button", "free_word": "x"}, "a button has no words of its own"),
        ({"free_word": "on"}, "its words are 'on' and 'on'"),
        ({"operated_word": "unknown"}, "neither can be 'unknown'"),
    ],
)
def test_words_that_cannot_be(numbers: dict[str, Any], what: str) -> None:
    with pytest.raises(ValidationError, match=what):
        OwnSwitchParameters(label="x", **numbers)


def test_a_name_that_cannot_be_one() -> None:
    (misfit,) = OwnSwitches.misfits(twin(own_switches={"Fuel pump": {"label": "x"}}))
    assert (misfit.path, misfit.is_key) == (("own_switches", "Fuel pump"), True)


POSITIONS = st.fixed_dictionaries(
    {
        "pump": st.sampled_from([None, True, False]),
        "mixture": st.sampled_from([None, 0.0, 0.5, 1.0]),
        "call": st.sampled_from([None, True, False]),
    }
)


@settings(deadline=None, max_examples=examples(30))
@given(moves=st.lists(POSITIONS, min_size=1, max_size=8), cut=st.integers(0, 8))
def test_restored_it_goes_on_the_same_and_tells_only_what_is_known(
    moves: list[dict[str, Any]], cut: int
) -> None:
    rules = {"own": {"label": "own", "sounds_when": {"pump": "on", "not": {"call": "pressed"}}}}
    first, second = Rig(own_horn=rules), Rig(own_horn=rules)
    for move in moves[:cut]:
        first.step(**move)
    second.logic.restore(pickle.loads(pickle.dumps(first.logic.save())))
    second.now_s, second.switches = first.now_s, first.switches
    for move in moves[cut:]:
        one, other = first.step(**move), second.step(**move)
        assert one == other
        told = dict(one.commands.own_switches)
        assert set(told) == {name for name, at in move.items() if at is not None}
        sounds = move["pump"] is True and move["call"] is False
        assert (one.outputs.horn.value != "silent") is sounds
