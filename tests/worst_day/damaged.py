"""Damaged frames and pulled plugs, in virtual time, between a whole session and a simulated board.

A damaged frame has one wound, as lines make them: a bit or a byte turned over, some bytes in a row
put in, lost or doubled, its end or its beginning missing, its end mark lost so that it runs into
the next. The checksum finds every wound of up to 16 bits in a row. What is longer passes it once in
65,536: the exact length of a message refuses that, for all these wounds change the length.
"""

from __future__ import annotations

import contextlib
import io
import random
from collections import deque
from collections.abc import Callable, Iterator
from math import inf

from panelbridge.clock import VirtualClock
from panelbridge.errors import LinkError, LinkLost, PortMissing
from panelbridge.link.ports import BytePort, Opening
from panelbridge.link.session import (
    BoardLive,
    BoardLost,
    BoardSession,
    EdgesArrived,
    SetupPlan,
    StateArrived,
    SwitchesForgotten,
)
from panelbridge.link.wire import MessageType, ReportFlag
from panelbridge.signals import Event, Outputs
from panelbridge.simboard.board.sim_board import SimBoard
from tests.link.conftest import make_panel
from tests.worst_day.attack import Case, Ground, Lost, Survived

_STRETCH = 2_000
"""Frames that are damaged before the line is left alone, so that all can come right."""
_CALM_S = 20.0
_PINS = ("D2", "D3", "D4")
_DEBOUNCE_S = 0.02
_LAMPS = {"nose_green": "D5", "nose_red": "D7"}


class _Line(Opening):
    """The host's port on a board, and what happens to the frames on the way."""

    def __init__(self, board: SimBoard, clock: VirtualClock, rng: random.Random) -> None:
        self._board = board
        self._clock = clock
        self._rng = rng
        self.plugged = True
        self.wounds = 0.0
        """Chance of a wound, each frame."""
        self.wounded = 0
        self.plug_count = 0
        self._opened_at = -1

    def __call__(self, url: str, baud: int) -> Opening:
        self._opened_at = self.plug_count
        return self

    def result(self) -> BytePort | LinkError:
        if not self.plugged:
            return PortMissing("there is no such port", "fake")
        return self

    def abandon(self) -> None:
        """Nothing to do."""

    def close(self) -> None:
        """Nothing to do."""

    def fileno(self) -> int | None:
        return None

    def unplug(self) -> None:
        now_s = self._clock.now()
        self._board.power_off(now_s)
        self._board.take_output()
        self.plugged = False
        self.plug_count += 1

    def plug(self) -> None:
        self.plugged = True
        self._board.reset(self._clock.now())

    def _check(self) -> None:
        if not self.plugged or self._opened_at != self.plug_count:
            raise LinkLost("the port went away", "fake")

    def read(self) -> bytes:
        self._check()
        return self._pass_on(self._board.take_output())

    def write(self, data: bytes) -> None:
        self._check()
        self._board.receive(self._clock.now(), self._pass_on(data))

    def _pass_on(self, data: bytes) -> bytes:
        if not self.wounds or not data:
            return data
        rng = self._rng
        frames = [body + b"\0" for body in data.split(b"\0") if body]
        for at, frame in enumerate(frames):
            if rng.random() < self.wounds:
                self.wounded += 1
                frames[at] = rng.choice(_WOUNDS)(frame, rng)
        return b"".join(frames)


def _bit(frame: bytes, rng: random.Random) -> bytes:
    at = rng.randrange(len(frame))
    return frame[:at] + bytes((frame[at] ^ 1 << rng.randrange(8),)) + frame[at + 1 :]


def _byte(frame: bytes, rng: random.Random) -> bytes:
    at = rng.randrange(len(frame))
    return frame[:at] + bytes((frame[at] ^ rng.randint(1, 255),)) + frame[at + 1 :]


