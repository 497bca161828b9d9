"""Every name that users write into files, what it reads, and how values of the aircraft are put."""

from __future__ import annotations

from collections.abc import Mapping
from math import isfinite

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.logic.aircraft_values import AircraftValue, put_values, values_of
from panelbridge.logic.inventory import (
    faults_of,
    switches_of,
    systems_of,
    vocabulary_of,
)
from panelbridge.logic.kit.declarations import Signal
from panelbridge.logic.kit.handles import Lever
from panelbridge.signals import AircraftState, Value
from tests.logic.listed_names import AIRCRAFT, FLYING, FOLDER, listed

NAMES = tuple(values_of(AIRCRAFT["fed_jet"]))


def all_values() -> Mapping[str, AircraftValue]:
    """Every value that an aircraft can have; this one has them all."""
    return values_of(AIRCRAFT["fed_jet"])


@pytest.mark.parametrize("aircraft", AIRCRAFT)
def test_every_name_word_unit_and_limit_is_as_listed(aircraft: str) -> None:
    kept = (FOLDER / f"{aircraft}.txt").read_text("utf-8")
    assert list(listed(AIRCRAFT[aircraft])) == kept.splitlines()


@pytest.mark.parametrize("aircraft", AIRCRAFT)
def test_words_have_no_unit_and_numbers_have_no_words(aircraft: str) -> None:
    parameters = AIRCRAFT[aircraft]
    infos: list[AircraftValue | Signal] = [*values_of(parameters).values()]
    infos += [
        *(one for system in systems_of(parameters) for one in system.values),
        *vocabulary_of(parameters).values(),
    ]
    for info in infos:
        assert isinstance(info.words, tuple)
        assert bool(info.words) is (info.form == "word"), info.name
        assert info.form == "number" or info.unit == "", info.name
        if isinstance(info, Signal):
            assert info.form == "number" or not isfinite(info.low), info.name


def something(spec: AircraftValue, number: float) -> Value:
    """A value that it can have; another one for another number, 0 to 1."""
    if spec.form == "word":
        return spec.words[round(number)]
    return spec.low + number * (spec.high - spec.low)


def all_of(state: AircraftState, specs: Mapping[str, AircraftValue]) -> dict[str, Value]:
    return {name: spec.read(state) for name, spec in specs.items()}


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("before", [AircraftState(), FLYING], ids=["unknown", "known"])
def test_a_value_that_is_put_is_read_and_no_other_changes(name: str, before: AircraftState) -> None:
    specs = all_values()
    found, spec = all_of(before, specs), specs[name]
    for number in (0.0, 1.0, 0.25):
        value = something(spec, number)
        state = put_values(specs, before, {name: value})
        assert all_of(state, specs) == {**found, name: value}
        assert type(spec.read(state)) is type(value)
        gone = put_values(specs, state, {name: None})
        assert all_of(gone, specs) == {**found, name: None}


@pytest.mark.parametrize("name", NAMES)
def test_to_forget_what_nobody_knew_changes_nothing(name: str) -> None:
    specs = all_values()
    forgotten = put_values(specs, AircraftState(), {name: None})
    assert all_of(forgotten, specs) == dict.fromkeys(specs)


def test_whole_numbers_of_a_file_become_numbers() -> None:
    state = put_values(all_values(), AircraftState(), {"flap_deg": 20, "throttle_2": 1})
    assert (state.flap_deg, state.throttle_fraction) == (20.0, (None, 1.0))
    assert [type(state.flap_deg), type(state.throttle_fraction[1])] == [float, float]


def test_a_value_that_does_not_exist_is_an_error() -> None:
    with pytest.raises(KeyError):
        put_values(all_values(), AircraftState(), {"sunroof": "open"})


@given(
    st.lists(
        st.tuples(st.sampled_from(sorted(NAMES)), st.sampled_from([None, 0.0, 0.5, 1.0])),
        max_size=12,
    )
)
def test_law_the_last_value_that_was_put_is_read(script: list[tuple[str, float | None]]) -> None:
    specs = all_values()
    state, wanted = AircraftState(), dict[str, Value].fromkeys(specs)
    for name, number in script:
        value = None if number is None else something(specs[name], number)
        state = put_values(specs, state, {name: value})
        wanted[name] = value
    assert all_of(state, specs) == wanted


def test_an_aircraft_is_asked_once_for_what_it_has() -> None:
    one = AIRCRAFT["jet"].model_copy()
    systems = systems_of(one)
    assert systems_of(one) is systems
    assert systems_of(one.model_copy()) is not systems
    for _ in range(20):  # only so many are kept
        systems_of(one.model_copy())
    assert systems_of(one) is not systems


def test_lists_are_made_for_their_own_aircraft() -> None:
    assert "nose_door" in faults_of(AIRCRAFT["jet"])
    assert "nose_door" not in faults_of(AIRCRAFT["plain"])
    assert "steering" not in vocabulary_of(AIRCRAFT["pumped"])


def test_a_lever_that_nobody_touched_stands_where_it_rests() -> None:
    switches = switches_of(AIRCRAFT["fed_jet"])
    assert {name: one.rest for name, one in switches.items() if isinstance(one, Lever)} == {
        "dimmer": 1.0,
        "parking_brake": 0.0,
        "emergency_brake": 0.0,
        "left_brake": 0.0,
        "right_brake": 0.0,
        "tiller": 0.5,
    }
