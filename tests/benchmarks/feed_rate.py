"""What a fast feed costs: ``python -m tests.benchmarks.feed_rate --rate 1000 --seconds 60``.

A program sends text of 20 columns over UDP. Three others run in turns on the same machine: the
engine with a link to it, the engine with a parked aircraft, and a bare loop that waits for a
datagram, receives it and makes numbers of it. Reported are datagrams lost, the processor time that
the link adds to the engine against that of the bare loop, and the time from a datagram that crosses
a threshold to the command that lights a lamp, against the time at which the bare loop has seen it.
Nothing is judged but by ratios: ``--check`` asks for those.
"""

from __future__ import annotations

import argparse
import json
import os
import select
import socket
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path
from typing import Any

from panelbridge.config.load import load_panel
from panelbridge.engine.assemble import assemble_live
from panelbridge.link.session import BoardSession
from panelbridge.signals import Outputs

ROOT = Path(__file__).parent.parent.parent
COLUMNS = [f"c{number}" for number in range(20)]
LAMP, THRESHOLD_KIAS = "fast_white", 50.0
STAYS = 24
"""The airspeed is on one side of the threshold for so many datagrams."""
SETTLE_S = 2.0
"""A program is measured after this time."""
CPU_LIMIT = 2.0
"""The link may add so many times the bare loop's processor time."""
ROLES = ("bare", "idle", "link")


def files(folder: Path, port: int | None) -> Path:
    """A small panel with a lamp that the airspeed lights; with a feed when a port is given."""
    aircraft = (ROOT / "configs/aircraft/first_steps.yaml").read_text("utf-8")
    lamp = f"own_lamps:\n  {LAMP}:\n    label: fast\n    lit_when: {{ airspeed_kias: {{ at_least: "
    (folder / "aircraft.yaml").write_text(f"{aircraft}\n{lamp}{THRESHOLD_KIAS} }} }}\n", "utf-8")
    panel = (ROOT / "configs/panels/first_lamp.yaml").read_text("utf-8")
    panel = panel.replace("../aircraft/first_steps.yaml", "aircraft.yaml")
    panel = panel.replace("lamps:\n", f"lamps:\n  {LAMP}: D5\n", 1)
    if port is not None:
        panel = panel.replace("\nboards:", "feed: feed.yaml\n\nboards:", 1)
        feed = ["kind: feed", "format: 2", "name: fast", "source: link"]
        feed.append(f"receive: {{ over: udp, listen_port: {port} }}")
        feed.append(f"message: {{ form: delimited, columns: [{', '.join(COLUMNS)}] }}")
        feed.append("values:")
        named = ["airspeed_kias", "altitude_ft", "ground_speed_kt", "flap_deg", "throttle_1"]
        named += ["throttle_2", "mass_kg", "trim"]
        feed += [f"  {name}: {{ at: {COLUMNS[at + 1]} }}" for at, name in enumerate(named)]
        (folder / "feed.yaml").write_text("\n".join(feed) + "\n", "utf-8")
    path = folder / "panel.yaml"
    path.write_text(panel, "utf-8")
    return path


def is_fast(number: int) -> bool:
    """The side of the threshold on which the airspeed of a datagram is."""
    return number // STAYS % 2 == 1


def send(port: int, rate_hz: float, seconds: float) -> dict[str, Any]:
    """The sender: how many were sent, and when each crossing was."""
    crossings = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as out:
        begin_s = time.monotonic()
        count = int(rate_hz * seconds)
        for number in range(count):
            due_s = begin_s + number / rate_hz
            if (wait_s := due_s - time.monotonic()) > 0:
                time.sleep(wait_s)
            kias = 100.0 if is_fast(number) else 10.0
            # Values of the kinds that come: sensible ones at their places, changing ones behind.
            cells = [f"{number / rate_hz:.4f}", f"{kias:.3f}", "1200.5", "45.25", "10.0"]
            cells += ["0.4", "0.4", "6000.0", "1.5"]
            cells += [f"{number * at % 997 / 7:.4f}" for at in range(len(COLUMNS) - len(cells))]
            data = ",".join(cells).encode()
            if number and is_fast(number) != is_fast(number - 1):
                crossings.append((time.monotonic(), is_fast(number)))
            out.sendto(data, ("127.0.0.1", port))
    return {"sent": count, "crossings": crossings}


def run_bare(port: int, seconds: float) -> dict[str, Any]:
    """Wait, receive, make numbers: the floor."""
    seen: list[tuple[float, bool]] = []
    received, was_fast, from_s = 0, None, 0.0
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as port_in:
        port_in.bind(("127.0.0.1", port))
        port_in.setblocking(False)
        waiter = select.poll()
        waiter.register(port_in, select.POLLIN)
        print("ready", flush=True)
        end_s = time.monotonic() + SETTLE_S + seconds
        while (now_s := time.monotonic()) < end_s:
            if not from_s and now_s > end_s - seconds:
                from_s = time.process_time()
            waiter.poll(20)
            while True:
                try:
                    data = port_in.recv(65_535)
                except BlockingIOError:
                    break
                received += 1
                numbers = [float(cell) for cell in data.decode().split(",")]
                if (numbers[1] >= THRESHOLD_KIAS) is not was_fast:
                    was_fast = numbers[1] >= THRESHOLD_KIAS
                    seen.append((time.monotonic(), was_fast))
    cpu_s = time.process_time() - from_s
    return {"cpu_s": cpu_s, "received": received, "seen": seen, "counted": {}}