def _bytes(frame: bytes, rng: random.Random) -> bytes:
    at = rng.randrange(len(frame))
    return frame[:at] + rng.randbytes(len(frame[at : at + 2])) + frame[at + 2 :]


def _lost(frame: bytes, rng: random.Random) -> bytes:
    at = rng.randrange(len(frame))
    return frame[:at] + frame[at + rng.randint(1, 4) :]


def _doubled(frame: bytes, rng: random.Random) -> bytes:
    at = rng.randrange(len(frame))
    return frame[: at + 1] + frame[at:]


def _put_in(frame: bytes, rng: random.Random) -> bytes:
    at = rng.randrange(len(frame))
    return frame[:at] + rng.randbytes(rng.randint(1, 8)) + frame[at:]


def _cut(frame: bytes, rng: random.Random) -> bytes:
    return frame[: rng.randrange(len(frame))]


def _beheaded(frame: bytes, rng: random.Random) -> bytes:
    return frame[rng.randint(1, len(frame)) :]


def _gone(frame: bytes, rng: random.Random) -> bytes:
    return b""


_WOUNDS: tuple[Callable[[bytes, random.Random], bytes], ...] = (
    *(_bit, _byte, _bytes, _lost, _doubled, _put_in, _cut, _beheaded, _gone),
)


class Rig:
    """A session, its board and the line between them; contacts that move, lamps that follow."""

    def __init__(self, seed: int) -> None:
        self.rng = random.Random(seed)
        self.clock = VirtualClock()
        self._plan = SetupPlan.of(make_panel(), "gear")
        self._said: deque[int] = deque(maxlen=100_000)
        self.board = SimBoard("uno", boot_id=seed % 65536, on_send=self._board_says)
        self.line = _Line(self.board, self.clock, self.rng)
        self._session = BoardSession(self._plan, "/dev/fake", self.line)
        self._closed = [False] * len(_PINS)
        self._free_at_s = [0.0] * len(_PINS)
        self._edges_lost = 0
        self._ran_over = False
        self._contacts: int | None = None
        self._outputs = Outputs()
        self.live = False
        self.events = 0

    def _board_says(self, message: bytes) -> None:
        """The truth about the switches: every state that the board reports."""
        if message[0] == MessageType.REPORT:
            self._said.append(message[11])
            self._ran_over |= bool(message[6] & ReportFlag.EDGES_LOST)

    def turn(self, until_s: float = inf) -> None:
        """Go on to what is due next, and take what comes. Raises: Lost."""
        clock = self.clock
        due_s = min(until_s, self.board.next_due_s, self._session.next_due_s)
        clock.sleep_until(max(due_s, clock.now() + 0.0005))
        now_s = clock.now()
        self.board.advance(now_s)
        for event in self._session.poll(now_s):
            if isinstance(event, Event):
                self.events += 1
            elif isinstance(event, SwitchesForgotten):
                self._contacts = None
            elif isinstance(event, BoardLost):
                self.live = False
                self._contacts = None
            elif isinstance(event, BoardLive | StateArrived | EdgesArrived):
                self.live = True
                self._take(event)
            else:
                raise Lost(f"neither an event nor a state: {event}")
        self._session.command(now_s, self._outputs)

    def _take(self, event: BoardLive | StateArrived | EdgesArrived) -> None:
        # A report is given in its turn or not at all: those before it were damaged.
        while self._said:
            if self._said.popleft() == event.contacts:
                break
        else:
            raise Lost(f"a state that was never reported: {event.contacts:03b}")
        before = self._contacts
        lost_before, self._edges_lost = self._edges_lost, self._session.health().edges_lost
        in_turn = lost_before == self._edges_lost
        if not in_turn and not self._ran_over:
            raise Lost("edges are lost though the board's queue has not run over")
        if isinstance(event, EdgesArrived) and before is not None and in_turn:
            for edge in event.edges:
                if bool(before >> edge.contact & 1) == edge.closed:
                    raise Lost(f"contact {edge.contact} twice {edge.closed}")
                before ^= 1 << edge.contact
            if before != event.contacts:
                raise Lost("edges and state disagree")
        self._contacts = event.contacts
        lit = {
            "nose_green": 255 * (event.contacts & 1),
            "nose_red": 255 * (event.contacts >> 1 & 1),
        }
        self._outputs = Outputs(lit)

    def _truth(self) -> int:
        return sum(closed << at for at, closed in enumerate(self._closed))

    def move_a_contact(self) -> None:
        """One contact that has rested for long enough changes."""
        now_s = self.clock.now()
        free = [at for at in range(len(_PINS)) if self._free_at_s[at] <= now_s]
        if free:
            at = self.rng.choice(free)
            self._closed[at] = not self._closed[at]
            self._free_at_s[at] = now_s + 2 * _DEBOUNCE_S
            self.board.set_contact(now_s, _PINS[at], self._closed[at])

    def all_right(self) -> bool:
        """Live, and every switch and lamp as it must be."""
        if not self.live or self._contacts != self._truth():
            return False
        lamps, truth = self.board.outputs.lamps, self._truth()
        wanted = {"D5": 255 * (truth & 1), "D7": 255 * (truth >> 1 & 1)}
        return all(lamps.get(pin) == value for pin, value in wanted.items())

    def come_right(self, what: str) -> float:
        """Leave it alone until all is right; gives how long that took, s. Raises: Lost."""
        begin_s = self.clock.now()
        while not self.all_right():
            if self.clock.now() > begin_s + _CALM_S:
                lamps = dict(self.board.outputs.lamps)
                raise Lost(f"{what}: switches {self._contacts} for {self._truth()}, lamps {lamps}")
            self.turn()
        self._ran_over = False
        return self.clock.now() - begin_s


