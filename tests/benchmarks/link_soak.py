"""Soak of the link: a simulated board behind a line that damages 1 % of the bytes and loses 1 %.

``python -m tests.benchmarks.link_soak --edges 100000 --seed 1``

The whole way is real but for the time, which is virtual: contacts that bounce, the board's
debouncing and protocol, its port ``simboard://``, the host's session. Exit code 0 when no edge was
delivered wrong, twice or out of order, none was missing, every final state is right and every
damaged frame was detected.

A line that bad can fall silent for longer than the link bears; then it is set up anew. Edges from
that time are not delivered as edges: the state after it has them. They are counted on their own.

A frame counts as damaged when what was sent did not arrive byte for byte, and as *damaged and
undetected* when either side accepted a message, after all its checks, that the other never sent.
"""

from __future__ import annotations

import argparse
import random
import sys
from collections import deque
from dataclasses import dataclass, field

from panelbridge.clock import LiveClock, VirtualClock
from panelbridge.config.panel_file import PanelFile
from panelbridge.errors import MessageError
from panelbridge.link.ports import BytePort, Opening, open_port
from panelbridge.link.session import (
    BoardLive,
    BoardLost,
    BoardSession,
    EdgesArrived,
    SetupPlan,
    StateArrived,
)
from panelbridge.link.wire import Hello, MessageType, Report, SetupReply
from panelbridge.link.wire.frames import FrameParser
from panelbridge.signals import Outputs
from panelbridge.simboard import registry
from panelbridge.simboard.board.sim_board import SimBoard
from panelbridge.simboard.cable.line_faults import LineFaults
from panelbridge.simboard.contacts.contact import BOUNCE_MAX_S, bouncing

DEBOUNCE_MS = 5
REST_S = BOUNCE_MAX_S + 2 * DEBOUNCE_MS / 1000
"""A contact is left alone for so long after a change, so that each change is one edge."""
LONGEST_GAP_S = 0.06
UNPLUGGED_S = 1.0
END_S = 2.0
LONGEST_END_S = 60.0

PANEL = PanelFile.model_validate(
    {
        "kind": "panel",
        "format": 2,
        "name": "Soak",
        "aircraft": "none.yaml",
        "boards": {"soak": {"board": "mega2560"}},
        "switches": {
            "gear_handle": {
                "form": "two_contact",
                "board": "soak",
                "up_pin": "D22",
                "down_pin": "D23",
                "debounce_ms": DEBOUNCE_MS,
            },
            **{
                name: {"form": "contact", "board": "soak", "pin": pin, "debounce_ms": DEBOUNCE_MS}
                for name, pin in (
                    ("steering_button", "D24"),
                    ("horn_silence", "D25"),
                    ("lamp_test", "D26"),
                    ("warning_test", "D27"),
                )
            },
        },
        "lamps": {
            "nose_green": {"board": "soak", "pin": "D2", "colour": "green"},
            "handle_red": {"board": "soak", "pin": "D3", "colour": "red"},
        },
        "horn": {"board": "soak", "pin": "D8"},
    }
)
PINS = ("D22", "D23", "D24", "D25", "D26", "D27")


@dataclass
class Direction:
    """The messages that go one way, compared byte for byte at both ends.

    Attributes:
        sent: how many were sent.
        intact: how many of them arrived as they were sent.
        passed_crc: how many arrived with a right CRC though nobody sent them.
        undetected: how many of those passed the receiver's other checks as well.
    """

    sent: int = 0
    intact: int = 0
    passed_crc: int = 0
    undetected: int = 0
    slipped: list[bytes] = field(default_factory=list)
    _under_way: deque[bytes] = field(default_factory=deque)

    @property
    def damaged(self) -> int:
        """Frames that did not arrive as they were sent."""
        return self.sent - self.intact

    def send(self, message: bytes) -> None:
        """A message goes in."""
        self.sent += 1
        self._under_way.append(message)

    def arrive(self, message: bytes) -> bool:
        """A message comes out; gives whether it was sent, byte for byte."""
        if message not in self._under_way:
            self.passed_crc += 1
            self.slipped.append(message)
            return False
        while self._under_way.popleft() != message:
            pass  # those before it have been damaged
        self.intact += 1
        return True


