"""The publisher: takes the engine's datagrams and fans them out to viewers.

It runs in a process of its own, so that viewers cost the engine nothing. Each viewer has a task
that sends it the newest state when it has taken the last one: a slow one misses snapshots, and a
dead one is closed. What viewers ask for goes to the run as lines.
"""

from __future__ import annotations

import asyncio
import json
import secrets
import socket
from collections.abc import Callable
from contextlib import suppress
from typing import Any

from msgspec import Struct

from panelbridge.errors import MessageError
from panelbridge.watch import greeting
from panelbridge.watch.datagrams import DatagramOpener
from panelbridge.watch.hub import Hub

MOST_VIEWERS = 50
_REST_S = 0.05
"""Shortest time between two snapshots for a viewer, s."""
_GREETING_S = 5.0
"""Longest time for a greeting, s."""
_END_S = 1.0
"""Viewers may take this long to hear of the end, s."""
_DEAD_S = 20.0
"""A viewer that takes nothing for this long is closed, s."""
_BUFFER_BYTES = 32_768
"""Of the system for each viewer: a slow one gets frames that are at most about a second old."""
_ORDER_REST_S = 0.01
"""Shortest time between two orders of a viewer, s; more wait at the viewer."""
LOOPBACK = "127.0.0.1"
ASK_WHY = "why"
"""The order that any viewer may give: ``["why", SUBJECT]`` moves nothing."""
_LONGEST_SUBJECT = 300
_BROKEN = (
    *(OSError, ValueError, RecursionError, TimeoutError),
    *(asyncio.IncompleteReadError, asyncio.LimitOverrunError),
)
"""What reading from and writing to a stranger may raise."""


class PublisherSetup(Struct, frozen=True):
    """What a publisher is started with.

    Attributes:
        secret: of the datagrams, hexadecimal.
        token: of the viewers.
        engine_port: from which the datagrams come.
        host: address for viewers.
        port: of the viewers; 0 = any that is free.
        run: random name of the run.
        panel: its name, for people.
        content: what a screen shows besides the snapshot; not looked into here.
        hands: viewers may move switches.
    """

    secret: str
    token: str
    engine_port: int
    host: str
    port: int
    run: str
    panel: str
    content: Any
    hands: bool


