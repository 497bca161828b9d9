"""Every time-out of the link, in one place. ``PROTOCOL.md`` gives them too; a test compares."""

from __future__ import annotations

# The host's own.
BACK_OFF_FIRST_S = 0.25
"""Wait before the first new try after a failure, s; it doubles with each further one."""
BACK_OFF_CAP_S = 2.0
"""Longest wait between two tries, s; also the wait after a refusal."""
OPENING_LOOK_S = 0.02
"""A port that is being opened is looked at this often, s."""
IN_PROCESS_LOOK_S = 0.002
"""Until it is set up, a board in this process is looked at this often, s."""
QUIET_AFTER_RESET_S = 2.0
"""Boards that reset when their port is opened: nothing is written for so long, s, for a boot loader
may listen. A hello that comes earlier ends the wait."""
QUIET_S = 0.1
"""Other boards: nothing is written for so long after opening, s."""
HELLO_REQUEST_EACH_S = 0.5
"""While the hello does not come, it is asked for this often, s."""
HELLO_WAIT_S = 5.0
"""Without a hello for so long after opening, the port is closed and tried again later, s."""
REPLY_WAIT_S = 0.25
"""A set-up message without its reply for so long is sent again, s."""
SETUP_TRIES = 12
"""Most times that one set-up message is sent."""
SETUP_RESTARTS = 3
"""Most times that a set-up is begun anew because the board lost its place in it."""
HEARTBEAT_S = 0.1
"""Longest time between two COMMANDs, s; shorter when the board's host time-out is below 0.3 s."""
ROUND_TRIP_EACH_S = 1.0
"""The round trip is measured this often at least, s."""
SILENCE_S = 1.0
"""A live board without a valid REPORT for so long is lost, s."""
RELEASE_WAIT_S = 0.2
"""At a clean stop, longest wait for the board's answer to RELEASE, s."""

# The board's, as the host expects them.
BOARD_HELLO_EACH_MS = 500
"""Without a set-up the board sends HELLO this often, ms."""
REPORT_INTERVAL_MS = 100
"""Longest time between two REPORTs that the host asks for in SETUP_BEGIN, ms."""
EDGE_REPEAT_MS = 40
"""While edges are not acknowledged, the board sends REPORT this often, ms."""
ANSWER_GAP_MS = 20
"""A COMMAND is answered with a REPORT at once unless one was sent so shortly before, ms."""
CHAIN_SCAN_MS = 2
"""A board reads the bits of its input chains at least this often, ms."""
EDGE_QUEUE = 32
"""Edges that a board holds until they are acknowledged."""