def run_engine(folder: Path, port: int | None, seconds: float) -> dict[str, Any]:
    """The engine on a simulated board, with the link or without."""
    loaded = load_panel(files(folder, port))
    assembly = assemble_live(loaded, {name: f"simboard://{name}" for name in loaded.panel.boards})
    engine = assembly.engine
    seen: list[tuple[float, bool]] = []
    command = BoardSession.command

    def noted(session: BoardSession, now_s: float, outputs: Outputs) -> None:
        command(session, now_s, outputs)
        is_lit = bool(outputs.lamps.get(LAMP))
        if not seen or seen[-1][1] is not is_lit:
            seen.append((time.monotonic(), is_lit))

    BoardSession.command = noted  # type: ignore[method-assign,assignment]
    figures = {"from_s": 0.0, "cpu_s": 0.0}

    def begin(_: float) -> None:
        figures["from_s"] = time.process_time()

    def end(_: float) -> None:
        figures["cpu_s"] = time.process_time() - figures["from_s"]
        engine.stop()

    timers = [threading.Timer(SETTLE_S, lambda: engine.post(begin))]
    timers.append(threading.Timer(SETTLE_S + seconds, lambda: engine.post(end)))
    for timer in timers:
        timer.start()
    engine.post(lambda _: print("ready", flush=True))  # the first turn: the port is open
    engine.run()
    health = engine.snapshot().feed
    assembly.close()
    return {
        "cpu_s": figures["cpu_s"],
        "received": health.messages,
        "seen": seen,
        "counted": dict(health.refused),
    }


def delays_ms(sent: list[Any], seen: list[Any]) -> list[float]:
    """From each crossing to when it was seen; those that were not seen in time are left out."""
    found = []
    at = 0
    for number, (time_s, side) in enumerate(sent):
        limit_s = sent[number + 1][0] if number + 1 < len(sent) else time_s + 1.0
        while at < len(seen) and seen[at][0] < time_s:
            at += 1
        if at < len(seen) and seen[at][1] is side and seen[at][0] < limit_s:
            found.append((seen[at][0] - time_s) * 1000.0)
    return found


def measure(role: str, port: int, rate_hz: float, seconds: float) -> dict[str, Any]:
    """Run a role and the sender; all figures of both."""
    options = ["--port", str(port), "--rate", str(rate_hz), "--seconds", str(seconds)]
    program = [sys.executable, "-m", "tests.benchmarks.feed_rate"]
    child = subprocess.Popen(
        [*program, "--role", role, *options], stdout=subprocess.PIPE, text=True
    )
    assert child.stdout is not None
    child.stdout.readline()
    sent: dict[str, Any] = {"sent": 0, "crossings": []}
    if role != "idle":
        sent = send(port, rate_hz, SETTLE_S + seconds - 0.2)
    out, _ = child.communicate()
    figures: dict[str, Any] = json.loads(out.splitlines()[-1]) | sent
    return figures


def main(arguments: list[str] | None = None) -> int:
    """Measure and report; exit code 1 when ``--check`` finds a ratio too high."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.feed_rate")
    parser.add_argument("--rate", type=float, default=1000.0, help="datagrams a second")
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--check", action="store_true")
    parser.add_argument("--role", choices=ROLES, help=argparse.SUPPRESS)
    parser.add_argument("--port", type=int, help=argparse.SUPPRESS)
    options = parser.parse_args(arguments)
    if options.role:
        with tempfile.TemporaryDirectory() as folder:
            if options.role == "bare":
                figures = run_bare(options.port, options.seconds)
            else:
                port = options.port if options.role == "link" else None
                figures = run_engine(Path(folder), port, options.seconds)
        print(json.dumps(figures))
        return 0
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as any_port:
        any_port.bind(("127.0.0.1", 0))
        port = any_port.getsockname()[1]
    print(f"{options.rate:g} datagrams/s for {options.seconds:g} s, load {os.getloadavg()[0]:.1f}")
    found = {role: measure(role, port, options.rate, options.seconds) for role in ROLES}
    for role, one in found.items():
        share = one["cpu_s"] / options.seconds * 100.0
        lost = one["sent"] - one["received"]
        delays = delays_ms(one["crossings"], one["seen"])
        p50 = f"{statistics.median(delays):.3f}" if delays else "-"
        print(
            f"{role:6} {share:6.2f} % of a core, sent {one['sent']:>7}, not read {lost:>5},"
            f" counted {one['counted']}, delay p50 {p50} ms ({len(delays)} crossings)"
        )
    added = found["link"]["cpu_s"] - found["idle"]["cpu_s"]
    ratio = added / found["bare"]["cpu_s"]
    print(f"added by the link: {added / options.seconds * 100:.2f} %, {ratio:.2f} x the bare loop")
    uncounted = found["link"]["sent"] - found["link"]["received"]
    uncounted -= sum(found["link"]["counted"].values())
    print(f"lost and not counted: {uncounted}")
    return int(options.check and (ratio > CPU_LIMIT or uncounted > 0))


if __name__ == "__main__":
    sys.exit(main())
