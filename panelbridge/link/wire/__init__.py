"""The messages between host and board: typed, both ways, numbers little-endian.

``firmware_examples/PROTOCOL.md`` specifies each byte; a test compares it with the code.
``pack()`` returns a message without CRC; ``unpack(message)`` is its inverse and raises
``MessageError`` on a wrong length or value.
"""

from panelbridge.link.wire.capture_messages import Capture, Captured
from panelbridge.link.wire.constants import (
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
from panelbridge.link.wire.setup_messages import (
    Hello,
    HelloRequest,
    Release,
    SetupBegin,
    SetupCommit,
    SetupItem,
    SetupReply,
)
from panelbridge.link.wire.state_messages import Command, Edge, Report, SetupShape

__all__ = ["Hello", "HelloRequest", "Release", "SetupBegin", "SetupCommit", "SetupItem"]
__all__ += ["Capture", "Captured", "Command", "Edge", "Report", "SetupReply", "SetupShape"]
__all__ += ["ItemFlag", "ItemKind", "MessageType", "ReportFlag", "SetupStatus"]
__all__ += ["BITS_OF_CHIP", "EDGE_MODULO", "FIRST_CHAIN_PIN", "NO_CONTACT", "PROTOCOL_VERSION"]
__all__ += ["MAX_CAPTURE_TIMES", "MAX_CAPTURE_WINDOW_MS", "MAX_CHAINS", "MAX_CHAIN_CHIPS"]
__all__ += ["MAX_EDGES", "MAX_ITEMS"]
