"""Hostile boards in virtual time, against the host's session.

The session may end a link with an error of its own and say so; nothing else is raised. No switch
ever stands where the board has not truthfully said that it stands, memory and the list of events
stay bounded.
"""

from __future__ import annotations

import gc
import random
import sys
from collections import deque
from collections.abc import Callable, Iterator
from types import BuiltinFunctionType, FunctionType, MethodType, ModuleType
from typing import Any

from panelbridge.link.session import (
    BoardLive,
    BoardLost,
    BoardSession,
    EdgesArrived,
    StateArrived,
)
from panelbridge.link.wire import Edge, MessageType, SetupReply
from panelbridge.link.wire.frames import encode_frame
from panelbridge.signals import Event
from tests.link.bench import STEP_S, Bench, Peer
from tests.link.conftest import make_panel
from tests.worst_day.attack import Case, Ground, Lost, Survived

_WHILE_TURNS = round(20.0 / STEP_S)
"""A while of an attack: some back-offs and time-outs long."""
_LINE_BYTES_A_TURN = round(11520 * STEP_S)
"""115200 baud."""
_MOST_HELD = 150_000
"""Bytes that a session may hold: most of it are the last 200 frames."""
_MOST_EVENTS = 40
"""Events in a while: a board that comes and goes as fast as the back-off lets it makes 31."""

_SHARED = (type, ModuleType, FunctionType, MethodType, BuiltinFunctionType)

Strike = Callable[[Bench, random.Random], None]
"""What the board does in one turn."""


class _Truthful(Peer):
    """Remembers what it has reported.

    Attributes:
        said: what it has reported in this turn and in the one before: nothing else may arrive.
    """

    def __init__(self) -> None:
        super().__init__()
        self.said: list[int] = []
        self._before = 0

    def report(self, **changes: Any) -> bytes:
        frame = super().report(**changes)
        self.said.append(changes.get("contacts", self.contacts))
        return frame

    def turn_is_over(self) -> None:
        """What was said before this turn has arrived by now, or never will."""
        del self.said[: self._before]
        self._before = len(self.said)


class Watch:
    """Takes what the session gives, and holds it against what the board has said."""

    def __init__(self, bench: Bench, peer: _Truthful) -> None:
        self.bench = bench
        self.peer = peer
        self.state: int | None = None
        self.events = 0

    def turn(self) -> None:
        """One poll. Raises: Lost."""
        bench = self.bench
        try:
            outputs = bench.turn()
        except Exception as error:
            raise Lost(f"the session raised {type(error).__name__}: {error}") from error
        bench.clock.advance(STEP_S)
        for output in outputs:
            if isinstance(output, Event):
                self.events += 1
            elif isinstance(output, BoardLost):
                self.state = None
            elif isinstance(output, BoardLive | EdgesArrived | StateArrived):
                self._take(output.contacts)
        self.peer.turn_is_over()
        bench.events.clear()
        bench.peer.heard.clear()
        del bench.peer.commands[:-1]
        del bench.ports[:-1], bench.opened[:], bench.openings[:-1]

    def _take(self, contacts: int) -> None:
        if contacts not in self.peer.said and contacts != self.state:
            raise Lost(f"a switch state that the board never reported, or an old one: {contacts:b}")
        self.state = contacts


def _attack(strike: Strike, *, live: bool = False) -> Case:
    """A while of ``strike`` in every turn, ``times`` times.

    Args:
        strike: what the board does.
        live: the board is set up before it turns hostile, and reports a random state ten times a
            second besides, as long as the link is live.
    """

    def case(ground: Ground) -> Iterator[Survived]:
        rng = ground.rng()
        bench = Bench(make_panel())
        bench.peer = peer = _Truthful()
        watch = Watch(bench, peer)
        if live:
            bench.go_live()
            bench.events.clear()
            watch.state = 0
        for _ in range(ground.times):
            watch.events = 0
            for turn in range(_WHILE_TURNS):
                if live and turn % 20 == 0 and bench.state == "live" and peer.checksum_in_force:
                    peer.report(contacts=rng.randrange(8))
                strike(bench, rng)
                if bench.state in ("waiting", "refused"):
                    peer.inbox.clear()  # no port is open: the bytes go nowhere
                watch.turn()
                if turn % 500 == 0 and (held := _held_bytes(bench.session, peer)) > _MOST_HELD:
                    raise Lost(f"the session holds {held} bytes")
            if watch.events > _MOST_EVENTS:
                raise Lost(f"{watch.events} events in {_WHILE_TURNS * STEP_S:g} s")
            yield Survived()

    return case


