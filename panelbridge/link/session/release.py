"""The clean end of a session: the board's outputs go to idle before its port is closed."""

from __future__ import annotations

from panelbridge.clock import Clock
from panelbridge.link.ports.frame_port import FramePort
from panelbridge.link.wire import MessageType, Release
from panelbridge.link.wire.time_outs import RELEASE_WAIT_S

_NEVER = float("inf")


def release_board(port: FramePort, clock: Clock, *, await_answer: bool) -> None:
    """Send RELEASE, twice if the first one gets no answer.

    Args:
        port: the board's port.
        clock: real time.
        await_answer: wait for the board's hello, at most ``RELEASE_WAIT_S``.

    Raises:
        LinkLost: the port went away.
    """
    now_s = clock.now()
    half_s, end_s = now_s + RELEASE_WAIT_S / 2, now_s + RELEASE_WAIT_S
    port.write(now_s, Release().pack())
    while await_answer and now_s < end_s:
        if any(message[0] == MessageType.HELLO for message in port.read(now_s)):
            return
        clock.sleep_until(now_s + RELEASE_WAIT_S / 40)
        now_s = clock.now()
        if now_s >= half_s:
            half_s = _NEVER  # the first one may have been damaged on its way
            port.write(now_s, Release().pack())
