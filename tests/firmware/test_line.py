"""A full line and a damaged line."""

from __future__ import annotations

import random
from itertools import pairwise

import pytest

from panelbridge.config.boards import BOARDS, BoardKind
from panelbridge.link.wire import (
    Command,
    Edge,
    HelloRequest,
    ItemFlag,
    ItemKind,
    ReportFlag,
    SetupItem,
)
from panelbridge.link.wire.frames import encode_frame
from tests.firmware.avr_bench import AvrBench, avr, avr_host
from tests.firmware.bounces import all_edges
from tests.simboard.host import Host, Plan, contact

SERIAL: tuple[BoardKind, ...] = ("uno", "mega2560")
BYTES_A_S = 25_000
"""At 250000 bit/s, ten bits per byte."""


host = pytest.fixture(params=SERIAL, name="host")(avr_host)


def busy_plan() -> Plan:
    """A panel that keeps an Uno busy: contacts, levers, dimmed lamps, a horn, a gauge."""
    items = [contact(n, pin) for n, pin in enumerate((2, 4, 7, 12, 13))]
    items += [SetupItem(5 + n, ItemKind.ANALOGUE, 14 + n, 0, 4) for n in range(4)]
    items += [
        SetupItem(9 + n, ItemKind.LAMP, pin, ItemFlag.PWM) for n, pin in enumerate((3, 5, 6, 10))
    ]
    items += [SetupItem(13, ItemKind.TONE, 8, 0, 700, 200, 100)]
    items += [SetupItem(14, ItemKind.SERVO, 9, 0, 1500, 1000, 2000)]
    return Plan(tuple(items))


def mega_plan() -> Plan:
    """The same for a Mega, whose analogue pins have different numbers."""
    plan = busy_plan()
    return Plan(
        tuple(
            SetupItem(i.index, i.kind, i.pin + 40, 0, 4) if i.kind == ItemKind.ANALOGUE else i
            for i in plan.items
        )
    )


def set_up(host: Host) -> None:
    host.set_up(busy_plan() if avr(host).kind == "uno" else mega_plan(), timeout_ms=60_000)


def test_no_command_is_lost_on_a_full_line(host: Host) -> None:
    set_up(host)
    host.command(0, 0, 0, 0, 1, 1500)
    host.pass_time(0.01)
    start_us = avr(host).machine.now_us
    for number in range(2000):
        host.command(number % 256, 255 - number % 256, number * 7 % 256, 9, 1, 1000 + number % 1000)
    frame = encode_frame(Command(host.session, 1, 0, (0, 0, 0, 0, 1, 1500)).pack(host.shape))
    host.greet()  # requested after all of them
    a_second = 2000 / ((avr(host).machine.now_us - start_us) / 1e6)
    host.pass_time(0.15)
    assert host.last_report().command_sequence == host.sequence
    assert avr(host).lost_bytes() == 0
    assert host.last_report().bad_frames == 0
    assert a_second > 0.98 * BYTES_A_S / len(frame)


def test_contacts_are_reported_in_time_on_a_full_line(host: Host) -> None:
    set_up(host)
    host.command(0, 0, 0, 0, 2, 1500)
    host.pass_time(0.01)
    waits_ms: list[float] = []
    for number in range(24):
        for _ in range(12):  # as many as the line carries until the report arrives
            host.command(number, 0, 0, 0, 2, 1500, ack=len(all_edges(host)))
        at_us = avr(host).machine.now_us
        host.bench.set_contact("D4", number % 2 == 0)
        host.until(lambda number=number: len(all_edges(host)) == number + 1, within_s=0.1)  # type: ignore[misc]
        waits_ms.append((avr(host).machine.now_us - at_us) / 1000)
    assert all_edges(host) == [Edge(1, n % 2 == 0) for n in range(24)]
    assert max(waits_ms) < 5 + 6  # debouncing, a report being sent, this report, a step of 2 ms
    assert avr(host).lost_bytes() == 0


def test_random_bytes_on_a_full_line_are_counted_and_do_no_harm(host: Host) -> None:
    set_up(host)
    host.command(1, 2, 3, 4, 0, 1500)
    host.pass_time(0.03)
    rng = random.Random(7)
    before = [(p, len(h)) for p, h in avr(host).history.items() if p != avr(host).place("D9")]
    avr(host).write(bytes(rng.choices(range(256), weights=[20] + [1] * 255, k=20_000)) + b"\0")
    host.pass_time(0.85)
    assert avr(host).lost_bytes() == 0
    after = [(p, len(h)) for p, h in avr(host).history.items() if p != avr(host).place("D9")]
    steady = [(p, n) for p, n in after if p != avr(host).place("D10")]  # software PWM
    assert steady == [(p, n) for p, n in before if p != avr(host).place("D10")]
    sequence = host.command(200, 0, 0, 0, 0, 1500)
    host.until(lambda: host.last_report().command_sequence == sequence)
    assert host.last_report().bad_frames > 0


def test_as_many_answers_as_the_line_carries(host: Host) -> None:
    """A request for each HELLO: the line from the board is full, the other way half full."""
    hello_bytes = 14
    host.pass_time(0.05)
    before = len(host.hellos())
    number = BYTES_A_S // hello_bytes
    for _ in range(number):
        host.say(HelloRequest().pack())
        host.bench.pass_time(hello_bytes / BYTES_A_S)
    host.pass_time(0.01)
    assert len(host.hellos()) - before >= number  # and those sent unrequested
    assert host.parser.counts.bad == 0
    assert avr(host).lost_bytes() == 0