def _held_bytes(session: BoardSession, peer: Peer) -> int:
    """Size of a session and of all that only it holds, bytes."""
    seen: set[int] = {id(peer), id(session.plan)}
    waiting: list[object] = [session]
    size = 0
    while waiting:
        one = waiting.pop()
        if id(one) in seen or isinstance(one, _SHARED):
            continue
        seen.add(id(one))
        size += sys.getsizeof(one)
        waiting += gc.get_referents(one)
    return size


def _raw(bench: Bench, data: bytes) -> None:
    if not bench.peer.mute:
        bench.peer.inbox.append(data)


def _random_bytes(bench: Bench, rng: random.Random) -> None:
    _raw(bench, rng.randbytes(rng.randrange(40)))


def _flood(bench: Bench, rng: random.Random) -> None:
    _raw(bench, rng.randbytes(_LINE_BYTES_A_TURN))


def _flood_without_end_of_frame(bench: Bench, rng: random.Random) -> None:
    bench.peer.loses = lambda message: True  # an answer would end in a zero
    _raw(bench, b"\x55" * _LINE_BYTES_A_TURN)


def _flood_of_zeros(bench: Bench, rng: random.Random) -> None:
    _raw(bench, bytes(_LINE_BYTES_A_TURN))


def _flood_of_hellos(bench: Bench, rng: random.Random) -> None:
    peer = bench.peer
    for _ in range(3):
        peer.hello()


def _frames_of_any_content(bench: Bench, rng: random.Random) -> None:
    """Right checksums around nonsense: any type, any length."""
    kind = rng.choice([*MessageType, rng.randrange(256)])
    if kind == MessageType.REPORT:
        # One of this session and of the right shape would be the truth: another session's number.
        other = rng.choice([n for n in range(256) if n != bench.peer.session])
        _raw(bench, encode_frame(bytes((kind, other)) + rng.randbytes(rng.randrange(60))))
    else:
        _raw(bench, encode_frame(bytes((kind,)) + rng.randbytes(rng.randrange(60))))


def _reports_of_wrong_lengths(bench: Bench, rng: random.Random) -> None:
    """New reports of this session, too short or too long, or of contacts that are not there."""
    peer = bench.peer
    good = Edge(rng.randrange(3), rng.random() < 0.5)
    head = bytes((MessageType.REPORT, peer.session, *(peer.sequence + 5).to_bytes(2, "little")))
    body = bytes((0, 0, 0, rng.randrange(256), 0, 0))
    code = good.contact | 0x80 * good.closed
    wrong = rng.choice(
        (
            bytes((1, rng.randrange(8))),  # an edge too few
            bytes((0, rng.randrange(8), code)),  # one too many
            bytes((17, rng.randrange(8), *[code] * 17)),  # more than may be
            bytes((0, rng.randrange(8, 256))),  # contacts that are not there
            bytes((1, rng.randrange(8), rng.randrange(3, 128))),  # an edge of them
            bytes((0,)),  # no state
            b"",
        )
    )
    _raw(bench, encode_frame(head + body + wrong))


def _hello_of_another_protocol(bench: Bench, rng: random.Random) -> None:
    bench.peer.protocol = rng.choice((0, 2, 255))
    bench.peer.boot_id = rng.randrange(65536)
    if rng.random() < 0.1:
        bench.peer.hello()


