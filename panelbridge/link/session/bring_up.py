"""From a closed port to a board that is set up: opening, greeting, set-up, one after the other."""

from __future__ import annotations

from panelbridge.config.panel_file import BoardEntry
from panelbridge.errors import LinkError
from panelbridge.link.ports.byte_port import is_in_process
from panelbridge.link.ports.frame_port import Wire
from panelbridge.link.ports.opener import Opener, Opening
from panelbridge.link.session.greeting import Greeting
from panelbridge.link.session.link_errors import check_hello, keeps_resetting
from panelbridge.link.session.reconnect import LinkProgress
from panelbridge.link.session.setup_dialogue import SetupDialogue
from panelbridge.link.session.setup_plan import SetupPlan
from panelbridge.link.wire import Hello, SetupReply
from panelbridge.link.wire.time_outs import (
    HELLO_WAIT_S,
    IN_PROCESS_POLL_S,
    OPENING_POLL_S,
    SETUP_RESTARTS,
)

_NEVER = float("inf")


class BringUp:
    """Brings one board up, again after each time that it was lost or reset.

    Its methods raise LinkError when that fails; then ``abandon`` it and ``open`` it later.

    Args:
        entry: the board's entry in the panel file.
        url: its port.
        plan: its set-up.
        opener: opens ports.
        wire: gets the port as soon as it is open.
        progress: is told how far it has come.

    Attributes:
        session: number of the session that the last set-up began, 1-255.
        remark: why it takes so long; empty when it does not.
    """

    def __init__(
        self,
        entry: BoardEntry,
        url: str,
        plan: SetupPlan,
        opener: Opener,
        wire: Wire,
        progress: LinkProgress,
    ) -> None:
        self._entry = entry
        self._url = url
        self._plan = plan
        self._opener = opener
        self._wire = wire
        self._progress = progress
        self._where = f"board {plan.board_name} on {url}"
        self._in_process = is_in_process(url)
        # Of these three one at most is there: the stage that is under way.
        self._opening: Opening | None = None
        self._greeting: Greeting | None = None
        self._setup: SetupDialogue | None = None
        self._look_s = 0.0
        self._hello: Hello | None = None
        self._setups = 0
        self._resets = 0
        self.session = 0
        self.remark = ""

    @property
    def under_way(self) -> bool:
        """A stage has begun and is not over."""
        return any(stage is not None for stage in (self._opening, self._greeting, self._setup))

    @property
    def is_setting_up(self) -> bool:
        """The board is being sent its set-up."""
        return self._setup is not None

    def next_due_s(self, last_poll_s: float) -> float:
        """When ``act`` has something to do even if no byte comes, s.

        Args:
            last_poll_s: when the port was last read, s.
        """
        if self._opening is not None:
            return self._look_s
        due_s = _NEVER
        if self._setup is not None:
            due_s = self._setup.next_due_s
        elif self._greeting is not None:
            due_s = self._greeting.next_due_s
        if self._in_process and self._wire.is_open:
            # Nothing wakes the engine when a board in this process answers.
            due_s = min(due_s, last_poll_s + IN_PROCESS_POLL_S)
        return due_s

    def open(self, now_s: float) -> None:
        """Begin with the first stage. Raises: LinkError."""
        self._opening = self._opener(self._url, self._entry.baud)
        self._look_at_opening(now_s, self._opening)

    def act(self, now_s: float) -> None:
        """Do what is due in the stage that is under way. Raises: LinkError."""
        message: bytes | None = None
        if self._setup is not None:
            message = self._setup.message_due(now_s)
        elif self._greeting is not None:
            came = self._wire.bytes_received > 0
            message = self._greeting.message_due(now_s, bytes_came=came)
        elif self._opening is not None:
            self._look_at_opening(now_s, self._opening)
        if message is not None:
            self._wire.write(now_s, message)

    def heard(self, now_s: float) -> None:
        """A good frame has come, of whatever kind."""
        if self._greeting is not None:
            self._greeting.heard(now_s)

    def is_news(self, hello: Hello, *, set_up: bool) -> bool:
        """Whether ``hello`` tells of a board that has started since the last one.

        A hello of the same boot is an answer to an earlier question, or late; but a board that
        was set up and says that its set-up is not in force was reset all the same.
        """
        known = self._hello
        if known is None or (hello.protocol, hello.boot_id) != (known.protocol, known.boot_id):
            return True
        return set_up and hello.setup_checksum != self._plan.checksum

    def take_hello(self, now_s: float, hello: Hello) -> None:
        """Take a hello that is news: begin the set-up. Raises: LinkError."""
        if self._hello is not None:
            self._resets += 1
            if self._resets > SETUP_RESTARTS:
                raise keeps_resetting(self._where)
        check_hello(hello, self._plan.board, self._where)
        self._hello = hello
        if self._greeting is not None:
            self._greeting = None
            self._progress.enter(now_s, "hello_came")
        # Another number for each set-up, and after each start of this program too.
        self._setups += 1
        self.session = (hello.boot_id + self._setups) % 255 + 1
        self._setup = SetupDialogue(self._plan, self.session, self._where)

    def take_reply(self, reply: SetupReply) -> bool:
        """Take a reply; True when it was the last one: the board is set up. Raises: LinkError."""
        if self._setup is None:
            return False
        self._setup.take(reply)
        if not self._setup.done:
            return False
        self._setup = None
        return True

    def succeeded(self) -> None:
        """The board is live: earlier resets are forgiven."""
        self._resets = 0

    def abandon(self) -> None:
        """Give up the stage that is under way, if one is."""
        if self._opening is not None:
            self._opening.abandon()
        self._opening = self._greeting = self._setup = self._hello = None
        self.remark = ""

    def _look_at_opening(self, now_s: float, opening: Opening) -> None:
        result = opening.result()
        if result is None:
            self._look_s = now_s + OPENING_POLL_S
            if now_s - self._progress.since_s > HELLO_WAIT_S:
                self.remark = "opening the port takes long: its other side is silent"
            return
        self._opening = None
        self.remark = ""
        if isinstance(result, LinkError):
            raise result
        self._wire.attach(result)
        self._progress.enter(now_s, "port_opened")
        resets = self._plan.board.resets_on_open and not self._in_process
        self._greeting = Greeting(now_s, self._where, resets_on_open=resets)
