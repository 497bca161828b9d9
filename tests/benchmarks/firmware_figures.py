"""What the firmware does on its chips, in lock-step: exact to the cycle, the same on any machine.

``python -m tests.benchmarks.firmware_figures``: sizes of the five boards, debouncing, how many
frames the line carries with none lost. Simulated: no boot loader, no serial chip, no electrical
noise.
"""

from __future__ import annotations

import random
import statistics
import sys

from panelbridge.config.boards import BoardKind
from panelbridge.link.wire import Command, HelloRequest, ItemFlag
from panelbridge.link.wire.frames import encode_frame
from tests.firmware.avr_bench import AvrBench
from tests.firmware.bounces import all_edges, bounce
from tests.firmware.build import TARGETS, avr_elf, size_of
from tests.firmware.test_line import BYTES_A_S, busy_plan, mega_plan
from tests.simboard.host import CONTACT_FLAGS, Host, Plan, contact

BURSTS = 20
FRAMES = 1500
HOLD = int(CONTACT_FLAGS | ItemFlag.HOLD_AFTER_EDGE)


def sizes() -> None:
    print(f"{'size':<12} {'flash':>8} {'of':>8} {'':>6} {'static RAM':>11} {'of':>6}")
    for board, target in TARGETS.items():
        size = size_of(avr_elf(board))
        flash, ram = size.flash / target.flash, size.static_ram / target.ram
        print(
            f"{board:<12} {size.flash:>8} {target.flash:>8} {flash:>6.1%}"
            f" {size.static_ram:>11} {target.ram:>6} {ram:>6.1%}"
        )


def debouncing(kind: BoardKind) -> None:
    for name, flags in (("until quiet", int(CONTACT_FLAGS)), ("report first", HOLD)):
        for burst_us in (1557, 6200):
            bench = AvrBench(kind)
            host = Host(bench)
            host.set_up(Plan((contact(0, 4, 10, flags),)), interval_ms=60_000, timeout_ms=60_000)
            sent: list[float] = []
            bench.machine.on_byte = sent.append
            rng = random.Random(burst_us)
            waits = []
            for number in range(BURSTS):
                host.command(ack=len(all_edges(host)))
                host.pass_time(0.05 + rng.random() / 1000)
                sent.clear()
                first_us = bench.machine.now_us
                bounce(bench, "D4", number % 2 == 0, burst_us, rng)
                last_us = bench.machine.now_us
                host.pass_time(0.03)
                waits.append(sent[0] - (last_us if flags == CONTACT_FLAGS else first_us))
            edges = len(all_edges(host))
            since = "last" if flags == CONTACT_FLAGS else "first"
            print(
                f"{kind:<9} 10 ms, {name:<12} bursts of {burst_us:>4} us:"
                f" {edges} edges of {BURSTS};"
                f" report {min(waits) / 1000:.2f} / {statistics.median(waits) / 1000:.2f} /"
                f" {max(waits) / 1000:.2f} ms after the {since} touch (least, p50, most)"
            )
            bench.close()


def line(kind: BoardKind) -> None:
    bench = AvrBench(kind)
    host = Host(bench)
    host.set_up(busy_plan() if kind == "uno" else mega_plan(), timeout_ms=60_000)
    outputs = (0, 0, 0, 0, 1, 1500)
    length = len(encode_frame(Command(1, 1, 0, outputs).pack(host.shape)))
    start_us = bench.machine.now_us
    for _ in range(FRAMES):
        host.command(*outputs)
    host.pass_time(FRAMES * length / BYTES_A_S - 0.05)
    host.greet()
    a_second = FRAMES / ((bench.machine.now_us - start_us) / 1e6)
    host.pass_time(0.2)
    report = host.last_report()
    print(
        f"{kind:<9} to the board: {a_second:.0f} COMMANDs of {length} bytes a second,"
        f" {a_second * length / BYTES_A_S:.1%} of the line;"
        f" {report.command_sequence} of {FRAMES} taken,"
        f" {report.bad_frames} bad, {bench.lost_bytes()} bytes lost"
    )
    bench.close()
    bench = AvrBench(kind)
    host = Host(bench)
    hello = 14
    start_us = bench.machine.now_us
    for _ in range(FRAMES):
        host.say(HelloRequest().pack())
        host.bench.pass_time(hello / BYTES_A_S)
    host.listen()
    a_second = len(host.hellos()) / ((bench.machine.now_us - start_us) / 1e6)
    print(
        f"{kind:<9} from the board: {a_second:.0f} HELLOs of {hello} bytes a second,"
        f" {a_second * hello / BYTES_A_S:.1%} of the line; {host.parser.counts.bad} bad"
    )
    bench.close()


def main() -> int:
    sizes()
    kinds: tuple[BoardKind, ...] = ("uno", "mega2560")
    for kind in kinds:
        debouncing(kind)
    for kind in kinds:
        line(kind)
    return 0


if __name__ == "__main__":
    sys.exit(main())
