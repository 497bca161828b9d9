"""The board's picture: exact at every size, and readable without any colour."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from panelbridge.dashboard.blocks.switch_rows import SwitchesView
from panelbridge.dashboard.interfaces import LampLook
from panelbridge.dashboard.pages.overview_page import draw_overview_page
from panelbridge.dashboard.pages.screen_content import ScreenContent
from panelbridge.dashboard.text.lines import ClickTarget, Line, TextStyle, cut, target_at, width_of
from panelbridge.dashboard.text.state_words import HANDLE_WORDS, LEG_WORDS, time_text
from panelbridge.engine.snapshot import Snapshot
from panelbridge.link.session import LinkState
from panelbridge.signals import (
    AircraftState,
    HandleContacts,
    HornPattern,
    LegLocks,
    LegState,
    LegView,
    LogicView,
    Outputs,
    SwitchState,
)
from tests.dashboard import scenes
from tests.dashboard.text import text_of

SIZES = [(80, 24), (120, 40), (60, 20), (40, 24), (20, 5)]
VIEW = SwitchesView(
    scenes.SWITCHES,
    {"gear_handle": "g", "horn_silence": "h", "dimmer": "- +"},
    {
        "gear_handle": "down",
        "horn_silence": "pressed",
        "lamp_test": "released",
        "warning_test": "released",
        "steering_button": "released",
        "dimmer": 0.7,
    },
    simulated=True,
)


def draw(
    snapshot: Snapshot, width: int = 80, height: int = 24, view: SwitchesView = VIEW
) -> list[Line]:
    picture = ScreenContent(snapshot, "a run", view, scenes.LAMPS, scenes.HORN_BOARD)
    return draw_overview_page(picture, width, height)


def texts(
    snapshot: Snapshot, width: int = 80, height: int = 24, view: SwitchesView = VIEW
) -> list[str]:
    return [text_of(line) for line in draw(snapshot, width, height, view)]


def line_with(lines: list[str], word: str) -> str:
    (line,) = [line for line in lines if word in line]
    return line


# Sizes


@given(
    st.integers(min_value=1, max_value=200),
    st.integers(min_value=1, max_value=70),
    st.sampled_from([*scenes.SCENES.values(), scenes.NOT_YET, scenes.FINISHED]),
    st.booleans(),
)
@settings(deadline=None)
def test_every_line_is_exactly_as_wide_as_the_screen(
    width: int, height: int, snapshot: Snapshot, simulated: bool
) -> None:
    view = VIEW if simulated else SwitchesView(scenes.SWITCHES)
    lines = draw(snapshot, width, height, view)
    assert {width_of(line) for line in lines} == {width}


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", scenes.SCENES)
def test_the_same_moment_has_the_same_lines_in_every_leg_state(
    size: tuple[int, int], name: str
) -> None:
    """Nothing jumps while the gear moves: only the words change, never the number of lines."""
    counts = {
        len(
            draw(
                replace(scenes.SCENES[name], logic=replace(scenes.SCENES[name].logic, legs=legs)),
                *size,
            )
        )
        for state in LegState
        for legs in [tuple(scenes.leg(leg, state, 0.4, False) for leg in scenes.LEGS)]
    }
    assert len(counts) == 1


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (60, 20)])
def test_a_short_reason_of_the_horn_moves_nothing(size: tuple[int, int]) -> None:
    logic = replace(scenes.CRUISE.logic, warning_causes=("throttle closed, gear not down",))
    outputs = replace(scenes.CRUISE.outputs, horn=HornPattern.CONTINUOUS)
    sounding = replace(scenes.CRUISE, logic=logic, outputs=outputs)
    assert len(draw(sounding, *size)) == len(draw(scenes.CRUISE, *size))


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (60, 20)])
@pytest.mark.parametrize("name", ["start", "cruise", "transit"])
def test_no_word_is_cut(size: tuple[int, int], name: str) -> None:
    assert "…" not in "".join(texts(scenes.SCENES[name], *size))


def test_the_header_stays_in_place_while_the_phase_changes() -> None:
    places = {
        texts(replace(scenes.CRUISE, phase=phase))[0].index("board live")
        for phase in ("taxi", "take-off roll", "final approach", "")
    }
    assert len(places) == 1


def test_lines_that_do_not_fit_are_counted() -> None:
    lines = draw(scenes.CRUISE)
    shown = cut(lines, 80, 10, "lines: make the window taller")
    assert len(shown) == 10
    assert text_of(shown[-1]).strip() == f"▼ {len(lines) - 9} more lines: make the window taller"
    assert cut(lines, 80, 50, "x") == lines
    assert cut(lines, 80, 3, "x", least_rows=6) == lines[:3]


# Meaning without colour


@pytest.mark.parametrize("state", LegState)
@pytest.mark.parametrize(("width", "words"), [(120, 1), (80, 1), (60, 2), (40, 2), (20, 3)])
def test_every_leg_state_has_its_sign_and_word(state: LegState, width: int, words: int) -> None:
    legs = (scenes.leg("nose", state, 0.5, False),)
    snapshot = replace(scenes.CRUISE, logic=replace(scenes.CRUISE.logic, legs=legs))
    line = line_with(texts(snapshot, width), " nose ")
    assert f"{LEG_WORDS[state][0]} {LEG_WORDS[state][words]}" in line


def test_leg_states_differ_in_their_words() -> None:
    assert len({entry[1] for entry in LEG_WORDS.values()}) == len(LegState)
    assert len({entry[1] for entry in HANDLE_WORDS.values()}) == len(HandleContacts)


@pytest.mark.parametrize(
    ("travel", "locks", "track"),
    [
        (0.0, LegLocks(True, False), "●█───────────────○"),
        (1.0, LegLocks(False, True), "○───────────────█●"),
        (0.5, LegLocks(False, False), "○────────█───────○"),
        (None, LegLocks(None, None), "?────────────────?"),
    ],
)
def test_a_leg_stands_on_its_way(travel: float | None, locks: LegLocks, track: str) -> None:
    legs = (LegView("nose", LegState.UNKNOWN, travel, None, locks),)
    snapshot = replace(scenes.CRUISE, logic=LogicView(legs=legs))
    assert track in line_with(texts(snapshot), " nose ")


def test_a_leg_with_both_locks_made_is_an_alarm() -> None:
    legs = (LegView("nose", LegState.DOWN_LOCKED, 1.0, None, LegLocks(True, True)),)
    snapshot = replace(scenes.CRUISE, logic=LogicView(legs=legs))
    line = line_with(texts(snapshot), " nose ")
    assert "! BOTH LOCKS MADE" in line
    assert "locked down" not in line


@pytest.mark.parametrize(
    ("weight", "words"), [(True, "● ground"), (False, "○ air"), (None, "? unknown")]
)
def test_squat_switches(weight: bool | None, words: str) -> None:
    legs = (LegView("nose", LegState.EXTENDING, 0.5, weight, LegLocks(False, False)),)
    snapshot = replace(scenes.CRUISE, logic=LogicView(legs=legs))
    assert line_with(texts(snapshot), " nose ").rstrip().endswith(words)


@pytest.mark.parametrize(
    ("brightness", "words"),
    [(255, "● LIT 100%"), (178, "● LIT 70%"), (1, "● LIT 1%"), (0, "○ dark")],
)
def test_a_lamp_has_a_sign_a_word_and_its_brightness(brightness: int, words: str) -> None:
    snapshot = replace(scenes.CRUISE, outputs=scenes.lamps((brightness, 0, 0), (0, 0, 0)))
    line = line_with(texts(snapshot), " nose ")
    heading = line_with(texts(snapshot), "Green")
    assert line[heading.index("Green") :].startswith(words)


def test_the_other_lamps_are_named() -> None:
    outputs = scenes.lamps((0, 0, 0), (0, 0, 0), handle=255)
    for width, height in [(80, 24), (120, 40)]:
        both = " ".join(texts(replace(scenes.CRUISE, outputs=outputs), width, height))
        assert "handle knob  ▲ LIT 100%" in both
        assert "steering on  ○ dark" in both


def test_a_described_lamp_without_a_value_is_unknown() -> None:
    snapshot = replace(scenes.CRUISE, outputs=Outputs())
    assert "handle knob  ? unknown" in " ".join(texts(snapshot))


@pytest.mark.parametrize("state", LinkState)
@pytest.mark.parametrize("size", SIZES)
def test_only_a_live_boards_lamps_are_shown_lit(state: LinkState, size: tuple[int, int]) -> None:
    boards = (replace(scenes.GEAR_BOARD, state=state),)
    outputs = replace(
        scenes.lamps((255,) * 3, (255,) * 3, handle=255, steer=255), horn=HornPattern.CONTINUOUS
    )
    lines = draw(replace(scenes.CRUISE, outputs=outputs, boards=boards), *size)
    looks = {span.style for line in lines for span in line}
    whole = " ".join(text_of(line) for line in lines)
    lit = {TextStyle.LIT_RED, TextStyle.LIT_GREEN, TextStyle.LIT_WHITE}
    if state is LinkState.LIVE:
        assert lit <= looks
        assert "no link" not in whole
    else:
        assert not lit & looks
        assert "LIT" not in whole
        assert "? no link" in whole


@pytest.mark.parametrize("brightness", [255, 1, 0])
def test_a_lamp_without_a_link_is_neither_lit_nor_dark(brightness: int) -> None:
    outputs = scenes.lamps((brightness, 0, 0), (0, 0, 0))
    lines = texts(replace(scenes.LOST, outputs=outputs))
    line = line_with(lines, " nose ")
    place = line_with(lines, "Green").index("Green")
    assert line[place:].startswith("? no link")
    assert "handle knob  ? no link" in " ".join(lines)


def test_the_other_boards_lamps_go_on() -> None:
    looks = (*scenes.LAMPS[:-1], LampLook("steering", "steering on", "white", "pedestal"))
    outputs = scenes.lamps((255,) * 3, (0,) * 3, steer=255)
    picture = ScreenContent(replace(scenes.LOST, outputs=outputs), "", VIEW, looks)
    whole = " ".join(text_of(line) for line in draw_overview_page(picture, 80, 24))
    assert "steering on  ■ LIT 100%" in whole
    assert "handle knob  ? no link" in whole


def test_a_lamp_without_a_board_is_shown_as_commanded() -> None:
    looks = (LampLook("nose_green", "", "green"),)
    outputs = scenes.lamps((255, 0, 0), (0, 0, 0))
    picture = ScreenContent(replace(scenes.LOST, outputs=outputs), "", VIEW, looks)
    assert "● LIT 100%" in " ".join(text_of(line) for line in draw_overview_page(picture, 80, 24))


@pytest.mark.parametrize("size", [(120, 40), (80, 24), (60, 20), (40, 24)])
def test_lamps_that_the_panel_lacks_are_not_fitted(size: tuple[int, int]) -> None:
    outputs = scenes.lamps((0, 0, 0), (255,) * 3, handle=255, steer=255)
    picture = ScreenContent(replace(scenes.CRUISE, outputs=outputs), "", VIEW, scenes.FEW_LAMPS)
    lines = [text_of(line) for line in draw_overview_page(picture, *size)]
    words = "– not fitted" if size[0] >= 112 else "– none"
    place = line_with(lines, " Red ").index("Red")
    for leg in scenes.LEGS:
        line = line_with(lines, f" {leg} ")
        assert line[place:].startswith(words)
        assert "○ dark" in line[:place]
    whole = " ".join(lines)
    assert "LIT" not in whole
    assert "handle" not in whole.replace("Gear handle", "")
    assert "steering" not in whole.replace("steering off", "")
    assert ("– none fitted" in whole) == (size[0] >= 112)


def test_in_the_smallest_columns_a_missing_lamp_has_its_own_sign() -> None:
    outputs = scenes.lamps((255, 0, 0), (255, 0, 0))
    picture = ScreenContent(replace(scenes.CRUISE, outputs=outputs), "", VIEW, scenes.FEW_LAMPS)
    lines = [text_of(line).rstrip() for line in draw_overview_page(picture, 20, 5)]
    assert line_with(lines, " nose ").endswith("● –")


@pytest.mark.parametrize(
    ("board", "horn", "silenced", "words"),
    [
        ("gear_panel", HornPattern.SILENT, False, "? no link; commanded silent"),
        ("gear_panel", HornPattern.SILENT, True, "? no link; commanded silenced: a"),
        (
            "gear_panel",
            HornPattern.CONTINUOUS,
            False,
            "? no link; commanded continuous: a",
        ),
        ("pedestal", HornPattern.CONTINUOUS, False, "● ON, continuous: a"),
        ("", HornPattern.CONTINUOUS, False, "● ON, continuous: a"),
        (
            None,
            HornPattern.INTERMITTENT,
            False,
            "– not fitted; commanded intermittent: a",
        ),
        (None, HornPattern.SILENT, False, "– not fitted; commanded silent"),
    ],
)
def test_a_horn_without_a_link_is_not_said_to_sound(
    board: str | None, horn: HornPattern, silenced: bool, words: str
) -> None:
    causes = ("a",) if silenced or horn is not HornPattern.SILENT else ()
    logic = replace(scenes.CRUISE.logic, warning_causes=causes, horn_silenced=silenced)
    outputs = replace(scenes.CRUISE.outputs, horn=horn)
    snapshot = replace(scenes.LOST, logic=logic, outputs=outputs)
    picture = ScreenContent(snapshot, "", VIEW, scenes.LAMPS, board)
    assert text_of(draw_overview_page(picture, 80, 24)[1]).strip() == f"Horn    {words}"


@pytest.mark.parametrize(
    ("horn", "causes", "silenced", "words"),
    [
        (HornPattern.SILENT, (), False, "○ silent"),
        (HornPattern.INTERMITTENT, ("a", "b"), False, "● ON, intermittent: a; b"),
        (HornPattern.CONTINUOUS, ("a",), False, "● ON, continuous: a"),
        (HornPattern.SILENT, ("a",), True, "○ silenced: a"),
        (HornPattern.SILENT, ("a",), False, "○ silent: a"),
    ],
)
def test_the_horn_shows_its_causes(
    horn: HornPattern, causes: tuple[str, ...], silenced: bool, words: str
) -> None:
    logic = replace(scenes.CRUISE.logic, warning_causes=causes, horn_silenced=silenced)
    outputs = replace(scenes.CRUISE.outputs, horn=horn)
    line = texts(replace(scenes.CRUISE, logic=logic, outputs=outputs))[1]
    assert line.strip() == f"Horn    {words}"


@pytest.mark.parametrize("contacts", HandleContacts)
@pytest.mark.parametrize("width", [120, 80, 60, 40])
def test_the_handle_is_shown_as_the_board_reports_it(contacts: HandleContacts, width: int) -> None:
    snapshot = replace(scenes.CRUISE, switches=SwitchState(gear_handle=contacts))
    sign, word, _ = HANDLE_WORDS[contacts]
    assert f"{sign} {word}" in line_with(texts(snapshot, width), "Gear handle")


@pytest.mark.parametrize(
    ("field", "label"),
    [
        ("horn_silence", "Horn silence"),
        ("lamp_test", "Lamp test"),
        ("warning_test", "Warning test"),
        ("steering_button", "Steering "),
    ],
)
@pytest.mark.parametrize(
    ("value", "words"), [(True, "● pressed"), (False, "○ off"), (None, "? unknown")]
)
def test_every_button_is_shown_as_the_board_reports_it(
    field: str, label: str, value: bool | None, words: str
) -> None:
    switches = SwitchState(**{field: value})
    snapshot = replace(scenes.CRUISE, switches=switches)
    for view in (VIEW, SwitchesView(scenes.SWITCHES)):
        assert words in line_with(texts(snapshot, view=view), f" {label}")


def test_grip_and_report_are_side_by_side() -> None:
    line = line_with(texts(scenes.CRUISE), "Horn silence")
    assert line.startswith(" Horn silence h    [ HELD ]    ○ off")
    assert line_with(texts(scenes.CRUISE), "Gear handle").startswith(
        " Gear handle  g     up [DOWN]  ▲ up"
    )
    assert " - +  ████████░░░  70%" in line_with(texts(scenes.CRUISE), "Dimmer")


@pytest.mark.parametrize(
    ("label", "title"), [("lamp test", "Lamp test"), ("LAMPS", "LAMPS"), ("", "Lamp test")]
)
def test_a_switch_begins_with_a_capital(label: str, title: str) -> None:
    switch = replace(scenes.SWITCHES[2], label=label)
    for simulated in (True, False):
        view = SwitchesView((switch,), {}, {"lamp_test": "released"}, simulated=simulated)
        assert any(line.startswith(f" {title}  ") for line in texts(scenes.CRUISE, view=view))


def test_a_real_panel_is_moved_on_the_panel() -> None:
    lines = texts(scenes.CRUISE, view=SwitchesView(scenes.SWITCHES))
    assert any("Operate them on the panel" in line for line in lines)
    assert "push" not in "".join(lines)
    assert "▲ up" in line_with(lines, "Gear handle")


def test_the_aircraft() -> None:
    whole = " ".join(texts(scenes.TRANSIT))
    for words in (
        "▲ in air",
        "○ steering off",
        "▼ selected down",
        "! disagrees",
        "Airspeed    228 kt",
        "Altitude   6400 ft",
        "Flaps         0 deg",
        "Throttle    68%   68%",
        "Pressure   2850 psi  ████████████░░░░░",
        "● fresh",
        "approach",
    ):
        assert words in whole
    engaged = replace(
        scenes.START, logic=replace(scenes.START.logic, steering_engaged=True), phase="taxi"
    )
    assert "▼ on ground  ● STEERING" in " ".join(texts(engaged))


def test_unknown_values_are_question_marks_and_never_zeros() -> None:
    snapshot = replace(
        scenes.CRUISE,
        aircraft=AircraftState(throttle_fraction=(None, 0.5)),
        outputs=Outputs(),
        feed_fresh=False,
    )
    lines = texts(snapshot)
    for name in ("Airspeed", "Altitude", "Flaps", "Pressure", "Throttle"):
        line = line_with(lines, name)
        assert "?" in line[line.index(name) :][:20]
    assert "! NO FRESH DATA" in " ".join(lines)
    assert "····" in line_with(lines, "Pressure")


def test_the_gauge_is_shown_before_the_aircrafts_own_value() -> None:
    aircraft = replace(scenes.CRUISE.aircraft, hydraulic_pressure_psi=1111.0)
    snapshot = replace(scenes.CRUISE, aircraft=aircraft)
    assert "2850 psi" in line_with(texts(snapshot), "Pressure")
    assert "1111 psi" in line_with(texts(replace(snapshot, outputs=Outputs())), "Pressure")


def test_at_a_start_with_disagreement_nothing_is_selected() -> None:
    logic = replace(scenes.CRUISE.logic, gear_demand=None, gear_disagrees=True)
    line = line_with(texts(replace(scenes.CRUISE, logic=logic)), "not selected")
    assert "○ not selected  ! disagrees" in line


@pytest.mark.parametrize("count", range(1, 8))
def test_faults_are_all_shown_or_counted(count: int) -> None:
    faults = tuple(f"fault number {at}" for at in range(count))
    lines = texts(replace(scenes.CRUISE, logic=replace(scenes.CRUISE.logic, faults=faults)))
    shown = [line for line in lines if "X fault number" in line]
    assert len(shown) == min(count, 4)
    if count > 4:
        assert f"(+{count - 4} more)" in shown[-1]
    else:
        assert "more)" not in "".join(shown)


def test_boards_that_are_not_live_are_counted_in_the_header() -> None:
    assert "! 1 of 2 boards live" in texts(scenes.LOST)[0]
    assert "! board NOT live" in texts(scenes.REFUSED)[0]
    assert "● board live" in texts(scenes.CRUISE)[0]
    assert "! 1/2 live" in texts(scenes.LOST, 30)[0]
    live = replace(scenes.LOST.boards[0], state=LinkState.LIVE)
    both = replace(scenes.LOST, boards=(live, scenes.LOST.boards[1]))
    assert "● 2 of 2 boards live" in texts(both)[0]


def test_without_a_fault_the_boards_that_are_not_live_are_named() -> None:
    no_fault = replace(scenes.LOST, logic=scenes.CRUISE.logic)
    line = line_with(texts(no_fault), "Faults")
    assert line.strip() == "Faults  ! not live: gear_panel; see Link below"
    assert "○ none" in line_with(texts(scenes.CRUISE), "Faults")


def test_without_any_data_the_screen_says_that_it_waits() -> None:
    lines = texts(scenes.NOT_YET)
    assert "a run" in lines[0]
    assert "○ no board yet" in lines[0]
    assert "waiting for the first data" in line_with(lines, "Faults")


def test_a_finished_run_says_so() -> None:
    assert "finished" in texts(scenes.FINISHED)[0]


def test_a_long_name_is_cut_before_it_pushes_anything_out() -> None:
    snapshot = replace(scenes.CRUISE, panel_name="p" * 60, aircraft_name="a" * 60)
    line = texts(snapshot)[0]
    assert "board live" in line
    assert line.startswith(" pppp")
    assert "…" in line


def test_a_title_that_is_the_panels_name_is_shown_once() -> None:
    picture = ScreenContent(scenes.CRUISE, scenes.CRUISE.panel_name, VIEW)
    assert text_of(draw_overview_page(picture, 120, 24)[0]).startswith(
        " bench panel ─ twin trainer  "
    )


def test_at_twenty_by_five_horn_and_legs_are_there() -> None:
    first = texts(scenes.HORN, 20, 5)[:5]
    assert "1/1 live" in first[0]
    assert "● ON, inter" in first[1]
    assert [line.split()[0] for line in first[2:]] == ["nose", "left", "right"]
    assert all(line.endswith("○ ▲") for line in [line.rstrip() for line in first[2:]])


@pytest.mark.parametrize(
    ("time_s", "tenths", "text"),
    [
        (0.0, False, "0:00"),
        (67.34, False, "1:07"),
        (67.3, True, "1:07.3"),
        (59.99999999, True, "1:00.0"),
        (3727.9, False, "1:02:07"),
        (3727.9, True, "1:02:07"),
    ],
)
def test_times(time_s: float, tenths: bool, text: str) -> None:
    assert time_text(time_s, tenths) == text


# What can be clicked


def test_a_click_finds_what_is_drawn_there() -> None:
    lines = draw(scenes.CRUISE)
    found: dict[str, set[object]] = {}
    for y in range(len(lines)):
        for x in range(80):
            target = target_at(lines, x, y)
            if target:
                found.setdefault(target.name, set()).add(target.position)
    assert found["gear_handle"] == {"up", "down"}
    assert found["dimmer"] == {at / 10 for at in range(11)}
    for name in ("horn_silence", "lamp_test", "warning_test", "steering_button"):
        assert found[name] == {None}
    y = next(at for at, line in enumerate(lines) if "Gear handle" in text_of(line))
    x = text_of(lines[y]).index("[DOWN]")
    assert target_at(lines, x, y) == ClickTarget("gear_handle", "down")
    assert target_at(lines, x - 2, y) == ClickTarget("gear_handle", "up")
    assert target_at(lines, 0, y) is None
    assert target_at(lines, 0, 99) is None
    assert target_at(lines, 99, y) is None


def moved_by(lines: list[Line]) -> set[str]:
    """The switches that a click moves; others open reasons."""
    targets = [span.target for line in lines for span in line if span.target]
    return {one.name for one in targets if not one.asks}


def test_a_narrow_screen_has_a_target_for_every_switch() -> None:
    lines = draw(scenes.CRUISE, 60, 20)
    assert moved_by(lines) == {control.name for control in scenes.SWITCHES}


def test_a_real_panel_has_nothing_to_move() -> None:
    lines = draw(scenes.CRUISE, view=SwitchesView(scenes.SWITCHES))
    assert not moved_by(lines)
