from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.clock import VirtualClock
from panelbridge.config.panel_file import PanelFile
from panelbridge.errors import LogicError, UsageError
from panelbridge.link.session import SetupPlan
from panelbridge.link.wire import Command, Report, SetupBegin, SetupCommit
from panelbridge.link.wire.frames import FrameParser, encode_frame
from panelbridge.simboard import registry
from panelbridge.simboard.board.outputs import ToneOrder
from panelbridge.simboard.board.wiring import Wiring
from panelbridge.simboard.contacts.hands import SwitchFault
from panelbridge.simboard.sim_panel import SimPanel
from tests.simboard.panels import CONTENT, make_panel


def handle_contacts(panel: SimPanel) -> tuple[bool, bool]:
    """(up, down): what connects its pin to ground."""
    board = panel.boards["main"]
    return board.contact_closed("D22"), board.contact_closed("D23")


def bring_up(panel: SimPanel, now_s: float, values: dict[str, tuple[int, ...]]) -> None:
    """Set the boards up as the panel file says and command their outputs."""
    for name, board in panel.boards.items():
        plan = SetupPlan.of(panel.panel, name)
        begin = SetupBegin(1, len(plan.items), plan.checksum, 60_000, 100).pack()
        messages = [begin, *(item.pack() for item in plan.items), SetupCommit(plan.checksum).pack()]
        for message in [*messages, Command(1, 1, 0, values[name]).pack(plan.shape)]:
            board.receive(now_s, encode_frame(message))


def test_switches_and_their_positions_at_the_start() -> None:
    panel = SimPanel(make_panel())
    assert panel.choices == {
        "gear_handle": ("up", "between", "down"),
        "horn_silence": ("released", "pressed"),
        "steering_button": ("released", "pressed"),
        "dimmer": (),
    }
    assert panel.positions(0.0) == {
        "gear_handle": "down",
        "horn_silence": "released",
        "steering_button": "released",
        "dimmer": 1.0,
    }
    assert handle_contacts(panel) == (False, True)
    assert panel.boards["pedestal"].contact_closed("D2")  # normally closed


def test_the_handle_leaves_one_contact_and_arrives_at_the_other() -> None:
    panel = SimPanel(make_panel(), bounce=False, travel_s=0.3)
    panel.move(1.0, "gear_handle", "up")
    seen = {}
    for time_s in (1.0, 1.299, 1.301):
        panel.advance(time_s)
        seen[time_s] = (panel.positions(time_s)["gear_handle"], handle_contacts(panel))
    assert seen == {
        1.0: ("between", (False, False)),
        1.299: ("between", (False, False)),
        1.301: ("up", (True, False)),
    }


def test_a_handle_that_turns_back_half_way_never_touches_the_far_contact() -> None:
    panel = SimPanel(make_panel(), bounce=False, travel_s=0.4)
    panel.move(1.0, "gear_handle", "up")
    panel.move(1.2, "gear_handle", "down")
    for time_s in (1.3, 1.41, 2.0):
        panel.advance(time_s)
        assert not handle_contacts(panel)[0]
    assert handle_contacts(panel) == (False, True)
    assert panel.positions(1.39)["gear_handle"] == "between"
    assert panel.positions(1.41)["gear_handle"] == "down"


def test_a_handle_can_be_left_between() -> None:
    panel = SimPanel(make_panel(), bounce=False)
    panel.move(1.0, "gear_handle", "between")
    panel.advance(9.0)
    assert handle_contacts(panel) == (False, False)
    panel.move(9.0, "gear_handle", "down")
    panel.advance(9.2)
    assert handle_contacts(panel) == (False, True)


def test_a_move_that_is_ordered_again_changes_nothing() -> None:
    panel = SimPanel(make_panel(), travel_s=0.3)
    panel.move(1.0, "gear_handle", "up")
    panel.move(1.2, "gear_handle", "up")
    panel.advance(1.31)
    assert panel.positions(1.31)["gear_handle"] == "up"
    assert handle_contacts(panel) == (True, False)


