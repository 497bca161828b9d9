from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.config.panel_file import PanelFile
from panelbridge.link.session import SwitchReader, at_one_instant
from panelbridge.link.session.setup_items import AnalogueUse
from panelbridge.link.session.switch_reader import lever_fraction
from panelbridge.link.wire import Edge
from panelbridge.signals import HandleContacts, SwitchState
from tests.link.conftest import make_panel


def test_everything_is_unknown_at_first(panel: PanelFile) -> None:
    assert SwitchReader(panel).state == SwitchState()


@pytest.mark.parametrize(
    ("contacts", "handle"),
    [
        (0b00, HandleContacts.BETWEEN),
        (0b01, HandleContacts.UP),
        (0b10, HandleContacts.DOWN),
        (0b11, HandleContacts.BOTH),
    ],
)
def test_a_two_contact_handle(panel: PanelFile, contacts: int, handle: HandleContacts) -> None:
    reader = SwitchReader(panel)
    assert reader.set_state("gear", contacts, ()).get("gear_handle") is handle
    # The button's bit does not disturb it.
    assert reader.set_state("gear", contacts | 0b100, ()).get("gear_handle") is handle
    assert reader.state.get("horn_silence") is True


@pytest.mark.parametrize(
    ("end", "closed", "handle"),
    [
        ("up", 1, HandleContacts.UP),
        ("up", 0, HandleContacts.DOWN),
        ("down", 1, HandleContacts.DOWN),
        ("down", 0, HandleContacts.UP),
    ],
)
def test_a_one_contact_handle(end: str, closed: int, handle: HandleContacts) -> None:
    entry = {"board": "gear", "form": "one_contact", "pin": "D2", "closed_means": end}
    reader = SwitchReader(make_panel(switches={"gear_handle": entry}))
    assert reader.set_state("gear", closed, ()).get("gear_handle") is handle
    assert reader.board_lost("gear").get("gear_handle") is None


def test_two_boards_are_one_state_and_each_may_be_missing(panel: PanelFile) -> None:
    reader = SwitchReader(panel)
    reader.set_state("pedestal", 1, (1023,))
    assert reader.state == SwitchState(lamp_test=True, dimmer=1.0)
    reader.set_state("gear", 0b10, ())
    assert reader.state == SwitchState(
        gear_handle=HandleContacts.DOWN, horn_silence=False, lamp_test=True, dimmer=1.0
    )
    assert reader.board_lost("pedestal") == SwitchState(
        gear_handle=HandleContacts.DOWN, horn_silence=False
    )
    assert reader.board_lost("gear") == SwitchState()


def test_the_same_object_comes_while_nothing_changes(panel: PanelFile) -> None:
    reader = SwitchReader(panel)
    first = reader.set_state("gear", 0b10, ())
    assert reader.set_state("gear", 0b10, ()) is first
    assert reader.set_state("gear", 0b10, ()) is first
    assert reader.apply_edge("gear", 1, True) is first
    assert reader.board_lost("pedestal") is first
    assert reader.state is first
    assert reader.apply_edge("gear", 1, False) is not first


def test_noise_of_a_lever_makes_no_new_state(panel: PanelFile) -> None:
    reader = SwitchReader(panel)
    first = reader.set_state("pedestal", 0, (512,))
    assert reader.set_state("pedestal", 0, (513,)) is first
    assert reader.set_state("pedestal", 0, (530,)) is not first


def test_each_edge_is_a_state_of_its_own(panel: PanelFile) -> None:
    reader = SwitchReader(panel)
    reader.set_state("gear", 0b10, ())
    seen = [
        reader.apply_edge("gear", contact, closed)
        for contact, closed in [(1, False), (2, True), (2, False), (0, True)]
    ]
    assert [s.get("gear_handle").value for s in seen] == ["between", "between", "between", "up"]
    assert [s.get("horn_silence") for s in seen] == [False, True, False, False]


