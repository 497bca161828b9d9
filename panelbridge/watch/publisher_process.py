"""The publisher's process: set-up and end come in on its input, ports and orders go out.

Its input closes when the run's process has gone, however that ended; so it never outlives a run.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
import signal
import sys
import threading
from pathlib import Path
from typing import TextIO

import msgspec

from panelbridge.errors import PanelbridgeError, UsageError
from panelbridge.link.ports.failure_text import failure_text
from panelbridge.watch.priority import let_the_run_go_first
from panelbridge.watch.publisher import Publisher, PublisherSetup
from panelbridge.watch.run_files import PublishedRun, remove_run, runs_folder, write_run

END = "end"
"""The line that ends a run in good order."""
ENDED = "the run has ended"
DIED = "the run has stopped without a goodbye: its program has ended or was killed"


async def serve(setup: PublisherSetup, process: int, lines: TextIO, said: TextIO) -> None:
    """Serve the viewers until the run ends.

    Args:
        setup: from the run.
        process: number of the run's process.
        lines: what else comes from the run.
        said: where ports, errors and orders go.
    """

    def say(line: str) -> None:
        with contextlib.suppress(OSError, ValueError):  # the run has gone
            said.write(line + "\n")
            said.flush()

    path: Path | None = None
    publisher = Publisher(setup, say)
    try:
        inner, outer = await publisher.open()
        run = PublishedRun(setup.run, setup.panel, process, setup.host, outer, setup.token)
        path = write_run(runs_folder(), run)
    except OSError as error:
        say(json.dumps({"error": list(_address_error(error, setup).args)}))
        return
    except PanelbridgeError as error:
        say(json.dumps({"error": [error.what, error.where, error.hint]}))
        return
    try:
        say(json.dumps({"datagrams": inner, "viewers": outer}))
        publisher.end(ENDED if await _last_line(lines) == END else DIED)
        await publisher.close()
    finally:
        remove_run(path)


async def _last_line(lines: TextIO) -> str:
    """The next line from the run; empty when its process has gone.

    A thread reads it: not every system can wait for a pipe beside sockets. It is a daemon: at an
    interrupt nobody waits for it.
    """
    loop, found = asyncio.get_running_loop(), asyncio.Event()
    line = ""

    def read() -> None:
        nonlocal line
        with contextlib.suppress(OSError, ValueError):
            line = lines.readline().strip()
        loop.call_soon_threadsafe(found.set)

    threading.Thread(target=read, name="publisher-input", daemon=True).start()
    await found.wait()
    return line


def _address_error(error: OSError, setup: PublisherSetup) -> UsageError:
    """Why the viewers' address cannot be had."""
    where = f"{setup.host}:{setup.port}"
    hint = "is the address one of this computer's, is the port free and above 1023?"
    what = f"this address cannot be had: {failure_text(error, setup.host)}"
    return UsageError(what, where, hint)


def main() -> None:
    """The process: its first line is the set-up, with the number of the run's process."""
    for name in ("SIGINT", "SIGHUP", "SIGBREAK"):  # meant for the run: its end is ours
        number = getattr(signal, name, None)
        if number is not None:
            signal.signal(number, signal.SIG_IGN)
    let_the_run_go_first()
    process, setup = msgspec.json.decode(sys.stdin.readline(), type=tuple[int, PublisherSetup])
    asyncio.run(serve(setup, process, sys.stdin, sys.stdout))


if __name__ == "__main__":
    main()
