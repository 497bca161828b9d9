"""The messages between host and board: typed, both ways, numbers little-endian.

What each byte means stands in ``firmware_examples/PROTOCOL.md``; a test holds the two together.
``pack()`` gives a message without CRC; ``unpack(message)`` is its inverse and raises
``MessageError`` on a wrong length or value.
"""

from panelbridge.config.boards import BoardCode
from panelbridge.link.capture_messages import Capture, Captured
from panelbridge.link.setup_messages import (
    Hello,
    HelloRequest,
    Release,
    SetupBegin,
    SetupCommit,
    SetupItem,
    SetupReply,
)
from panelbridge.link.state_messages import Command, Edge, Report, SetupShape
from panelbridge.link.terms import (
    BITS_OF_CHIP,
    EDGE_MODULO,
    FIRST_CHAIN_PIN,
    MAX_CAPTURE_TIMES,
    MAX_CAPTURE_WINDOW_MS,
    MAX_CHAIN_CHIPS,
    MAX_CHAINS,
    MAX_EDGES,
    MAX_ITEMS,
    NO_CONTACT,
    PROTOCOL_VERSION,
    ItemFlag,
    ItemKind,
    MessageType,
    ReportFlag,
    SetupStatus,
)

__all__ = [
    "BITS_OF_CHIP",
    "EDGE_MODULO",
    "FIRST_CHAIN_PIN",
    "MAX_CAPTURE_TIMES",
    "MAX_CAPTURE_WINDOW_MS",
    "MAX_CHAINS",
    "MAX_CHAIN_CHIPS",
    "MAX_EDGES",
    "MAX_ITEMS",
    "NO_CONTACT",
    "PROTOCOL_VERSION",
    "BoardCode",
    "Capture",
    "Captured",
    "Command",
    "Edge",
    "Hello",
    "HelloRequest",
    "ItemFlag",
    "ItemKind",
    "MessageType",
    "Release",
    "Report",
    "ReportFlag",
    "SetupBegin",
    "SetupCommit",
    "SetupItem",
    "SetupReply",
    "SetupShape",
    "SetupStatus",
]