class TappedPort(Opening):
    """The host's port, with a tap on both directions. It opens itself, as an ``Opener`` does."""

    def __init__(self, to_board: Direction, to_host: Direction, plan: SetupPlan) -> None:
        self._to_board = to_board
        self._to_host = to_host
        self._plan = plan
        self._port: BytePort | None = None
        self._written = FrameParser()
        self._arrived = FrameParser()
        self._session = -1
        self._last_sequence = 0

    def __call__(self, url: str, baud: int) -> Opening:
        self._port = open_port(url, baud)
        return self

    def result(self) -> BytePort:
        return self

    def abandon(self) -> None:
        self.close()

    def read(self) -> bytes:
        assert self._port is not None
        data = self._port.read()
        for message in self._arrived.feed(data):
            if self._to_host.arrive(message):
                self._note(message)
            elif self._fits(message):
                self._to_host.undetected += 1
        return data

    def write(self, data: bytes) -> None:
        assert self._port is not None
        for message in self._written.feed(data):
            self._to_board.send(message)
        self._port.write(data)

    def close(self) -> None:
        if self._port is not None:
            self._port.close()

    def fileno(self) -> int | None:
        return None

    def _fits(self, message: bytes) -> bool:
        """Whether the session could take a message that nobody sent."""
        try:
            if message[0] == MessageType.HELLO:
                Hello.unpack(message)
            elif message[0] == MessageType.SETUP_REPLY:
                SetupReply.unpack(message)
            elif message[0] == MessageType.REPORT:
                report = Report.unpack(message, self._plan.shape)
                newer = 0 < (report.sequence - self._last_sequence) % 65536 < 32768
                return report.session == self._session and newer
            else:
                return False
        except MessageError:
            return False
        return True

    def _note(self, message: bytes) -> None:
        if message[0] == MessageType.REPORT:
            self._session = message[1]
            self._last_sequence = int.from_bytes(message[2:4], "little")


@dataclass
class SoakResult:
    """What a soak has found."""

    edges_made: int
    edges_delivered: int
    wrong_edges: int
    links_lost: int
    from_state_only: int
    states_right: bool
    lamps_right: bool
    to_board: Direction
    to_host: Direction
    reports: int
    virtual_s: float

    @property
    def passed(self) -> bool:
        """Whether the link kept all its promises."""
        return (
            self.edges_delivered + self.from_state_only == self.edges_made
            and (self.from_state_only == 0 or self.links_lost > 0)
            and self.wrong_edges == 0
            and self.states_right
            and self.lamps_right
            and self.to_board.undetected == 0
            and self.to_host.undetected == 0
        )


class Soak:
    """One run.

    Args:
        edges: how many changes of contacts to make.
        seed: of everything that happens by chance.
        flip: chance that a byte becomes another one, each way.
        drop: chance that a byte is lost, each way.
        bits: flip one bit of a byte instead of changing it to any other.
        unplug_after: pull the cable for ``UNPLUGGED_S`` after so many edges, each time.
    """

    def __init__(
        self,
        edges: int,
        seed: int,
        *,
        flip: float = 0.01,
        drop: float = 0.01,
        bits: bool = False,
        unplug_after: int | None = None,
    ) -> None:
        self._unplug_after = unplug_after
        self._edges = edges
        self._rng = random.Random(seed)
        self._clock = VirtualClock()
        self._plan = SetupPlan.of(PANEL, "soak")
        self._to_board = Direction()
        self._to_host = Direction()
        self._made = self._delivered = self._wrong = self._lost = self._reports = 0
        self._from_state_only = 0
        self._board = SimBoard(
            "mega2560",
            boot_id=seed % 65536,
            on_message=self._board_accepts,
            on_send=self._board_sends,
        )
        self._faults = LineFaults(seed, {"flip_bit" if bits else "flip_byte": flip, "drop": drop})
        self._port = TappedPort(self._to_board, self._to_host, self._plan)
        self._session = BoardSession(self._plan, "simboard://soak", self._port)
        self._closed = [False] * len(PINS)
        self._free_at_s = [0.0] * len(PINS)
        self._heard = [False] * len(PINS)
        self._contacts = -1
        self._live = False
        self._outputs = Outputs()

    def run(self) -> SoakResult:
        """Make the edges and wait for the last of them."""
        clock = self._clock
        self._cable = registry.register("soak", self._board, clock, self._faults).cable
        try:
            while not self._live:
                self._turn(clock.now() + 0.01)
            next_edge_s = clock.now()
            while self._made < self._edges:
                self._turn(next_edge_s)
                if clock.now() >= next_edge_s and self._live:
                    self._move_a_contact()
                    next_edge_s = clock.now() + self._rng.uniform(0.0, LONGEST_GAP_S)
            end_s = clock.now() + END_S
            while clock.now() < end_s or not self._settled():
                self._turn(clock.now() + 0.01)
                if clock.now() > end_s + LONGEST_END_S:
                    break
            return self._result()
        finally:
            self._session.release(clock)
            registry.unregister("soak")

    def _turn(self, until_s: float) -> None:
        due_s = min(until_s, self._board.next_due_s, self._session.next_due_s)
        self._clock.sleep_until(max(due_s, self._clock.now() + 0.0005))
        now_s = self._clock.now()
        for event in self._session.poll(now_s):
            if isinstance(event, EdgesArrived):
                self._take_edges(event)
            elif isinstance(event, BoardLive):
                self._live = True
                self._from_state_only += self._made - self._delivered - self._from_state_only
                self._contacts = event.contacts
                self._heard = [bool(event.contacts >> at & 1) for at in range(len(PINS))]
            elif isinstance(event, StateArrived):
                self._wrong += event.contacts != self._contacts  # a change that came as no edge
            elif isinstance(event, BoardLost):
                self._lost += 1
                self._live = False
        self._session.command(now_s, self._outputs)

    def _take_edges(self, event: EdgesArrived) -> None:
        self._contacts = event.contacts
        for edge in event.edges:
            # Each contact's edges must come one by one, in turn: closed, opened, closed ...
            if self._heard[edge.contact] == edge.closed:
                self._wrong += 1
            else:
                self._delivered += 1
            self._heard[edge.contact] = edge.closed
            lamps = {"nose_green": self._delivered % 256, "handle_red": edge.contact}
            self._outputs = Outputs(lamps)

    def _move_a_contact(self) -> None:
        now_s = self._clock.now()
        free = [at for at in range(len(PINS)) if self._free_at_s[at] <= now_s]
        if not free:
            return
        at = self._rng.choice(free)
        self._closed[at] = closed = not self._closed[at]
        self._free_at_s[at] = now_s + REST_S
        self._board.plan_contact(now_s, PINS[at], bouncing(self._rng, now_s, closed))
        self._made += 1
        if self._unplug_after and self._made % self._unplug_after == 0:
            self._cable.unplug(now_s, UNPLUGGED_S)

    def _board_sends(self, message: bytes) -> None:
        self._to_host.send(message)
        self._reports += message[0] == MessageType.REPORT

    def _board_accepts(self, message: bytes) -> None:
        if not self._to_board.arrive(message):
            self._to_board.undetected += 1

    def _settled(self) -> bool:
        return self._live and self._states_right() and self._lamps_right()

    def _states_right(self) -> bool:
        return self._contacts == sum(closed << at for at, closed in enumerate(self._closed))

    def _lamps_right(self) -> bool:
        seen = self._board.outputs.lamps
        wanted = self._outputs.lamps
        pins = {"nose_green": "D2", "handle_red": "D3"}
        return all(seen.get(pin) == wanted.get(name, 0) for name, pin in pins.items())

    def _result(self) -> SoakResult:
        return SoakResult(
            edges_made=self._made,
            edges_delivered=self._delivered,
            wrong_edges=self._wrong,
            links_lost=self._lost,
            from_state_only=self._from_state_only,
            states_right=self._states_right(),
            lamps_right=self._lamps_right(),
            to_board=self._to_board,
            to_host=self._to_host,
            reports=self._reports,
            virtual_s=self._clock.now(),
        )