def test_an_edge_of_a_board_that_is_not_live_changes_nothing(panel: PanelFile) -> None:
    reader = SwitchReader(panel)
    before = reader.state
    assert reader.apply_edge("gear", 0, True) is before
    reader.set_state("gear", 0b10, ())
    lost = reader.board_lost("gear")
    assert reader.apply_edge("gear", 0, True) is lost


def test_a_board_that_comes_back_with_the_same_inputs_is_known_again(panel: PanelFile) -> None:
    reader = SwitchReader(panel)
    before = reader.set_state("gear", 0b10, ())
    reader.board_lost("gear")
    assert reader.set_state("gear", 0b10, ()) == before


@pytest.mark.parametrize(
    ("counts", "fraction"), [(0, 0.0), (100, 0.0), (900, 1.0), (1023, 1.0), (500, 128 / 255)]
)
def test_a_lever_is_held_to_its_ends(counts: int, fraction: float) -> None:
    assert lever_fraction(AnalogueUse("dimmer", 100, 900), counts) == fraction


def test_a_lever_that_runs_the_other_way() -> None:
    lever = AnalogueUse("dimmer", 900, 100)
    assert lever_fraction(lever, 900) == 0.0
    assert lever_fraction(lever, 100) == 1.0


def test_a_lever_without_travel_is_at_its_lowest() -> None:
    assert lever_fraction(AnalogueUse("dimmer", 5, 5), 700) == 0.0


_step = st.one_of(
    st.tuples(st.just("edge"), st.integers(0, 2), st.booleans()),
    st.tuples(st.just("state"), st.integers(0, 7), st.just(False)),
    st.tuples(st.just("lost"), st.just(0), st.just(False)),
)


@given(st.lists(_step, max_size=30))
def test_edges_one_by_one_agree_with_the_whole_state(steps: list[tuple[str, int, bool]]) -> None:
    """Law: after any course of edges the state is that of a reader that gets the bits at once."""
    panel = make_panel()
    reader = SwitchReader(panel)
    bits: int | None = None
    for what, number, closed in steps:
        if what == "state":
            bits = number
            reader.set_state("gear", bits, ())
        elif what == "lost":
            bits = None
            reader.board_lost("gear")
        else:
            if bits is not None:
                bits = bits | 1 << number if closed else bits & ~(1 << number)
            reader.apply_edge("gear", number, closed)
        fresh = SwitchReader(panel)
        if bits is not None:
            fresh.set_state("gear", bits, ())
        assert reader.state == fresh.state


_edges = st.lists(st.builds(Edge, st.integers(0, 2), st.booleans()), min_size=1, max_size=16)


@given(_edges)
def test_edges_of_an_instant_are_taken_together_and_none_is_lost(edges: list[Edge]) -> None:
    """Law: groups keep the order and never hold two edges of a contact, and could not be longer."""
    groups = [list(group) for group in at_one_instant(edges)]
    assert [edge for group in groups for edge in group] == edges
    for group in groups:
        assert len({edge.contact for edge in group}) == len(group) > 0
    for group, after in pairwise(groups):
        assert after[0].contact in {edge.contact for edge in group}


@given(_edges, st.integers(0, 7))
def test_what_the_logic_sees_was_true_at_some_instant(edges: list[Edge], start: int) -> None:
    """Law: of edges that came at one instant in any order, only what is after all of them shows.

    Each press of the button (contact 2) shows all the same.
    """
    reader = SwitchReader(make_panel())
    reader.set_state("gear", start, ())
    seen, bits, pressed = [], start, [bool(start & 0b100)]
    for group in at_one_instant(edges):
        for edge in group:
            state = reader.apply_edge("gear", edge.contact, edge.closed)
            bits = bits | 1 << edge.contact if edge.closed else bits & ~(1 << edge.contact)
            if edge.contact == 2:
                pressed.append(edge.closed)
        seen.append(state.get("horn_silence"))
        fresh = SwitchReader(make_panel())
        assert fresh.set_state("gear", bits, ()) == state
    changes = [closed for before, closed in pairwise(pressed) if before != closed]
    assert [b for a, b in pairwise([bool(start & 0b100), *seen]) if a != b] == changes