def _nothing_printed(case: Case) -> Case:
    def quiet(ground: Ground) -> Iterator[Survived]:
        out = io.StringIO()
        inner = case(ground)
        while True:
            with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
                one = next(inner, None)
            if out.getvalue():
                raise Lost(f"printed: {out.getvalue()[:200]}")
            if one is None:
                return
            yield one

    return quiet


def _damage(ground: Ground) -> Iterator[Survived]:
    rig = Rig(ground.seed)
    rig.come_right("at first")
    left = ground.times
    while left > 0:
        rig.line.wounds = rig.rng.choice((0.4, 0.6, 0.8))
        rig.line.wounded = 0
        wanted = min(_STRETCH, left)
        move_at_s = rig.clock.now()
        while rig.line.wounded < wanted:
            rig.turn(move_at_s)
            if rig.clock.now() >= move_at_s:
                rig.move_a_contact()
                move_at_s = rig.clock.now() + rig.rng.uniform(0.0, 0.03)
        rig.line.wounds = 0.0
        left -= rig.line.wounded
        yield Survived(rig.line.wounded, rig.come_right("after damaged frames"))


def _unplugs(ground: Ground) -> Iterator[Survived]:
    rig = Rig(ground.seed)
    rig.come_right("at first")
    for _ in range(ground.times):
        for duration_s, then in (
            (rig.rng.uniform(0.0, 1.5), rig.line.unplug),  # now and then before it is live
            (rig.rng.uniform(0.0, 3.0), rig.line.plug),
        ):
            end_s = rig.clock.now() + duration_s
            while rig.clock.now() < end_s:
                rig.turn(end_s)
                if rig.rng.random() < 0.1:
                    rig.move_a_contact()
            then()
        if rig.rng.random() < 0.2:
            yield Survived()
            continue
        yield Survived(recovery_s=rig.come_right("after an unplug"))
    rig.come_right("at last")


DAMAGED: dict[str, Case] = {"damaged frames": _nothing_printed(_damage)}
UNPLUGS: dict[str, Case] = {"unplugs": _nothing_printed(_unplugs)}
