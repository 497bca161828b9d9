"""What an aircraft needs of a panel."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.inventory import gauges_of, lamps_of, switches_of
from panelbridge.logic.systems import SWITCHES
from tests.logic.build import flying_gear_up, on_ground, switches, twin

NO_STEERING = twin(steering={"steering_leg": None})


@pytest.mark.parametrize("aircraft", [twin(), NO_STEERING])
def test_the_lamps_are_those_of_the_outputs(aircraft: AircraftParameters) -> None:
    assert list(on_ground(aircraft).result.outputs.lamps) == list(lamps_of(aircraft))


def test_the_lamps_are_called_after_the_legs() -> None:
    assert list(lamps_of(twin())) == [
        "nose_green",
        "left_green",
        "right_green",
        "nose_red",
        "left_red",
        "right_red",
        "handle_red",
        "simulator_disagrees_amber",
        "steering_green",
        "gear_warning_failed_amber",
    ]
    assert "steering_green" not in lamps_of(NO_STEERING)


def test_the_switches_have_the_names_of_the_switch_state() -> None:
    known = set(SWITCHES)
    assert set(switches_of(twin())) <= known
    of_steering = {"steering_button", "second_steering_button", "tiller"}
    assert set(switches_of(twin())) - set(switches_of(NO_STEERING)) == of_steering


def test_the_gauges_are_those_of_the_outputs() -> None:
    shown = on_ground(hydraulic_pressure_psi=1500.0).result.outputs.gauges
    assert set(shown) == set(gauges_of(twin()))


def test_what_is_required() -> None:
    required = {name for name, need in switches_of(twin()).items() if need.required}
    assert required == {"gear_handle", "horn_silence", "lamp_test", "steering_button"}
    optional = {name for name, need in lamps_of(twin()).items() if not need.required}
    ambers = {"simulator_disagrees_amber", "gear_warning_failed_amber"}
    assert optional == {"handle_red", "steering_green", *ambers}


def test_colours_red_for_danger_green_for_safe() -> None:
    colours = {name: lamp.colour for name, lamp in lamps_of(twin()).items()}
    greens = {"nose_green", "left_green", "right_green", "steering_green"}
    assert {name for name, colour in colours.items() if colour == "green"} == greens
    assert set(colours.values()) == {"green", "red", "amber"}


def test_every_need_has_words_of_its_own() -> None:
    aircraft = twin()
    for labels in (
        [switch.label for switch in switches_of(aircraft).values()],
        [lamp.label for lamp in lamps_of(aircraft).values()],
        [gauge.label for gauge in gauges_of(aircraft).values()],
    ):
        assert all(labels)
        assert len(set(labels)) == len(labels)


def test_a_panel_with_what_is_required_alone_works() -> None:
    bench = flying_gear_up()
    bench.after(1.0, switches("down", warning_test=None, dimmer=None))
    bench.after(30.0)
    assert bench.all_locked_down


# -- the aircraft's numbers -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"legs": [{"name": "nose"}, {"name": "nose"}]}, "two legs are named 'nose'"),
        ({"legs": []}, "at least 1"),
        ({"engines": -1}, "greater than or equal to 0"),
        ({"engines": "2"}, "valid integer"),
        ({"wings": 2}, "Extra inputs are not permitted"),
        ({"legs": [{"name": "Nose"}]}, "match pattern"),
        ({"legs": [{"name": "nose", "extend_s": 0.0}]}, "greater than 0"),
        ({"lamps": {"warning_floor_fraction": 0.0}}, "greater than 0"),
        ({"lamps": {"warning_floor_fraction": float("nan")}}, "finite number"),
    ],
)
def test_numbers_that_cannot_be_are_refused(changes: dict[str, object], words: str) -> None:
    with pytest.raises(ValidationError, match=words):
        twin(**changes)


def test_parameters_cannot_be_changed_later() -> None:
    aircraft = twin()
    with pytest.raises(ValidationError, match="frozen"):
        aircraft.engines = 3  # type: ignore[misc]