def _says_of_slips() -> str:
    return (
        "A CRC that ends in 00 still fits when that last byte is lost and the message ends in the\n"
        "byte before: one frame in 256 would pass so. Its length gives it away: every message's\n"
        "length follows from its type, the set-up, and its own number of edges."
    )


def print_result(result: SoakResult) -> None:
    """Print the figures, a line each."""
    print(f"edges made             {result.edges_made}")
    print(f"edges delivered        {result.edges_delivered}")
    print(f"wrong edges delivered  {result.wrong_edges}")
    print(f"links lost             {result.links_lost}, {result.from_state_only} edges meanwhile")
    print(f"final states           {'right' if result.states_right else 'WRONG'}")
    print(f"final lamps            {'right' if result.lamps_right else 'WRONG'}")
    for name, way in (("to the board", result.to_board), ("to the host", result.to_host)):
        detected = way.damaged - way.undetected
        share = 100.0 * detected / way.damaged if way.damaged else 100.0
        print(f"frames {name:<15} {way.sent} sent, {way.damaged} damaged or lost")
        print(f"  detected             {detected} ({share:.4g} %)")
        if way is result.to_host:  # at the board's end only what it accepts can be seen
            refused = way.passed_crc - way.undetected
            print(f"  passed the CRC       {way.passed_crc}, {refused} refused by later checks")
    print(f"reports per edge       {result.reports / max(result.edges_made, 1):.2f}")
    print(f"virtual time           {result.virtual_s:.0f} s")


def main(arguments: list[str] | None = None) -> int:
    """Run the soak and print what came out; exit code 0 when all promises were kept."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--edges", type=int, default=100_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--flip", type=float, default=0.01, help="chance a byte")
    parser.add_argument("--drop", type=float, default=0.01, help="chance a byte")
    parser.add_argument("--unplug-after", type=int, help="edges until the cable is pulled, again")
    parser.add_argument("--bits", action="store_true", help="flip one bit, not the whole byte")
    options = parser.parse_args(arguments)
    clock = LiveClock()
    soak = Soak(
        options.edges,
        options.seed,
        flip=options.flip,
        drop=options.drop,
        bits=options.bits,
        unplug_after=options.unplug_after,
    )
    result = soak.run()
    print_result(result)
    print(f"real time              {clock.now():.1f} s")
    for message in result.to_host.slipped:
        print(f"passed the CRC: {message.hex(' ')}")
    if result.to_host.slipped:
        print(_says_of_slips())
    print("passed" if result.passed else "FAILED")
    return 0 if result.passed else 1


if __name__ == "__main__":
    sys.exit(main())
