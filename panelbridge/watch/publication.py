"""A run's side of its publisher: starts the process, hands it snapshots, takes orders from it."""

from __future__ import annotations

import contextlib
import json
import os
import secrets
import socket
import subprocess
import sys
import threading
from collections.abc import Callable
from typing import Any

from msgspec import Struct

from panelbridge.engine.snapshot import Snapshot
from panelbridge.errors import UsageError
from panelbridge.watch.codec import to_json
from panelbridge.watch.datagrams import DatagramSealer
from panelbridge.watch.greeting import new_token
from panelbridge.watch.publisher import LOOPBACK, PublisherSetup
from panelbridge.watch.publisher_process import END
from panelbridge.watch.snapshot_sender import SnapshotSender

OnOrder = Callable[[list[Any]], None]
_START_S = 30.0
"""Longest time for the publisher's start, s."""
_END_S = 3.0
"""The publisher may take this long to say goodbye, s."""


class PublishRequest(Struct, frozen=True):
    """How a run is to be published.

    Attributes:
        panel: name of the panel, for people.
        content: what a screen shows besides the snapshot, as JSON.
        host: address for viewers.
        port: of the viewers; 0 = any that is free.
        token: of the viewers; empty = a random one.
        hands: viewers may move switches.
    """

    panel: str
    content: bytes
    host: str = LOOPBACK
    port: int = 0
    token: str = ""
    hands: bool = False


class Publication:
    """A publisher process that runs.

    Args:
        request: how the run is to be published.

    Attributes:
        host: address of the viewers.
        port: of the viewers.
        token: what they must know.
        run: random name of the run.
        has_died: the publisher has ended before the run.

    Raises:
        UsageError: the address cannot be had, or the process does not start.
    """

    def __init__(self, request: PublishRequest) -> None:
        self.host, self.token = request.host, request.token or new_token()
        self.run = secrets.token_hex(6)
        self.has_died = False
        self._on_order: OnOrder | None = None
        self._on_death: Callable[[], None] = lambda: None
        self._is_closing = False
        self._socket = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        self._socket.bind((LOOPBACK, 0))
        self._socket.setblocking(False)
        secret = secrets.token_bytes(32)
        setup = PublisherSetup(
            secret=secret.hex(),
            token=self.token,
            engine_port=self._socket.getsockname()[1],
            host=request.host,
            port=request.port,
            run=self.run,
            panel=request.panel,
            content=json.loads(request.content),
            hands=request.hands,
        )
        self._process = _start_process()
        self._ready = threading.Event()
        self._answer = ""
        self._thread = threading.Thread(
            target=self._listen, name="panelbridge-publication", daemon=True
        )
        self._thread.start()
        try:
            self._tell(to_json([os.getpid(), setup]).decode())
            inner, self.port = self._ports()
        except UsageError:
            self.close()
            raise
        self._to = (LOOPBACK, inner)
        self._sender = SnapshotSender(DatagramSealer(secret), self._send)

    def attach(self, on_order: OnOrder | None, on_death: Callable[[], None]) -> None:
        """Say who takes the viewers' orders, and what is called when the publisher dies.

        Both are called in a thread of this object.
        """
        self._on_order, self._on_death = on_order, on_death
        if self.has_died:
            on_death()

    def put(self, snapshot: Snapshot) -> None:
        """Publish a snapshot: for the engine's thread."""
        self._sender.put(snapshot)

    def close(self) -> None:
        """Let the publisher tell the viewers that the run has ended."""
        self._is_closing = True
        self._tell(END)
        with contextlib.suppress(OSError):
            assert self._process.stdin is not None
            self._process.stdin.close()
        try:
            self._process.wait(_END_S)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()
        self._thread.join()
        self._socket.close()

    def _send(self, datagram: bytes) -> None:
        # Full buffers and a publisher that has died cost snapshots, never the engine's time.
        with contextlib.suppress(OSError):
            self._socket.sendto(datagram, self._to)

    def _tell(self, line: str) -> None:
        with contextlib.suppress(OSError, ValueError):  # its process has gone, or was closed
            assert self._process.stdin is not None
            self._process.stdin.write(line + "\n")
            self._process.stdin.flush()

    def _ports(self) -> tuple[int, int]:
        self._ready.wait(_START_S)
        answer = json.loads(self._answer or "{}")
        if "error" in answer:
            raise UsageError(*answer["error"])
        if "viewers" not in answer:
            raise UsageError("the publisher did not start", "--publish", "start the run once more")
        return answer["datagrams"], answer["viewers"]

    def _listen(self) -> None:
        """The thread that reads what the publisher says."""
        assert self._process.stdout is not None
        with self._process.stdout as lines:
            self._answer = lines.readline()
            self._ready.set()
            for line in lines:
                if self._on_order is not None:
                    self._on_order(json.loads(line))
        self.has_died = not self._is_closing
        if self.has_died:
            self._on_death()


def _start_process() -> subprocess.Popen[str]:
    """The publisher: in a session of its own, for Ctrl-C is meant for the run.

    ``-P``: modules never come from the folder in which the user stands.
    """
    flags = getattr(subprocess, "CREATE_NEW_PROCESS_GROUP", 0)
    flags |= getattr(subprocess, "CREATE_NO_WINDOW", 0)
    return subprocess.Popen(
        [sys.executable, "-P", "-m", "panelbridge.watch.publisher_process"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        encoding="utf-8",
        creationflags=flags,
        start_new_session=True,
    )
