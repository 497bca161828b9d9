"""The two ends of a publisher on real sockets: the engine's, and a viewer's that says anything."""

from __future__ import annotations

import asyncio
import json
import socket
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress
from dataclasses import dataclass, field
from typing import Any

from msgspec.structs import replace

from panelbridge.engine import Snapshot
from panelbridge.watch import greeting
from panelbridge.watch.codec import SNAPSHOTS
from panelbridge.watch.datagrams import DatagramSealer
from panelbridge.watch.publisher import LOOPBACK, Publisher, PublisherSetup
from panelbridge.watch.snapshot_sender import SnapshotSender

TOKEN = "the token of this run"
SECRET = bytes(range(32))
SETUP = PublisherSetup(
    secret=SECRET.hex(),
    token=TOKEN,
    engine_port=0,
    host=LOOPBACK,
    port=0,
    run="run1",
    panel="Test panel",
    content={"what": "ever"},
    hands=False,
)


@dataclass
class Talk:
    """A publisher, with the engine's socket."""

    publisher: Publisher
    engine: socket.socket
    inner: int
    outer: int
    orders: list[str] = field(default_factory=list)
    viewers: list[Viewer] = field(default_factory=list)
    sender: SnapshotSender = field(init=False)

    def __post_init__(self) -> None:
        self.sender = SnapshotSender(DatagramSealer(SECRET), self.send)

    def send(self, datagram: bytes) -> None:
        self.engine.sendto(datagram, (LOOPBACK, self.inner))

    def put(self, snapshot: Snapshot) -> None:
        self.sender.put(snapshot)

    async def viewer(self) -> Viewer:
        reader, writer = await asyncio.open_connection(LOOPBACK, self.outer, limit=1_000_000)
        self.viewers.append(Viewer(reader, writer))
        return self.viewers[-1]


@dataclass
class Viewer:
    """A connection to the publisher's port."""

    reader: asyncio.StreamReader
    writer: asyncio.StreamWriter

    async def say(self, line: bytes) -> None:
        self.writer.write(line)
        await self.writer.drain()

    async def ask(self, line: bytes) -> dict[str, Any]:
        await self.say(line)
        found = json.loads(await self.reader.readline())
        assert isinstance(found, dict)
        return found

    async def greet(self, token: str = TOKEN, nonce: str = "mine") -> dict[str, Any]:
        """The whole greeting; what the publisher says last."""
        first = greeting.message(protocol=greeting.PROTOCOL, nonce=nonce)
        theirs = (await self.ask(first))["nonce"]
        return await self.ask(greeting.message(proof=greeting.viewer_proof(token, theirs, nonce)))

    async def snapshot(self) -> Snapshot:
        """The next snapshot."""
        while True:
            line = await self.reader.readline()
            assert line, "the connection has ended"
            if line.startswith(b"S"):
                return SNAPSHOTS.read(line[1:])

    async def snapshot_at(self, time_s: float) -> Snapshot:
        """The first snapshot of this time."""
        while True:
            found = await self.snapshot()
            if found.time_s == time_s:
                return found

    async def rest(self) -> bytes:
        """What comes until the connection ends."""
        try:
            return await self.reader.read()
        except ConnectionError:
            return b""

    async def close(self) -> None:
        self.writer.close()
        with suppress(OSError):
            await self.writer.wait_closed()


@asynccontextmanager
async def talking(**changes: Any) -> AsyncIterator[Talk]:
    """A publisher that listens."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as engine:
        engine.bind((LOOPBACK, 0))
        port = engine.getsockname()[1]
        orders: list[str] = []
        publisher = Publisher(replace(SETUP, engine_port=port, **changes), orders.append)
        inner, outer = await publisher.open()
        talk = Talk(publisher, engine, inner, outer, orders)
        try:
            yield talk
        finally:
            for viewer in talk.viewers:
                await viewer.close()
            publisher.end("over")
            await publisher.close()
