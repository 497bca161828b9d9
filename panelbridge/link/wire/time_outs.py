"""Every time-out and period of the link. ``PROTOCOL.md`` lists them too; a test compares."""

from __future__ import annotations

# The host's own.
BACK_OFF_FIRST_S = 0.25
"""Wait before the first retry after a failure, s; it doubles with each further one."""
BACK_OFF_CAP_S = 2.0
"""Longest wait between two tries, s; also the wait after a refusal."""
LOOK_EACH_S = 0.1
"""Period at which the host looks whether the file of a port has come, while it waits, s."""
OPENING_POLL_S = 0.02
"""Poll period of a port that is being opened, s."""
IN_PROCESS_POLL_S = 0.002
"""Poll period of a board in this process until it is set up, s."""
QUIET_AFTER_RESET_S = 2.0
"""Boards that reset when their port is opened: nothing is written for this time, s, because a boot
loader may listen. A hello that comes earlier ends the wait."""
QUIET_S = 0.1
"""Other boards: nothing is written for this time after opening, s."""
HELLO_REQUEST_EACH_S = 0.5
"""Period of the requests while no hello comes, s."""
HELLO_WAIT_S = 5.0
"""Time-out for the hello after opening, s; then the port is closed and tried again later."""
REPLY_WAIT_S = 0.25
"""Time-out for the reply to a set-up message, s; then the message is sent again."""
SETUP_TRIES = 12
"""Most times that one set-up message is sent."""
SETUP_RESTARTS = 3
"""Most times that a set-up is restarted because the board lost its place in it."""
HEARTBEAT_S = 0.1
"""Longest time between two COMMANDs, s; shorter when the board's host time-out is below 0.3 s."""
ROUND_TRIP_EACH_S = 1.0
"""Longest time between two measurements of the round trip, s."""
SILENCE_S = 1.0
"""Time-out for a valid REPORT of a live board, s; then the board is lost."""
RELEASE_WAIT_S = 0.2
"""Time-out for the board's answer to RELEASE at a clean stop, s."""

# The board's, as the host expects them.
BOARD_HELLO_EACH_MS = 500
"""Period of HELLO from a board without a set-up, ms."""
REPORT_INTERVAL_MS = 100
"""Longest time between two REPORTs that the host asks for in SETUP_BEGIN, ms."""
EDGE_REPEAT_MS = 40
"""Period of REPORT while edges are not acknowledged, ms."""
ANSWER_GAP_MS = 20
"""A COMMAND is answered at once unless a REPORT was sent less than this before, ms."""
CHAIN_SCAN_MS = 2
"""Longest period at which a board reads the bits of its input chains, ms."""
SETTLE_LEAST_MS = 10
"""Shortest time from SETUP_COMMIT to the first REPORT of a board with contacts, ms."""
SETTLE_MOST_MS = 600
"""Longest time from SETUP_COMMIT to the first REPORT, ms: less than ``SILENCE_S``."""
EDGE_QUEUE = 32
"""Edges that a board holds until they are acknowledged; more if it has more contacts."""
