"""From the open port to the board's hello."""

from __future__ import annotations

from panelbridge.link.session.link_errors import no_hello
from panelbridge.link.wire import HelloRequest
from panelbridge.link.wire.time_outs import (
    HELLO_REQUEST_EACH_S,
    HELLO_WAIT_S,
    QUIET_AFTER_RESET_S,
    QUIET_S,
)


class Greeting:
    """Requests the board's hello: not while a boot loader may listen, and only until a time-out.

    Args:
        now_s: when the port was opened, s.
        where: board and port, for messages.
        resets_on_open: opening has reset the board, so its boot loader may listen.
    """

    def __init__(self, now_s: float, where: str, *, resets_on_open: bool) -> None:
        self._where = where
        self._end_s = now_s + HELLO_WAIT_S
        self._ask_s = now_s + (QUIET_AFTER_RESET_S if resets_on_open else QUIET_S)
        self._frame_came = False

    @property
    def next_due_s(self) -> float:
        """When ``message_due`` next has something to do, s."""
        return min(self._ask_s, self._end_s)

    def frame_received(self, now_s: float) -> None:
        """A good frame other than a hello has come.

        It shows that no boot loader listens: the board was not reset and still reports to an
        earlier host. So the request may go out at once.
        """
        if not self._frame_came:
            self._frame_came = True
            self._ask_s = now_s

    def message_due(self, now_s: float, *, bytes_came: bool) -> bytes | None:
        """The message to send now, if any.

        Raises:
            LinkLost: no hello has come for ``HELLO_WAIT_S``.
        """
        if now_s >= self._end_s:
            raise no_hello(self._where, bytes_came=bytes_came)
        if now_s < self._ask_s:
            return None
        self._ask_s = now_s + HELLO_REQUEST_EACH_S
        return HelloRequest().pack()
