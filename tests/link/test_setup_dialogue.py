from __future__ import annotations

import pytest

from panelbridge.errors import LinkLost, SetupRefused
from panelbridge.link.session import SetupPlan
from panelbridge.link.session.setup_dialogue import SetupDialogue
from panelbridge.link.wire import MessageType, SetupReply, SetupStatus
from panelbridge.link.wire.time_outs import REPLY_WAIT_S, SETUP_RESTARTS


def test_nothing_is_due_while_a_reply_is_awaited(plan: SetupPlan) -> None:
    dialogue = SetupDialogue(plan, 5, "here")
    first = dialogue.message_due(10.0)
    assert first is not None
    assert dialogue.message_due(10.0) is None
    assert dialogue.message_due(10.0 + REPLY_WAIT_S - 0.001) is None
    assert dialogue.message_due(10.0 + REPLY_WAIT_S) == first
    dialogue.take(SetupReply(5, MessageType.SETUP_BEGIN, 0, 0, 0xFFFF))
    assert dialogue.message_due(10.3) == plan.items[0].pack()


def test_a_set_up_that_is_done_says_no_more(plan: SetupPlan) -> None:
    dialogue = SetupDialogue(plan, 5, "here")
    while not dialogue.done:
        message = dialogue.message_due(0.0)
        assert message is not None
        index = message[1] if message[0] == MessageType.SETUP_ITEM else 0
        expected = dialogue._checksums[dialogue._step]
        dialogue.take(SetupReply(5, message[0], index, 0, expected))
    assert dialogue.message_due(99.0) is None
    assert dialogue.next_due_s == float("inf")
    dialogue.take(SetupReply(5, MessageType.SETUP_COMMIT, 0, SetupStatus.BAD_ORDER, 0))
    assert dialogue.done


def test_a_board_that_loses_its_place_again_and_again_is_a_bad_line(plan: SetupPlan) -> None:
    """No refusal: it may be better in a moment."""
    dialogue = SetupDialogue(plan, 5, "here")
    lost = SetupReply(0, MessageType.SETUP_BEGIN, 0, SetupStatus.BAD_ORDER, 0xFFFF)
    for _ in range(SETUP_RESTARTS):
        dialogue.take(lost)
    with pytest.raises(LinkLost, match="loses its place"):
        dialogue.take(lost)


@pytest.mark.parametrize("status", [SetupStatus.TOO_MANY_ITEMS, SetupStatus.BAD_VALUE])
def test_a_refused_beginning_is_heard_though_it_has_no_session(
    plan: SetupPlan, status: SetupStatus
) -> None:
    """PROTOCOL.md 4.2: the board has no set-up then, and says session 0."""
    dialogue = SetupDialogue(plan, 5, "here")
    dialogue.take(SetupReply(0, MessageType.SETUP_BEGIN, 0, SetupStatus.OK, 0xFFFF))  # not ours
    with pytest.raises(SetupRefused, match="refuses the start of the set-up"):
        dialogue.take(SetupReply(0, MessageType.SETUP_BEGIN, 0, status, 0xFFFF))


def test_a_refusal_of_another_session_is_too_late(plan: SetupPlan) -> None:
    dialogue = SetupDialogue(plan, 5, "here")
    dialogue.take(SetupReply(5, MessageType.SETUP_BEGIN, 0, SetupStatus.OK, 0xFFFF))
    dialogue.take(SetupReply(4, MessageType.SETUP_ITEM, 0, SetupStatus.PIN_IN_USE, 0xFFFF))
    assert dialogue.message_due(0.0) == plan.items[0].pack()