@pytest.mark.parametrize(
    ("handle", "position", "closed"),
    [
        ({"form": "one_contact", "closed_means": "up"}, "up", True),
        ({"form": "one_contact", "closed_means": "up"}, "down", False),
        ({"form": "one_contact", "closed_means": "down"}, "up", False),
        ({"form": "one_contact", "closed_means": "down"}, "down", True),
    ],
)
def test_one_contact_handles(handle: dict[str, str], position: str, closed: bool) -> None:
    wired = {**handle, "board": "main", "pin": "D22"}
    panel = SimPanel(make_panel(gear_handle=wired), bounce=False)
    assert panel.choices["gear_handle"] == ("up", "down")
    panel.move(1.0, "gear_handle", position)
    panel.advance(1.0)
    assert panel.boards["main"].contact_closed("D22") is closed


def test_normally_closed_contacts_open_when_operated() -> None:
    panel = SimPanel(make_panel(), bounce=False)
    panel.move(1.0, "steering_button", "pressed")
    assert not panel.boards["pedestal"].contact_closed("D2")
    panel.move(2.0, "steering_button", "released")
    assert panel.boards["pedestal"].contact_closed("D2")


def test_contacts_bounce_and_then_stay() -> None:
    panel = SimPanel(make_panel(), seed=4)
    board = panel.boards["main"]
    levels = []
    panel.move(1.0, "horn_silence", "pressed")
    for step in range(400):
        panel.advance(1.0 + step * 0.00005)
        levels.append(board.contact_closed("D24"))
    changes = sum(a != b for a, b in pairwise(levels))
    assert changes > 2
    assert all(levels[-200:])


@given(
    st.lists(
        st.tuples(st.floats(0, 0.01, allow_nan=False), st.sampled_from(["pressed", "released"])),
        min_size=1,
    ),
    st.integers(0, 1000),
)
def test_after_any_play_with_a_button_its_contact_is_where_it_stands(
    moves: list[tuple[float, str]], seed: int
) -> None:
    """Law: even when it is moved again in the midst of its bouncing."""
    panel = SimPanel(make_panel(), seed=seed)
    time_s = 1.0
    for wait_s, position in moves:
        time_s += wait_s
        panel.move(time_s, "horn_silence", position)
    panel.advance(time_s + 0.1)
    assert panel.boards["main"].contact_closed("D24") is (moves[-1][1] == "pressed")


@given(
    st.lists(
        st.tuples(st.floats(0, 0.5, allow_nan=False), st.sampled_from(["up", "down", "between"])),
        min_size=1,
    )
)
def test_the_handle_never_closes_both_contacts(moves: list[tuple[float, str]]) -> None:
    """Law: whatever is done with it, bounce or not."""
    panel = SimPanel(make_panel(), travel_s=0.05)
    time_s = 1.0
    for wait_s, position in moves:
        for step in range(1, 21):
            panel.advance(time_s + wait_s * step / 20)
            assert handle_contacts(panel) != (True, True)
        time_s += wait_s
        panel.move(time_s, "gear_handle", position)
    panel.advance(time_s + 0.1)
    place = panel.positions(time_s + 0.1)["gear_handle"]
    assert place == moves[-1][1]
    assert handle_contacts(panel) == (place == "up", place == "down")


@given(
    st.lists(
        st.tuples(st.floats(0, 0.01, allow_nan=False), st.sampled_from(["up", "down", "between"])),
        min_size=1,
    ),
    st.integers(0, 1000),
)
def test_a_handle_that_is_faster_than_its_bounce_still_ends_where_it_stands(
    moves: list[tuple[float, str]], seed: int
) -> None:
    panel = SimPanel(make_panel(), travel_s=0.002, seed=seed)
    time_s = 1.0
    for wait_s, position in moves:
        time_s += wait_s
        panel.move(time_s, "gear_handle", position)
    panel.advance(time_s + 0.1)
    place = moves[-1][1]
    assert handle_contacts(panel) == (place == "up", place == "down")


def test_a_burst_that_the_next_one_overtakes_ends_there() -> None:
    for seed in range(300):
        panel = SimPanel(make_panel(), travel_s=0.002, seed=seed)
        for time_s, position in ((1.0, "up"), (1.0035, "down"), (1.004, "up")):
            panel.move(time_s, "gear_handle", position)
        panel.advance(1.1)
        assert handle_contacts(panel) == (True, False), seed


