"""Keys of the switches, and the operator that moves them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.dashboard.interfaces import SwitchControl
from panelbridge.dashboard.switches.switch_keys import RESERVED, KeyAction, assign_keys
from panelbridge.dashboard.switches.switch_operator import PRESS_TICKS, SwitchOperator
from tests.dashboard import full_aircraft, scenes
from tests.dashboard.fakes import FakeControls


class SlowControls(FakeControls):
    """The engine has not moved anything yet."""

    def move(self, name: str, position: str | float) -> None:
        self.moves.append((name, position))


def button(name: str, label: str = "") -> SwitchControl:
    return SwitchControl(name, label or name, "button", ("released", "pressed"))


# Keys


def test_the_usual_keys() -> None:
    plan = assign_keys(scenes.SWITCHES)
    assert plan.shown == {
        "gear_handle": "g",
        "horn_silence": "h",
        "lamp_test": "t",
        "warning_test": "w",
        "steering_button": "s",
        "dimmer": "- +",
    }
    assert plan.actions["T"] == KeyAction(scenes.SWITCHES[2], hold=True)
    assert plan.actions["G"] == KeyAction(scenes.SWITCHES[0])
    assert plan.actions["="] == plan.actions["+"]
    assert plan.actions["_"] == plan.actions["-"]


def test_levers_need_no_brackets_that_take_a_third_key_on_german_and_french_keyboards() -> None:
    levers = [SwitchControl(f"lever_{n}", f"lever {n}", "lever") for n in range(12)]
    assert not set("[]{}\\|@~#") & set(assign_keys(levers).actions)
    assert len(assign_keys(levers).shown) == 8


def test_usual_keys_are_kept_for_their_switches() -> None:
    plan = assign_keys([button("tail_hook", "Tail hook"), *scenes.SWITCHES])
    assert plan.shown["lamp_test"] == "t"
    assert plan.shown["tail_hook"] == "a"


@given(
    st.lists(
        st.tuples(
            st.text(max_size=12),
            st.sampled_from(["handle", "button", "toggle", "lever"]),
            st.sampled_from([None, 0.0, 0.5]),
        ),
        max_size=40,
        unique_by=lambda entry: entry[0],
    )
)
def test_no_key_moves_two_switches_and_none_is_taken_from_the_screen(
    entries: list[tuple[str, str, float | None]],
) -> None:
    switches = [
        SwitchControl(name, name, form, () if form == "lever" else ("a", "b"), rest)  # type: ignore[arg-type]
        for name, form, rest in entries
    ]
    plan = assign_keys(switches)
    signs = [sign for key in plan.shown.values() for sign in key.replace(" ", "")]
    assert len(signs) == len(set(signs))
    assert not RESERVED & set(plan.actions)
    assert "?" not in plan.actions
    for name, key in plan.shown.items():
        assert all(plan.actions[sign].control.name == name for sign in key.replace(" ", ""))


def test_without_a_free_key_a_switch_has_none() -> None:
    plan = assign_keys([button(f"b{at}") for at in range(30)])
    assert len(plan.shown) == 26 - len(RESERVED)


def test_every_switch_of_a_full_panel_has_a_key() -> None:
    plan = assign_keys(full_aircraft.SWITCHES)
    assert set(plan.shown) == {control.name for control in full_aircraft.SWITCHES}
    assert all(len(key) <= 4 for key in plan.shown.values())
    assert plan.shown["dimmer"] == "- +"
    assert plan.shown["parking_brake"] == "p <>"
    assert plan.shown["emergency_extend"] == "e"
    assert plan.actions["p"] == plan.actions["P"] == KeyAction(control_of("parking_brake"))
    assert plan.actions["<"].step == -1
    assert not plan.actions["E"].hold


def control_of(name: str) -> SwitchControl:
    return next(control for control in full_aircraft.SWITCHES if control.name == name)


# The hand


def test_a_toggle_stays_where_it_is_put() -> None:
    controls = FakeControls(full_aircraft.SWITCHES)
    operator = SwitchOperator(controls, controls.switches)
    for _ in range(2):
        operator.key(KeyAction(control_of("antiskid")))
        for _ in range(PRESS_TICKS + 2):
            operator.tick()
    operator.mouse_down("antiskid", "on")
    operator.mouse_up()
    assert controls.moves == [("antiskid", "on"), ("antiskid", "off"), ("antiskid", "on")]


@pytest.mark.parametrize(
    ("name", "start", "ends"),
    [
        ("parking_brake", 0.0, [1.0, 0.0]),
        ("parking_brake", 0.3, [0.0, 1.0]),
        ("tiller", 0.5, [0.5, 0.5]),
        ("tiller", 0.9, [0.5, 0.5]),
    ],
)
def test_a_levers_letter(name: str, start: float, ends: list[float]) -> None:
    controls = FakeControls(full_aircraft.SWITCHES)
    controls.places[name] = start
    operator = SwitchOperator(controls, controls.switches)
    for end in ends:
        operator.key(KeyAction(control_of(name)))
        assert controls.places[name] == end


def operator_and_controls() -> tuple[SwitchOperator, FakeControls]:
    controls = FakeControls()
    return SwitchOperator(controls, controls.switches), controls


def test_a_key_pushes_a_button_for_a_while() -> None:
    operator, controls = operator_and_controls()
    operator.key(KeyAction(controls.switches[1]))
    for _ in range(PRESS_TICKS - 1):
        operator.tick()
        assert controls.places["horn_silence"] == "pressed"
    operator.tick()
    assert controls.moves == [("horn_silence", "pressed"), ("horn_silence", "released")]
    operator.tick()
    assert len(controls.moves) == 2


def test_a_repeating_key_keeps_it_pushed() -> None:
    operator, controls = operator_and_controls()
    for _ in range(10):
        operator.key(KeyAction(controls.switches[1]))
        operator.tick()
        operator.tick()
    assert controls.moves == [("horn_silence", "pressed")]


def test_hold_and_let_go() -> None:
    operator, controls = operator_and_controls()
    use = KeyAction(controls.switches[2], hold=True)
    operator.key(use)
    for _ in range(50):
        operator.tick()
    assert controls.moves == [("lamp_test", "pressed")]
    operator.key(use)
    assert controls.moves[1:] == [("lamp_test", "released")]


def test_holding_what_a_key_has_just_pushed_keeps_it() -> None:
    operator, controls = operator_and_controls()
    operator.mouse_down("lamp_test", None)
    operator.key(KeyAction(controls.switches[2]))
    operator.mouse_down("lamp_test", None)
    for _ in range(PRESS_TICKS + 1):
        operator.tick()
    assert controls.places["lamp_test"] == "pressed"
    operator.mouse_up()
    assert controls.places["lamp_test"] == "released"


def test_the_handle_goes_to_its_other_end() -> None:
    operator, controls = operator_and_controls()
    use = KeyAction(controls.switches[0])
    operator.key(use)
    operator.key(use)
    assert controls.moves == [("gear_handle", "up"), ("gear_handle", "down")]


def test_a_handle_that_stands_nowhere_known_goes_to_its_first_end() -> None:
    operator, controls = operator_and_controls()
    controls.places["gear_handle"] = "between"
    operator.key(KeyAction(controls.switches[0]))
    assert controls.moves == [("gear_handle", "up")]


def test_two_quick_keys_count_twice_although_the_engine_is_slow() -> None:
    controls = SlowControls()
    operator = SwitchOperator(controls, controls.switches)
    lever = controls.switches[-1]
    operator.key(KeyAction(lever, step=-1))
    operator.key(KeyAction(lever, step=-1))
    assert controls.moves == [("dimmer", 0.6), ("dimmer", 0.5)]
    for _ in range(5):
        operator.tick()
    # The engine has not moved it: what it says counts again.
    assert operator.position("dimmer") == 0.7


@pytest.mark.parametrize(("step", "end"), [(1, 1.0), (-1, 0.0)])
def test_a_lever_stops_at_its_ends(step: int, end: float) -> None:
    operator, controls = operator_and_controls()
    for _ in range(15):
        operator.key(KeyAction(controls.switches[-1], step=step))
    assert controls.places["dimmer"] == end


def test_the_mouse_puts_a_handle_and_holds_a_button() -> None:
    operator, controls = operator_and_controls()
    operator.mouse_down("gear_handle", "up")
    operator.mouse_up()
    operator.mouse_down("steering_button", None)
    operator.mouse_up()
    operator.mouse_up()
    assert controls.moves == [
        ("gear_handle", "up"),
        ("steering_button", "pressed"),
        ("steering_button", "released"),
    ]


def test_a_press_by_key_ends_while_the_mouse_holds_something_else() -> None:
    operator, controls = operator_and_controls()
    operator.mouse_down("steering_button", None)
    operator.key(KeyAction(controls.switches[1]))
    for _ in range(PRESS_TICKS):
        operator.tick()
    assert controls.places["horn_silence"] == "released"
    assert controls.places["steering_button"] == "pressed"
