"""Every pin of every board can do what ``config/boards.py`` says, and nothing else."""

from __future__ import annotations

import pytest

from panelbridge.config.boards import BOARDS, Pin
from panelbridge.link.wire import Edge, ItemFlag, ItemKind, SetupBegin, SetupItem, SetupStatus
from tests.firmware.avr_bench import avr, avr_host
from tests.firmware.build import TARGETS
from tests.simboard.host import Host, Plan, contact

HIGHEST = 76
"""More than the highest pin of the largest board."""
USES = {
    "contact": SetupItem(0, ItemKind.CONTACT, 0, 0, 20),
    "contact with pull-up": SetupItem(0, ItemKind.CONTACT, 0, int(ItemFlag.PULL_UP), 20),
    "lamp": SetupItem(0, ItemKind.LAMP, 0),
    "dimmed lamp": SetupItem(0, ItemKind.LAMP, 0, ItemFlag.PWM),
    "analogue": SetupItem(0, ItemKind.ANALOGUE, 0, 0, 4),
    "horn": SetupItem(0, ItemKind.TONE, 0, 0, 700, 250, 250),
    "gauge": SetupItem(0, ItemKind.SERVO, 0, 0, 1500, 1000, 2000),
}


host = pytest.fixture(params=list(TARGETS), name="host")(avr_host)


def pins(host: Host) -> list[Pin]:
    """The pins that the builder may use."""
    return [pin for pin in BOARDS[avr(host).kind].pins.values() if not pin.reserved]


def expected(pin: Pin | None, use: str) -> SetupStatus:
    if pin is None or pin.reserved:
        return SetupStatus.NO_SUCH_PIN
    able = {"analogue": pin.analogue, "dimmed lamp": pin.digital and pin.pwm}
    return SetupStatus.OK if able.get(use, pin.digital) else SetupStatus.PIN_CANNOT


def test_each_pin_is_accepted_for_what_it_can_do_and_refused_for_the_rest(host: Host) -> None:
    by_number = {pin.number: pin for pin in BOARDS[avr(host).kind].pins.values()}
    begin = SetupBegin(1, 1, 0, 500, 100).pack()
    for number in range(HIGHEST):
        host.ask(begin)
        for use, item in USES.items():
            wanted = expected(by_number.get(number), use)
            found = host.ask(
                SetupItem(0, item.kind, number, item.flags, item.p1, item.p2, item.p3).pack()
            )
            assert found.status == wanted, f"{avr(host).kind} pin {number} as {use}"
            if found.status == SetupStatus.OK:
                host.ask(begin)


def test_each_digital_pin_is_a_contact(host: Host) -> None:
    digital = [pin for pin in pins(host) if pin.digital]
    for start in range(0, len(digital), avr(host).most_items()):
        group = digital[start : start + avr(host).most_items()]
        host.set_up(Plan(tuple(contact(n, pin.number, 2) for n, pin in enumerate(group))))
        for place, pin in enumerate(group):
            host.bench.set_contact(pin.name, True)
            host.until(lambda: bool(host.last_report().edges), within_s=0.1)
            assert host.last_report().edges == (Edge(place, True),), pin.name
            assert host.last_report().contacts == 1 << place
            host.bench.set_contact(pin.name, False)
            host.until(lambda: len(host.last_report().edges) == 2, within_s=0.1)
            host.command(ack=2 * place + 2)
            host.until(lambda: not host.last_report().edges, within_s=0.1)


def test_each_digital_pin_is_a_lamp(host: Host) -> None:
    digital = [pin for pin in pins(host) if pin.digital]
    host.set_up(
        Plan(tuple(SetupItem(n, ItemKind.LAMP, pin.number) for n, pin in enumerate(digital)))
    )
    # Each lamp shows its number in binary, one bit after the other.
    for bit in range(len(digital).bit_length()):
        host.command(*(n >> bit & 1 for n in range(len(digital))))
        host.pass_time(0.008)
        high = {pin.name for pin in digital if avr(host).state(pin.name).level}
        assert high == {pin.name for n, pin in enumerate(digital) if n >> bit & 1}


def test_each_analogue_pin_reads_its_own_voltage(host: Host) -> None:
    # The simulator has the first eight of a Mega's sixteen.
    analogue = [pin for pin in pins(host) if pin.analogue][:8]
    items = tuple(
        SetupItem(n, ItemKind.ANALOGUE, pin.number, 0, 4) for n, pin in enumerate(analogue)
    )
    for at, pin in enumerate(analogue):
        avr(host).set_analogue(pin.name, 50 + 40 * at)
    assert host.set_up(Plan(items)).analogues == tuple(50 + 40 * n for n in range(len(analogue)))
    for at, pin in enumerate(analogue):
        avr(host).set_analogue(pin.name, 1000 - 30 * at)
    host.pass_time(0.06)
    values = tuple(1000 - 30 * n for n in range(len(analogue)))
    assert host.last_report().analogues == values


def test_changes_within_the_noise_gate_are_ignored(host: Host) -> None:
    name = "A0"
    number = BOARDS[avr(host).kind].pins[name].number
    avr(host).set_analogue(name, 500)
    host.set_up(Plan((SetupItem(0, ItemKind.ANALOGUE, number, 0, 4),)), interval_ms=5000)
    host.pass_time(0.1)
    before = len(host.reports())
    for counts in (504, 496, 503, 500, 497):
        avr(host).set_analogue(name, counts)
        host.pass_time(0.05)
    assert len(host.reports()) == before
    avr(host).set_analogue(name, 505)
    host.pass_time(0.05)
    assert len(host.reports()) == before + 1
    assert host.last_report().analogues == (505,)
    for counts in range(510, 1000, 10):  # changes all the time: a report every 20 ms at most
        avr(host).set_analogue(name, counts)
        host.pass_time(0.01)
    assert 20 <= len(host.reports()) - before - 1 <= 26


def test_the_number_of_items_that_hello_reports_and_not_one_more(host: Host) -> None:
    most = avr(host).most_items()
    assert host.greet().max_items == most
    reply = host.ask(SetupBegin(1, most + 1, 0, 500, 100).pack())
    assert (reply.status, reply.session) == (SetupStatus.TOO_MANY_ITEMS, 0)
    chain = SetupItem(0, ItemKind.CHAIN_IN, 10, 0, 11, 12, 16)
    items = (chain, *(contact(n, 127 + n, 5, flags=0) for n in range(1, most)))
    report = host.set_up(Plan(items))
    host.pass_time(0.2)
    assert report.contacts == host.last_report().contacts
    assert host.last_report().bad_frames == 0