def test_a_repaired_switch_goes_straight_to_where_it_stands(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    panel = SimPanel(make_panel(), bounce=False)
    panel.move(1.0, "gear_handle", "up")
    panel.advance(3.0)
    panel.break_switch(3.0, "gear_handle", SwitchFault.DEAD_WIRE)
    seen: list[tuple[str, bool]] = []
    real = Wiring.set_closed

    def note(wiring: Wiring, pin_name: str, closed: bool) -> bool:
        seen.append((pin_name, closed))
        return real(wiring, pin_name, closed)

    monkeypatch.setattr(Wiring, "set_closed", note)
    panel.break_switch(4.0, "gear_handle", SwitchFault.NONE)
    panel.advance(5.0)
    assert seen == [("D22", True)]  # it does not go the whole way once more


@pytest.mark.parametrize(("fraction", "counts"), [(0, 1000), (1.0, 20), (0.5, 510), ("0.25", 755)])
def test_levers_read_counts(fraction: str | float, counts: int) -> None:
    panel = SimPanel(make_panel())
    panel.move(1.0, "dimmer", fraction)
    assert panel.positions(1.0)["dimmer"] == float(fraction)
    assert panel.boards["pedestal"]._wiring.counts("A0") == counts


@pytest.mark.parametrize(
    ("switch", "position"),
    [
        ("gear_handle", "sideways"),
        ("horn_silence", "up"),
        ("dimmer", 1.1),
        ("dimmer", "nan"),
        ("dimmer", "bright"),
        ("brake", "on"),
    ],
)
def test_moves_that_cannot_be_are_refused(switch: str, position: str | float) -> None:
    with pytest.raises(UsageError) as caught:
        SimPanel(make_panel()).move(1.0, switch, position)
    assert caught.value.hint


# -- broken switches ------------------------------------------------------------------------------


def test_a_stuck_switch_stays_and_follows_when_it_is_repaired() -> None:
    panel = SimPanel(make_panel(), bounce=False)
    panel.break_switch(1.0, "gear_handle", SwitchFault.STUCK)
    panel.break_switch(1.0, "dimmer", SwitchFault.STUCK)
    panel.move(2.0, "gear_handle", "up")
    panel.move(2.0, "dimmer", 0.0)
    panel.advance(4.0)
    assert panel.positions(4.0)["gear_handle"] == "up"
    assert handle_contacts(panel) == (False, True)
    assert panel.boards["pedestal"]._wiring.counts("A0") == 20
    assert panel.faults()["gear_handle"] is SwitchFault.STUCK
    panel.break_switch(5.0, "gear_handle", SwitchFault.NONE)
    panel.break_switch(5.0, "dimmer", SwitchFault.NONE)
    assert handle_contacts(panel) == (True, False)
    assert panel.boards["pedestal"]._wiring.counts("A0") == 1000


def test_a_dead_wire_never_closes() -> None:
    panel = SimPanel(make_panel(), bounce=False)
    for switch in ("gear_handle", "steering_button", "dimmer"):
        panel.break_switch(1.0, switch, SwitchFault.DEAD_WIRE)
    panel.move(2.0, "gear_handle", "up")
    panel.advance(4.0)
    assert handle_contacts(panel) == (False, False)
    assert not panel.boards["pedestal"].contact_closed("D2")
    assert panel.boards["pedestal"]._wiring.counts("A0") == 0


@pytest.mark.parametrize("normally_closed", [False, True])
def test_both_contacts_of_a_handle_can_contradict(normally_closed: bool) -> None:
    wired = {
        "form": "two_contact",
        "board": "main",
        "up_pin": "D22",
        "down_pin": "D23",
        "normally_closed": normally_closed,
    }
    panel = SimPanel(make_panel(gear_handle=wired), bounce=False)
    panel.break_switch(1.0, "gear_handle", SwitchFault.CONTRADICTORY)
    assert handle_contacts(panel) == (not normally_closed, not normally_closed)
    panel.break_switch(2.0, "gear_handle", SwitchFault.NONE)
    assert handle_contacts(panel) == (normally_closed, not normally_closed)


@pytest.mark.parametrize("switch", ["horn_silence", "dimmer"])
def test_what_has_one_contact_cannot_contradict(switch: str) -> None:
    with pytest.raises(UsageError, match="contradict"):
        SimPanel(make_panel()).break_switch(1.0, switch, SwitchFault.CONTRADICTORY)


# -- eyes and ports -------------------------------------------------------------------------------


def test_lamps_horn_and_gauges_by_their_names() -> None:
    panel = SimPanel(make_panel())
    assert panel.lamps() == {"nose_green": 0, "steering": 0}
    assert panel.horn() is None
    assert panel.gauges_us() == {"hydraulic_pressure": 0}
    bring_up(panel, 1.0, {"main": (99, 1), "pedestal": (1, 1700)})
    assert panel.lamps() == {"nose_green": 99, "steering": 255}
    tone = panel.horn()
    assert tone is not None
    assert tone.order is ToneOrder.INTERMITTENT
    assert [tone.sounding(time_s) for time_s in (1.0, 1.3, 1.6)] == [True, False, True]
    assert panel.gauges_us() == {"hydraulic_pressure": 1700}


def test_registering_makes_every_board_a_port_until_the_end() -> None:
    with SimPanel(make_panel()) as panel:
        urls = panel.register(VirtualClock())
        assert urls == {"main": "simboard://main", "pedestal": "simboard://pedestal"}
        assert set(registry.names()) == {"main", "pedestal"}
        with pytest.raises(LogicError, match="main already"), SimPanel(make_panel()) as other:
            other.register(VirtualClock())
    assert registry.names() == ()


def test_boards_of_a_panel_differ_and_a_seed_repeats_them() -> None:
    ids = [
        [board.boot_id for board in SimPanel(make_panel(), seed=seed).boards.values()]
        for seed in (1, 1, 2)
    ]
    assert ids[0] == ids[1] != ids[2]
    assert ids[0][0] != ids[0][1]


def test_switches_and_lamps_on_chains() -> None:
    panel = SimPanel(
        PanelFile.model_validate(
            {
                **CONTENT,
                "boards": {"main": {"board": "uno", "chains": CHAINS}},
                "switches": {
                    "gear_handle": {
                        "form": "two_contact",
                        "board": "main",
                        "up_pin": "knobs.8",
                        "down_pin": "knobs.3",
                    },
                    "horn_silence": {
                        "form": "contact",
                        "board": "main",
                        "pin": "knobs.15",
                        "normally_closed": True,
                    },
                },
                "lamps": {
                    "nose_green": {"board": "main", "pin": "lights.6", "colour": "green"},
                    "nose_red": {"board": "main", "pin": "D9", "colour": "red"},
                },
                "horn": None,
                "gauges": {},
            }
        ),
        bounce=False,
    )
    board = panel.boards["main"]
    assert [board.contact_closed(f"D10.{bit}") for bit in (8, 3, 15)] == [False, True, True]
    bring_up(panel, 1.0, {"main": (200, 100)})
    assert panel.lamps() == {"nose_green": 255, "nose_red": 100}
    assert board.chain_bit_high("D3.6")
    shape = SetupPlan.of(panel.panel, "main").shape
    parser = FrameParser()

    def last_contacts() -> int:
        messages = parser.feed(board.take_output())
        return Report.unpack([m for m in messages if m[0] == 0x83][-1], shape).contacts

    panel.move(2.0, "horn_silence", "pressed")
    panel.advance(2.5)
    assert last_contacts() == 0b110  # handle down, silence pressed
    panel.move(3.0, "gear_handle", "up")
    panel.advance(4.0)
    assert last_contacts() == 0b101


CHAINS = {
    "lights": {
        "form": "outputs",
        "chips": 1,
        "data_pin": "D3",
        "clock_pin": "D6",
        "latch_pin": "D13",
    },
    "knobs": {
        "form": "inputs",
        "chips": 2,
        "data_pin": "D10",
        "clock_pin": "D11",
        "latch_pin": "D12",
    },
}