def test_chains_are_read_in_time_on_a_full_line(host: Host) -> None:
    """CHAIN_SCAN_MS: sixteen chips, at least every 2 ms. Measured at the latch pin."""
    items = [SetupItem(0, ItemKind.CHAIN_IN, 10, 0, 11, 12, 16)]
    items += [contact(1 + n, 128 + 4 * n, flags=0) for n in range(29)]
    host.set_up(Plan(tuple(items)), timeout_ms=60_000)
    for _ in range(400):
        host.command()
    since_us = avr(host).machine.now_us
    host.pass_time(0.15)
    latch = avr(host).history[avr(host).place("D12")]
    loads = [c.at_us for c in latch if c.at_us > since_us and c.how == "level" and not c.level]
    gaps_us = [b - a for a, b in pairwise(loads)]
    assert len(gaps_us) > 100
    assert max(gaps_us) < 2000
    assert avr(host).lost_bytes() == 0


@pytest.mark.parametrize(
    ("kind", "inputs", "lamps", "moved", "each_ms", "most_us"),
    [
        ("mega2560", 64, 40, 1, 4.0, 2000),
        ("mega2560", 64, 40, 8, 4.0, 2000),
        ("mega2560", 64, 40, 64, 4.0, 3000),
        ("mega2560", 64, 40, 16, 2.2, 3000),  # a full line
        ("mega2560", 24, 80, 24, 4.0, 3000),
        ("mega2560", 108, 0, 16, 4.0, 2000),
        ("uno", 14, 14, 14, 2.0, 2000),
        ("leonardo", 29, 0, 29, 2.0, 2000),
    ],
)
def test_full_chains_are_read_in_time_and_lose_nothing(
    kind: BoardKind, inputs: int, lamps: int, moved: int, each_ms: float, most_us: int
) -> None:
    """CHAIN_SCAN_MS, measured at the latch pin, with COMMANDs and contacts that move."""
    bench = AvrBench(kind)
    host = Host(bench)
    data, clock, latch = map(bench.place, ("D10", "D11", "D12"))
    chips = -(-inputs // 8)
    bench.machine.order(f"chain in {data} {clock} {latch} {chips}")
    chains = [SetupItem(0, ItemKind.CHAIN_IN, 10, 0, 11, 12, chips)]
    if lamps:
        chains.append(SetupItem(1, ItemKind.CHAIN_OUT, 3, 0, 6, 13, -(-lamps // 8)))
    items = [
        contact(len(chains) + n, 128 + n, flags=int(ItemFlag.ACTIVE_LOW)) for n in range(inputs)
    ]
    first = len(chains) + inputs
    items += [SetupItem(first + n, ItemKind.LAMP, 128 + 8 * chips + n) for n in range(lamps)]
    host.set_up(Plan((*chains, *items)), timeout_ms=60_000)
    bench.machine.ask("loads")
    for number in range(120):
        host.command(*(255 * ((number + n) % 2) for n in range(lamps)), ack=len(all_edges(host)))
        for bit in range(moved if number % 12 == 0 and number < 100 else 0):
            bench.machine.order(f"bit {data} {bit} {number // 12 % 2}")
        host.pass_time(each_ms / 1000)
    host.pass_time(0.1)
    (longest_us,) = [int(words[1]) for words in bench.machine.ask("loads") if words[0] == "loads"]
    assert bench.lost_bytes() == 0
    report = host.last_report()
    assert (report.bad_frames, report.flags, report.command_sequence) == (0, 0, host.sequence)
    assert longest_us < most_us
    assert len(all_edges(host)) == 9 * moved
    bench.close()


@pytest.mark.parametrize("kind", ["mega2560", "uno"])
def test_all_contacts_at_once(kind: BoardKind) -> None:
    """More edges than a REPORT has room for: none waits for EDGE_REPEAT_MS, none is lost."""
    bench = AvrBench(kind)
    host = Host(bench)
    pins = [pin for pin in BOARDS[kind].pins.values() if pin.digital and not pin.reserved][:60]
    host.set_up(Plan(tuple(contact(n, pin.number) for n, pin in enumerate(pins))))
    for closed in (True, False):
        arrived_ms: dict[int, float] = {}
        before = len(all_edges(host))
        for pin in pins:
            bench.set_contact(pin.name, closed)
        closed_us = bench.machine.now_us
        while bench.machine.now_us < closed_us + 100_000:
            seen = len(host.reports())
            host.pass_time(0.0002)
            for report in host.reports()[seen:]:
                for number in range(len(report.edges)):
                    at_ms = (bench.machine.now_us - closed_us) / 1000
                    arrived_ms.setdefault(report.first_edge + number, at_ms)
                if report.edges:
                    host.command(ack=report.first_edge + len(report.edges))
        # In the order in which the board saw them: a pass of its loop was under way.
        seen_first = all_edges(host)[before].contact
        order = [*range(seen_first, len(pins)), *range(seen_first)]
        assert all_edges(host)[before:] == [Edge(n, closed) for n in order]
        assert max(arrived_ms.values()) - min(arrived_ms.values()) <= 30
        assert max(arrived_ms.values()) <= 5 + 30  # debouncing
    assert not any(report.flags & ReportFlag.EDGES_LOST for report in host.reports())
    assert host.last_report().contacts == 0
    bench.close()


def test_the_same_commands_give_the_same_bytes_at_the_same_cycles() -> None:
    def transcript() -> tuple[bytes, list[float], list[str]]:
        bench = AvrBench("uno")
        host = Host(bench)
        times: list[float] = []
        bench.machine.on_byte = times.append
        host.set_up(busy_plan())
        for number in range(20):
            bench.set_contact("D4", number % 2 == 0)
            host.command(number, 0, 0, 0, number % 3, 1500)
            host.pass_time(0.0213)
        bench.close()
        return repr(host.heard).encode(), times, [repr(h) for h in bench.history.values()]

    assert transcript() == transcript()
