"""The numbers of the protocol, as ``firmware_examples/PROTOCOL.md`` gives them."""

from __future__ import annotations

from enum import IntEnum, IntFlag

PROTOCOL_VERSION = 1
MAX_EDGES = 16
"""Most edges in one REPORT."""
MAX_ITEMS = 112
"""Most items in a pin set-up of any board: so many outputs fit into a COMMAND."""
MAX_CHAINS = 4
"""Most chains of shift registers at a board."""
MAX_CHAIN_CHIPS = 16
"""Most chips in all chains of a board together."""
BITS_OF_CHIP = 8
FIRST_CHAIN_PIN = 128
"""Number of the first chain's bit 0 as a pin; the bits of all chains follow one another."""
MAX_TONES_HZ = 8000
"""Most that the frequencies of several tones add up to, Hz; not where hardware makes them."""
MAX_CAPTURE_TIMES = 32
"""Most times of raw changes in a CAPTURED."""
MAX_CAPTURE_WINDOW_MS = 1000
"""Longest raw capture, ms."""
NO_CONTACT = 255
"""CAPTURE of this contact ends the watch."""
EDGE_MODULO = 1 << 16
"""Edges, reports and commands are numbered modulo this."""


class MessageType(IntEnum):
    """First byte of a message; from the board when its top bit is set."""

    HELLO_REQUEST = 0x01
    SETUP_BEGIN = 0x02
    SETUP_ITEM = 0x03
    SETUP_COMMIT = 0x04
    COMMAND = 0x05
    RELEASE = 0x06
    CAPTURE = 0x07
    HELLO = 0x81
    SETUP_REPLY = 0x82
    REPORT = 0x83
    CAPTURED = 0x84


class ItemKind(IntEnum):
    """What a pin is set up as. Inputs are below 0x10, outputs below 0x20, chains from there on."""

    CONTACT = 0x01
    ANALOGUE = 0x02
    LAMP = 0x10
    TONE = 0x11
    SERVO = 0x12
    CHAIN_IN = 0x20
    """74HC165 chips: each of their bits can be a CONTACT."""
    CHAIN_OUT = 0x21
    """74HC595 chips: each of their bits can be a LAMP that is not dimmed."""


class ItemFlag(IntFlag):
    """Flags of an item; unused ones are zero."""

    NONE = 0
    PULL_UP = 0x01
    """CONTACT: switch the pull-up resistor on."""
    ACTIVE_LOW = 0x02
    """CONTACT: a low pin is a closed contact. LAMP: a low pin lights it."""
    PWM = 0x04
    """LAMP: dim it by pulse width; without it, any brightness above 0 is full on."""
    HOLD_AFTER_EDGE = 0x08
    """CONTACT: report an edge first and hold for the debounce time (else: wait until quiet)."""


class SetupStatus(IntEnum):
    """How a board answers a set-up message."""

    OK = 0
    BAD_CHECKSUM = 1
    BAD_ORDER = 2
    """A SETUP_ITEM or SETUP_COMMIT without SETUP_BEGIN, or an index out of order."""
    TOO_MANY_ITEMS = 3
    UNKNOWN_KIND = 4
    NO_SUCH_PIN = 5
    PIN_IN_USE = 6
    PIN_CANNOT = 7
    """The pin is there but cannot do what is asked, e.g. PWM on a pin without it."""
    BAD_VALUE = 8
    REPORT_TOO_LONG = 9
    """The REPORT or COMMAND of this set-up would not fit a frame."""


class ReportFlag(IntFlag):
    """State of the board in a REPORT."""

    NONE = 0
    HOST_SILENT = 0x01
    """No valid COMMAND for the host time-out: the outputs are at idle."""
    EDGES_LOST = 0x02
    """More edges came than the board could hold since the last acknowledged one."""
    NOISY_CONTACT = 0x04
    """A contact bounced for longer than its debounce time can settle."""