class Publisher:
    """Serves the viewers of one run.

    Args:
        setup: what it is started with.
        order: called with each line that a viewer asks for; a JSON list.
    """

    def __init__(self, setup: PublisherSetup, order: Callable[[str], None]) -> None:
        self._setup = setup
        self._order = order
        self._hub = Hub()
        self._opener = DatagramOpener(bytes.fromhex(setup.secret))
        self._changed: set[asyncio.Event] = set()
        self._viewers: dict[asyncio.Task[None], asyncio.StreamWriter] = {}
        self._server: asyncio.Server | None = None
        self._datagrams: asyncio.DatagramTransport | None = None

    async def open(self) -> tuple[int, int]:
        """Begin to listen; the port for datagrams, and the one for viewers.

        Raises:
            OSError: the viewers' address cannot be had.
        """
        loop = asyncio.get_running_loop()
        # Connected to the engine's port: the system drops what comes from any other.
        self._datagrams, _ = await loop.create_datagram_endpoint(
            lambda: _Datagrams(self._take),
            local_addr=(LOOPBACK, 0),
            remote_addr=(LOOPBACK, self._setup.engine_port),
        )
        self._server = await asyncio.start_server(
            self._serve, self._setup.host, self._setup.port, limit=greeting.LONGEST_GREETING
        )
        inner: int = self._datagrams.get_extra_info("sockname")[1]
        outer: int = self._server.sockets[0].getsockname()[1]
        return inner, outer

    def end(self, reason: str) -> None:
        """The run is over: say so to the viewers."""
        self._hub.end(reason)
        self._wake()

    async def close(self) -> None:
        """Let the viewers take what is said to them, for a while; then end."""
        if self._server is not None:
            self._server.close()
        if self._viewers:
            await asyncio.wait(list(self._viewers), timeout=_END_S)
        self.drop_viewers()
        if self._datagrams is not None:
            self._datagrams.close()

    def drop_viewers(self) -> None:
        """Cut every connection off."""
        for writer in self._viewers.values():
            writer.transport.abort()

    def _take(self, datagram: bytes) -> None:
        part = self._opener.open(datagram)
        if part is not None and self._hub.take(part):
            self._wake()

    def _wake(self) -> None:
        for changed in self._changed:
            changed.set()

    async def _serve(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        """One connection, from its greeting to its end."""
        task = asyncio.current_task()
        assert task is not None
        self._viewers[task] = writer
        try:
            if len(self._viewers) > 2 * MOST_VIEWERS:
                return
            with suppress(*_BROKEN):
                _keep_little(writer)
                if await asyncio.wait_for(self._greet(reader, writer), _GREETING_S):
                    await self._show(reader, writer)
        finally:
            del self._viewers[task]
            writer.close()

    async def _greet(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> bool:
        """Whether this viewer may see the run; it gets the reason if not."""
        first = await reader.readuntil()
        if greeting.is_http(first):
            writer.write(greeting.HTTP_ANSWER)
            await writer.drain()
            return False
        try:
            hello = greeting.read_message(first)
            nonce = secrets.token_hex(16)
            theirs = hello.get("nonce")
            if not isinstance(theirs, str):
                return False
            writer.write(greeting.message(panelbridge="run", nonce=nonce))
            answer = greeting.read_message(await reader.readuntil())
        except MessageError:
            return False
        setup = self._setup
        refused = ""
        if hello.get("protocol") != greeting.PROTOCOL:
            refused = "another version of panelbridge runs here: use the same on both sides"
        elif not greeting.is_proof(
            answer.get("proof"), greeting.viewer_proof(setup.token, nonce, theirs)
        ):
            refused = "the token is not that of this run"
        elif len(self._viewers) > MOST_VIEWERS:
            refused = f"{MOST_VIEWERS} viewers watch this run already"
        if refused:
            writer.write(greeting.message(refused=refused))
            await writer.drain()
            return False
        welcome = greeting.message(
            proof=greeting.publisher_proof(setup.token, nonce, theirs),
            run=setup.run,
            panel=setup.panel,
            content=setup.content,
            hands=setup.hands,
        )
        writer.write(welcome)
        await writer.drain()
        return True

    async def _show(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        changed = asyncio.Event()
        self._changed.add(changed)
        changed.set()
        orders = asyncio.create_task(self._take_orders(reader))
        orders.add_done_callback(lambda _: changed.set())
        event_count = 0
        try:
            writer.write(self._hub.past())
            await asyncio.wait_for(writer.drain(), _DEAD_S)
            while not orders.done():
                await changed.wait()
                changed.clear()
                is_last = self._hub.has_ended
                lines, event_count = self._hub.lines_after(event_count)
                writer.write(lines)
                await asyncio.wait_for(writer.drain(), _DEAD_S)
                if is_last:
                    return
                await asyncio.sleep(_REST_S)
        finally:
            self._changed.discard(changed)
            orders.cancel()

    async def _take_orders(self, reader: asyncio.StreamReader) -> None:
        """Pass on what a viewer asks for; returns when it has gone, or asks what it may not."""
        with suppress(*_BROKEN):
            while True:
                order = json.loads(await reader.readuntil())
                if not isinstance(order, list) or not (self._setup.hands or asks_why(order)):
                    return
                self._order(json.dumps(order))
                await asyncio.sleep(_ORDER_REST_S)


def asks_why(order: list[Any]) -> bool:
    """Whether an order asks for reasons."""
    match order:
        case [str(kind), str(subject)]:
            return kind == ASK_WHY and len(subject) <= _LONGEST_SUBJECT
        case _:
            return False


class _Datagrams(asyncio.DatagramProtocol):
    """Args: take: called with each datagram."""

    def __init__(self, take: Callable[[bytes], None]) -> None:
        self._take = take

    def datagram_received(self, data: bytes, addr: object) -> None:
        """One has come."""
        self._take(data)


def _keep_little(writer: asyncio.StreamWriter) -> None:
    """Neither this program nor the system keeps old snapshots for a slow viewer."""
    writer.transport.set_write_buffer_limits(high=0)
    connection: socket.socket = writer.get_extra_info("socket")
    connection.setsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF, _BUFFER_BYTES)
    connection.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
