"""A viewer's end: a thread that is connected to a run, and connects again when it was lost."""

from __future__ import annotations

import asyncio
import json
import secrets
import socket
import threading
from collections.abc import Callable
from contextlib import suppress
from typing import Any

from msgspec import Struct

from panelbridge.clock import Clock
from panelbridge.engine.snapshot import Snapshot
from panelbridge.errors import MessageError, UsageError
from panelbridge.link.ports.failure_text import failure_text
from panelbridge.watch import greeting
from panelbridge.watch.watched_run import WatchedRun, WatchStatus

CONNECT_S = 10.0
"""Longest time for a connection and its greeting, s."""
RETRY_S = 1.0
"""Time between two attempts to connect again, s."""
_BUFFER_BYTES = 65_536
_GONE = "the publisher there has gone; the run itself may go on without it"


class RunAddress(Struct, frozen=True):
    """Where a run is, and what a viewer must know.

    Attributes:
        host: name or address of its computer.
        port: of its viewers.
        token: of the run.
    """

    host: str
    port: int
    token: str

    def __str__(self) -> str:
        return f"[{self.host}]:{self.port}" if ":" in self.host else f"{self.host}:{self.port}"


class Welcome(Struct, frozen=True):
    """What a publisher says of its run.

    Attributes:
        run: its random name.
        panel: its name, for people.
        content: what a screen shows besides the snapshot, as JSON.
        hands: viewers may move switches.
    """

    run: str
    panel: str
    content: bytes
    hands: bool


Find = Callable[[], RunAddress]
"""Where the run is now. Raises: UsageError, when there is none."""


class ViewerLink:
    """Watches a run from a thread of its own.

    Args:
        find: asked before each attempt to connect.
        clock: the time.
    """

    def __init__(self, find: Find, clock: Clock) -> None:
        self._find, self._clock = find, clock
        self._run: WatchedRun | None = None
        self._welcome: Welcome | None = None
        self._failure: UsageError | None = None
        self._first = threading.Event()
        self._loop: asyncio.AbstractEventLoop | None = None
        self._task: asyncio.Task[None] | None = None
        self._writer: asyncio.StreamWriter | None = None
        self._thread = threading.Thread(target=self._work, name="panelbridge-viewer", daemon=True)
        self.has_other_run = False
        """Another run is published there now: this one has ended."""

    def start(self) -> Welcome:
        """Connect; what the run says of itself.

        Raises:
            UsageError: there is no run, or it does not let this viewer in.
        """
        self._thread.start()
        self._first.wait()
        if self._welcome is None:
            self._thread.join()
            raise self._failure or UsageError("the run ended before it could be shown")
        return self._welcome

    def snapshot(self) -> Snapshot:
        """The newest snapshot; empty before the first."""
        if self._run is None:
            return Snapshot()
        try:
            return self._run.snapshot()
        except MessageError as error:
            self._run.lost(error.what)
            return Snapshot()

    def take_past(self) -> list[Snapshot]:
        """What was in the minute before the connection; each snapshot once."""
        if self._run is None:
            return []
        try:
            return self._run.take_past()
        except MessageError as error:
            self._run.lost(error.what)
            return []

    def status(self) -> WatchStatus:
        """Whether what is shown is live."""
        assert self._run is not None
        return self._run.status(self._clock.now())

    def ask(self, *order: str | float) -> None:
        """Ask the run for something; returns at once, lost when there is no connection."""
        line = json.dumps(order).encode() + b"\n"

        def write() -> None:
            if self._writer is not None:
                self._writer.write(line)

        if self._loop is not None:
            with suppress(RuntimeError):  # the loop has closed
                self._loop.call_soon_threadsafe(write)

    def close(self) -> None:
        """End the connection and the thread."""
        if self._loop is not None and self._task is not None:
            with suppress(RuntimeError):
                self._loop.call_soon_threadsafe(self._task.cancel)
        self._thread.join()

    # The thread

    def _work(self) -> None:
        async def work() -> None:
            self._loop, self._task = asyncio.get_running_loop(), asyncio.current_task()
            await self._watch()

        try:
            with suppress(asyncio.CancelledError):
                asyncio.run(work())
        finally:
            self._first.set()

    async def _watch(self) -> None:
        while not self.has_other_run:
            try:
                await self._connection()
            except UsageError as error:
                if self._welcome is None:
                    self._failure = error
                    return
                assert self._run is not None
                self._run.lost(error.what)
            await asyncio.sleep(RETRY_S)

    async def _connection(self) -> None:
        """One connection, until it is lost. Raises: UsageError, when there is none."""
        address = self._find()
        where = str(address)
        try:
            reader, writer, welcome = await asyncio.wait_for(_connect(address), CONNECT_S)
        except TimeoutError as error:
            raise _no_run("there is no answer", where) from error
        except OSError as error:
            raise _no_run(failure_text(error, address.host), where) from error
        except MessageError as error:
            raise _no_run(error.what, where) from error
        try:
            if self._welcome is None:
                self._run = WatchedRun(where, self._clock.now())
                self._welcome = welcome
            elif welcome.run != self._welcome.run:
                self.has_other_run = True
                return
            assert self._run is not None
            self._writer = writer
            self._run.connected(self._clock.now())
            self._first.set()
            self._run.lost(await self._read(reader, self._run))
        finally:
            self._writer = None
            writer.close()

    async def _read(self, reader: asyncio.StreamReader, run: WatchedRun) -> str:
        """Take lines until there are none; why there are none."""
        while True:
            try:
                line = await reader.readuntil()
            except asyncio.IncompleteReadError:
                return _GONE
            except asyncio.LimitOverrunError:
                return "it sends lines that are too long"
            except OSError as error:
                return failure_text(error)
            try:
                run.take(line, self._clock.now())
            except MessageError as error:
                return error.what


async def _connect(
    address: RunAddress,
) -> tuple[asyncio.StreamReader, asyncio.StreamWriter, Welcome]:
    reader, writer = await asyncio.open_connection(
        address.host, address.port, limit=greeting.LONGEST_LINE
    )
    try:
        connection: socket.socket = writer.get_extra_info("socket")
        connection.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, _BUFFER_BYTES)
        return reader, writer, await _greet(address.token, reader, writer)
    except BaseException:
        writer.close()
        raise


async def _greet(token: str, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> Welcome:
    """Show that this viewer knows the token, and see that the other does.

    Raises:
        MessageError: it is no publisher, or does not let this viewer in.
    """
    try:
        ours = secrets.token_hex(16)
        writer.write(greeting.message(protocol=greeting.PROTOCOL, nonce=ours))
        theirs = str(greeting.read_message(await reader.readuntil()).get("nonce"))
        writer.write(greeting.message(proof=greeting.viewer_proof(token, theirs, ours)))
        answer = greeting.read_message(await reader.readuntil())
    except (asyncio.IncompleteReadError, asyncio.LimitOverrunError) as error:
        raise MessageError("what listens there is no panelbridge run") from error
    if "refused" in answer:
        raise MessageError(str(answer["refused"]))
    if not greeting.is_proof(answer.get("proof"), greeting.publisher_proof(token, theirs, ours)):
        raise MessageError("what listens there does not know the token of the run")
    content: Any = answer.get("content")
    return Welcome(
        *(str(answer.get("run")), str(answer.get("panel"))),
        *(json.dumps(content).encode(), answer.get("hands") is True),
    )


def _no_run(what: str, where: str) -> UsageError:
    hint = "Is a run published there ('panelbridge run PANEL.yaml --publish'), and is it its token?"
    return UsageError(what, where, hint)