def _hello_of_another_kind(bench: Bench, rng: random.Random) -> None:
    bench.peer.code = rng.randrange(2, 256)
    bench.peer.boot_id = rng.randrange(65536)
    if rng.random() < 0.1:
        bench.peer.hello()


def _replies_to_nothing(bench: Bench, rng: random.Random) -> None:
    """Acknowledgements of what was never sent."""
    reply = SetupReply(
        rng.choice((bench.peer.session, rng.randrange(256))),
        rng.choice((MessageType.SETUP_BEGIN, MessageType.SETUP_ITEM, MessageType.SETUP_COMMIT)),
        rng.randrange(256),
        rng.randrange(12),
        rng.randrange(65536),
    )
    bench.peer.send(reply.pack())


def _resets_for_ever(bench: Bench, rng: random.Random) -> None:
    """As soon as it is live."""
    if bench.state == "live" and bench.peer.checksum_in_force:
        bench.peer.reset()
        bench.peer.hello()


def _resets_now_and_then(bench: Bench, rng: random.Random) -> None:
    if rng.random() < 0.002:
        bench.peer.reset()
        bench.peer.hello()


def _resets_before_it_is_set_up(bench: Bench, rng: random.Random) -> None:
    bench.peer.loses = lambda message: message[0] == MessageType.SETUP_COMMIT
    if rng.random() < 0.05:
        bench.peer.reset()
        bench.peer.hello()


def _says_nothing(bench: Bench, rng: random.Random) -> None:
    bench.peer.mute = True


def _refuses_every_item(bench: Bench, rng: random.Random) -> None:
    bench.peer.status = lambda message: rng.randrange(1, 256)
    if rng.random() < 0.05:
        bench.peer.hello()


class _Echo(Peer):
    """Gives back what it gets."""

    def take(self, data: bytes) -> None:
        self.inbox.append(data)


def _echoes(bench: Bench, rng: random.Random) -> None:
    if not isinstance(bench.peer, _Echo):
        bench.peer = _Echo()
        for port in bench.ports:
            port.peer = bench.peer


class _Replays:
    """Sends old frames again, and new ones in the wrong order."""

    def __init__(self) -> None:
        self._old: deque[bytes] = deque(maxlen=200)

    def __call__(self, bench: Bench, rng: random.Random) -> None:
        inbox = bench.peer.inbox
        self._old.extend(inbox)
        if self._old and rng.random() < 0.5:
            inbox.append(rng.choice(self._old))
            if rng.random() < 0.3:
                rng.shuffle(inbox)


def _replayed(ground: Ground) -> Iterator[Survived]:
    yield from _attack(_Replays(), live=True)(ground)


HOSTILE: dict[str, Case] = {
    "random bytes": _attack(_random_bytes),
    "random bytes while live": _attack(_random_bytes, live=True),
    "flood": _attack(_flood, live=True),
    "flood without an end of frame": _attack(_flood_without_end_of_frame, live=True),
    "flood of zeros": _attack(_flood_of_zeros, live=True),
    "flood of hellos": _attack(_flood_of_hellos, live=True),
    "frames of any content": _attack(_frames_of_any_content),
    "frames of any content while live": _attack(_frames_of_any_content, live=True),
    "reports of wrong lengths": _attack(_reports_of_wrong_lengths, live=True),
    "hello of another protocol": _attack(_hello_of_another_protocol),
    "hello of another kind": _attack(_hello_of_another_kind),
    "replies to nothing": _attack(_replies_to_nothing),
    "replies to nothing while live": _attack(_replies_to_nothing, live=True),
    "resets for ever": _attack(_resets_for_ever, live=True),
    "resets now and then": _attack(_resets_now_and_then, live=True),
    "resets before it is set up": _attack(_resets_before_it_is_set_up),
    "says nothing": _attack(_says_nothing),
    "falls silent while live": _attack(_says_nothing, live=True),
    "refuses every item": _attack(_refuses_every_item),
    "echoes": _attack(_echoes),
    "replayed and reordered": _replayed,
}
