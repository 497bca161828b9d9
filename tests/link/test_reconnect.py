from __future__ import annotations

import pytest

from panelbridge.errors import LogicError
from panelbridge.link.session import LinkState
from panelbridge.link.session.reconnect import BackOff, LinkChart
from panelbridge.link.wire.time_outs import BACK_OFF_CAP_S, BACK_OFF_FIRST_S

# The state after each trigger in each state; what is not here changes nothing.
MOVES = {
    ("idle", "link_started"): "opening",
    ("opening", "port_opened"): "greeting",
    ("opening", "port_failed"): "waiting",
    ("greeting", "hello_came"): "setting_up",
    ("greeting", "board_refused"): "refused",
    ("greeting", "link_was_lost"): "waiting",
    ("setting_up", "set_up_done"): "live",
    ("setting_up", "board_refused"): "refused",
    ("setting_up", "link_was_lost"): "waiting",
    ("live", "board_was_reset"): "setting_up",
    ("live", "link_was_lost"): "waiting",
    ("waiting", "wait_ended"): "opening",
    ("refused", "wait_ended"): "opening",
    **{
        (state, "link_stopped"): "idle"
        for state in ("opening", "greeting", "setting_up", "live", "waiting", "refused")
    },
}


@pytest.mark.parametrize("state", [state.value for state in LinkState])
@pytest.mark.parametrize("trigger", sorted({trigger for _, trigger in MOVES}))
def test_every_trigger_in_every_state(state: str, trigger: str) -> None:
    after = MOVES.get((state, trigger), state)
    assert LinkChart.after(f"link_{state}", trigger) == f"link_{after}"


def test_the_chart_has_the_states_that_health_shows() -> None:
    assert {f"link_{state.value}" for state in LinkState} == {s.id for s in LinkChart.states}


def test_an_unknown_trigger_is_an_error() -> None:
    with pytest.raises(LogicError, match="port_exploded"):
        LinkChart.after("link_idle", "port_exploded")


def test_back_off_doubles_up_to_its_cap_and_restarts() -> None:
    back_off = BackOff()
    waits = [back_off.take_s() for _ in range(12)]
    assert waits == [min(BACK_OFF_FIRST_S * 2**tries, BACK_OFF_CAP_S) for tries in range(12)]
    assert waits[-1] == BACK_OFF_CAP_S
    back_off.reset()
    assert back_off.take_s() == BACK_OFF_FIRST_S
