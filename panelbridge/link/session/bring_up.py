"""From a closed port to a board that is set up: opening, greeting, set-up."""

from __future__ import annotations

from panelbridge.config.words import named_board
from panelbridge.errors import LinkError, LinkLost
from panelbridge.link.ports.byte_port import is_in_process
from panelbridge.link.ports.frame_port import FramePort
from panelbridge.link.ports.opener import Opener, Opening
from panelbridge.link.session.greeting import Greeting, check_hello
from panelbridge.link.session.link_events import SUPPLY_HINT
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
    """Brings one board up, and again after each loss or reset.

    Its methods raise LinkError when that fails; then call ``abandon``, and ``open`` later.

    Args:
        plan: the board's set-up.
        url: its port.
        opener: opens ports.
        port: gets the port as soon as it is open.
        progress: follows the stages.

    Attributes:
        where: board and port, for messages.
        session: number of the session that the last set-up began, 1-255.
        remark: why the present stage takes long; empty when it does not.
    """

    def __init__(
        self, plan: SetupPlan, url: str, opener: Opener, port: FramePort, progress: LinkProgress
    ) -> None:
        self._url = url
        self._plan = plan
        self._opener = opener
        self._port = port
        self._progress = progress
        self.where = f"{named_board(plan.board_name)} on {url}"
        self._in_process = is_in_process(url)
        self._stage: Opening | Greeting | SetupDialogue | None = None
        self._poll_s = 0.0
        self._hello: Hello | None = None
        self._setups = 0
        self._resets = 0
        self.session = 0
        self.remark = ""

    @property
    def under_way(self) -> bool:
        """Whether a stage has begun and is not over."""
        return self._stage is not None

    @property
    def is_setting_up(self) -> bool:
        """Whether the set-up is being sent."""
        return isinstance(self._stage, SetupDialogue)

    def next_due_s(self, last_poll_s: float) -> float:
        """When ``act`` next has something to do even if no byte comes, s.

        Args:
            last_poll_s: when the port was last read, s.
        """
        if isinstance(self._stage, Opening):
            return self._poll_s
        due_s = _NEVER if self._stage is None else self._stage.next_due_s
        if self._in_process and self._port.is_open:
            # A board in this process cannot wake the engine when it answers.
            due_s = min(due_s, last_poll_s + IN_PROCESS_POLL_S)
        return due_s

    def open(self, now_s: float) -> None:
        """Start the first stage. Raises: LinkError."""
        self._stage = opening = self._opener(self._url, self._plan.entry.baud)
        self._poll_opening(now_s, opening)

    def act(self, now_s: float) -> None:
        """Do what is due in the stage that is under way. Raises: LinkError."""
        stage, message = self._stage, None
        if isinstance(stage, SetupDialogue):
            message = stage.message_due(now_s)
        elif isinstance(stage, Greeting):
            message = stage.message_due(now_s, self._port.heard_since())
        elif stage is not None:
            self._poll_opening(now_s, stage)
        if message is not None:
            self._port.write(now_s, message)

    def frame_received(self, now_s: float) -> None:
        """A good frame of any kind has come."""
        if isinstance(self._stage, Greeting):
            self._stage.frame_received(now_s)

    def is_from_restart(self, hello: Hello, *, set_up: bool) -> bool:
        """Whether the board has started since its last hello.

        A hello of the same boot answers an earlier request, or is late; but a board that was set up
        and reports another set-up was reset all the same.
        """
        known = self._hello
        if known is None or (hello.protocol, hello.boot_id) != (known.protocol, known.boot_id):
            return True
        return set_up and hello.setup_checksum != self._plan.checksum

    def take_hello(self, now_s: float, hello: Hello) -> None:
        """Start the set-up after a hello from a restart. Raises: LinkError."""
        if self._hello is not None:
            self._resets += 1
            if self._resets > SETUP_RESTARTS:
                raise LinkLost("the board resets again and again", self.where, SUPPLY_HINT)
        check_hello(hello, self._plan.board, self.where)
        self._hello = hello
        if isinstance(self._stage, Greeting):
            self._progress.enter(now_s, "hello_came")
        # A different number for each set-up, and after each start of this program too.
        self._setups += 1
        self.session = (hello.boot_id + self._setups) % 255 + 1
        self._stage = SetupDialogue(self._plan, self.session, self.where)

    def take_reply(self, reply: SetupReply) -> bool:
        """Take a reply; returns whether the board is set up now. Raises: LinkError."""
        if not isinstance(self._stage, SetupDialogue):
            return False
        self._stage.take(reply)
        if not self._stage.done:
            return False
        self._stage = None
        return True

    def succeeded(self) -> None:
        """The board is live: forget earlier resets."""
        self._resets = 0

    def abandon(self) -> None:
        """Give up the stage that is under way, if any."""
        if isinstance(self._stage, Opening):
            self._stage.abandon()
        self._stage = self._hello = None
        self.remark = ""

    def _poll_opening(self, now_s: float, opening: Opening) -> None:
        result = opening.result()
        if result is None:
            self._poll_s = now_s + OPENING_POLL_S
            if now_s - self._progress.since_s > HELLO_WAIT_S:
                self.remark = "opening the port takes a long time: its other side does not answer"
            return
        self._stage = None
        self.remark = ""
        if isinstance(result, LinkError):
            raise result
        self._port.attach(result)
        self._progress.enter(now_s, "port_opened")
        resets = self._plan.board.resets_on_open and not self._in_process
        self._stage = Greeting(now_s, self.where, resets_on_open=resets)
