"""One board kept live: opening, hello, pin set-up, reports and commands, loss and reconnect."""

from panelbridge.link.session.board_session import BoardSession
from panelbridge.link.session.link_events import LINK_EVENTS, link_event
from panelbridge.link.session.output_values import TONE_OF_HORN, OutputValues
from panelbridge.link.session.session_outputs import (
    BoardHealth,
    BoardLive,
    BoardLost,
    EdgesArrived,
    LinkState,
    StateArrived,
    SwitchesForgotten,
)
from panelbridge.link.session.setup_plan import SetupPlan
from panelbridge.link.session.switch_reader import SwitchReader, at_one_instant

__all__ = ["LINK_EVENTS", "TONE_OF_HORN", "BoardHealth", "BoardLive", "BoardLost", "BoardSession"]
__all__ += ["EdgesArrived", "LinkState", "OutputValues", "SetupPlan"]
__all__ += ["StateArrived", "SwitchReader", "SwitchesForgotten", "at_one_instant", "link_event"]
