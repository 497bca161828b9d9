"""Debouncing in lock-step: instruction by instruction on the chips, and at slow scan rates.

G-1: J. Ganssle, "A Guide to Debouncing": sixteen switches bounced for 1.557 ms on average and for
6.2 ms at most; one that bounced for 157 ms is a bad switch.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator

import pytest

from panelbridge.link.wire import Edge, ItemFlag, ItemKind, ReportFlag, SetupCommit, SetupItem
from tests.firmware.avr_bench import AvrBench
from tests.firmware.bounces import all_edges, bounce
from tests.firmware.machines import NativeBench
from tests.simboard.host import CONTACT_FLAGS, Bench, Host, Plan, contact

HOLD = int(CONTACT_FLAGS | ItemFlag.HOLD_AFTER_EDGE)
PIN = "D4"

BENCHES: dict[str, Callable[[], Bench]] = {
    "uno": lambda: AvrBench("uno"),
    "mega2560": lambda: AvrBench("mega2560"),
    "scan every 100 us": lambda: NativeBench("uno", step_us=100),
    "scan every 1 ms": lambda: NativeBench("uno", step_us=1000),
    "scan every 2 ms": lambda: NativeBench("uno", step_us=2000),
}


@pytest.fixture(params=list(BENCHES))
def host(request: pytest.FixtureRequest) -> Iterator[Host]:
    bench = BENCHES[request.param]()
    yield Host(bench)
    bench.close()


def full_uno() -> Plan:
    """Every pin of an Uno is in use, so that a pass of its loop takes longest."""
    lamps = [SetupItem(n, ItemKind.LAMP, 2 + n, ItemFlag.PWM) for n in (1, 3, 4)]
    others = [contact(n, 2 + n) for n in (0, 5, 6, 7, 8, 9, 10)]
    analogues = [SetupItem(11 + n, ItemKind.ANALOGUE, 14 + n, 0, 4) for n in range(6)]
    items = sorted((*lamps, *others, contact(2, 4, 10), *analogues), key=lambda item: item.index)
    return Plan(tuple(items))


@pytest.mark.parametrize("burst_us", [1557, 6200])
@pytest.mark.parametrize("debounce_ms", [10, 20])
@pytest.mark.parametrize("flags", [CONTACT_FLAGS, HOLD], ids=["until quiet", "hold"])
def test_a_burst_is_one_edge_in_each_direction(
    host: Host, burst_us: int, debounce_ms: int, flags: int
) -> None:
    host.set_up(Plan((contact(0, 2), contact(1, 4, debounce_ms, flags))))
    rng = random.Random(burst_us + debounce_ms)
    for closed in (True, False, True, False):
        bounce(host.bench, PIN, closed, burst_us, rng)
        host.pass_time(0.08)
    assert all_edges(host) == [Edge(1, n % 2 == 0) for n in range(4)]
    assert not any(report.flags & ReportFlag.NOISY_CONTACT for report in host.reports())


def test_a_burst_on_a_board_with_every_pin_in_use() -> None:
    bench = AvrBench("uno")
    host = Host(bench)
    host.set_up(full_uno())
    rng = random.Random(5)
    for burst_us in (1557, 6200):
        for closed in (True, False):
            bounce(bench, PIN, closed, burst_us, rng)
            host.pass_time(0.08)
    place = [i.pin for i in full_uno().items if i.kind == ItemKind.CONTACT].index(4)
    assert all_edges(host) == [Edge(place, n % 2 == 0) for n in range(4)]
    bench.close()


@pytest.mark.parametrize("glitch_us", [40, 300, 1000, 5000, 7500])
def test_a_glitch_is_not_seen(host: Host, glitch_us: int) -> None:
    host.set_up(Plan((contact(0, 4, 10),)))
    for _ in range(3):
        bounce(host.bench, PIN, True, glitch_us, random.Random(0), toggle_us=glitch_us)
        host.bench.set_contact(PIN, False)
        host.pass_time(0.03)
    assert all_edges(host) == []


def test_a_press_that_is_longer_than_the_debounce_time_is_seen(host: Host) -> None:
    host.set_up(Plan((contact(0, 4, 10),)))
    host.bench.set_contact(PIN, True)
    host.bench.pass_time(0.0125)
    host.bench.set_contact(PIN, False)
    host.pass_time(0.05)
    assert all_edges(host) == [Edge(0, True), Edge(0, False)]


def test_report_first_reports_a_glitch_and_its_end(host: Host) -> None:
    # The price of reporting a change at once; PROTOCOL.md, HOLD_AFTER_EDGE.
    host.set_up(Plan((contact(0, 4, 10, HOLD),)))
    host.bench.set_contact(PIN, True)
    host.bench.pass_time(0.003)
    host.bench.set_contact(PIN, False)
    host.pass_time(0.05)
    assert all_edges(host) == [Edge(0, True), Edge(0, False)]


def test_a_contact_that_bounces_for_157_ms_is_noisy(host: Host) -> None:
    host.set_up(Plan((contact(0, 4, 20),)))
    bounce(host.bench, PIN, True, 157_000, random.Random(1))
    host.pass_time(0.1)
    assert all_edges(host) == [Edge(0, True)]
    assert host.last_report().flags & ReportFlag.NOISY_CONTACT
    bounce(host.bench, PIN, False, 1557, random.Random(1))  # a clean burst ends it
    host.pass_time(0.1)
    assert all_edges(host) == [Edge(0, True), Edge(0, False)]
    assert not host.last_report().flags & ReportFlag.NOISY_CONTACT


@pytest.mark.parametrize("rise_us", [3500, 5000])
@pytest.mark.parametrize("flags", [CONTACT_FLAGS, HOLD], ids=["until quiet", "hold"])
@pytest.mark.parametrize("debounce_ms", [1, 5, 20, 500])
def test_a_capacitor_at_a_pull_up_makes_no_edge(debounce_ms: int, flags: int, rise_us: int) -> None:
    """O-12: 100 nF at the internal pull-up; counted from the instant at which that is enabled."""
    bench = AvrBench("uno")
    host = Host(bench)
    plan = Plan((contact(0, 4, debounce_ms, flags), contact(1, 5, debounce_ms, flags)))
    for pin in (PIN, "D5"):
        bench.set_contact(pin, True)
    host.begin(plan)
    host.send_items(plan.items)
    host.shape = plan.shape
    host.say(SetupCommit(plan.checksum).pack())
    while bench.state(PIN).how != "pullup":
        bench.pass_time(0.0001)
    bench.pass_time((bench.state(PIN).at_us + rise_us - bench.machine.now_us) / 1e6)
    bench.set_contact(PIN, False)  # the other one is really closed
    host.until(lambda: bool(host.reports()), within_s=0.6)
    waited_ms = (bench.machine.now_us - bench.state(PIN).at_us) / 1000
    assert waited_ms < max(debounce_ms + rise_us / 1000, 11) + 4
    host.pass_time(0.7)
    assert {report.contacts for report in host.reports()} == {0b10}
    assert all_edges(host) == []
    bench.close()


@pytest.mark.parametrize("debounce_ms", [1, 5, 20, 200, 500])
def test_the_delay_of_debouncing(debounce_ms: int) -> None:
    """From the last bounce to the first byte of the report: the debounce time and little more."""
    bench = AvrBench("uno")
    host = Host(bench)
    sent: list[float] = []
    host.set_up(
        Plan((contact(0, 4, debounce_ms), contact(1, 5, debounce_ms, HOLD))), interval_ms=5000
    )
    bench.machine.on_byte = sent.append
    for pin, least_us in (("D4", 1000 * debounce_ms), ("D5", 0)):
        host.pass_time(0.05)
        host.command(ack=len(all_edges(host)))
        host.pass_time(0.05)
        sent.clear()
        at_us = bench.machine.now_us
        bench.set_contact(pin, True)
        bench.pass_time(debounce_ms / 1000 + 0.004)
        host.listen()
        assert least_us <= sent[0] - at_us <= least_us + 1000
    bench.close()
