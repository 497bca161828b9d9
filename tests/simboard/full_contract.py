"""What a board does beyond the minimum: chains of shift registers, servos and raw capture."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from panelbridge.link.wire import (
    NO_CONTACT,
    Edge,
    ItemFlag,
    ItemKind,
    MessageType,
    ReportFlag,
    SetupItem,
    SetupStatus,
)
from tests.simboard.contract import MinimalContract
from tests.simboard.host import (
    CHAINS,
    ONE_STEP_S,
    PLAN,
    Host,
    Plan,
    contact,
)


class BoardContract(MinimalContract):
    """All rules of ``firmware_examples/PROTOCOL.md``."""

    chain_pins: tuple[int, ...] = tuple(range(2, 17))
    """Numbers of fifteen digital pins."""

    # -- servos ---------------------------------------------------------------------------------

    @pytest.mark.parametrize(
        "item",
        [
            SetupItem(1, ItemKind.SERVO, 4, 0, 0, 0, 2000),
            SetupItem(1, ItemKind.SERVO, 4, 0, 0, 2000, 1999),
            SetupItem(1, ItemKind.SERVO, 4, 0, 999, 1000, 2000),
            SetupItem(1, ItemKind.SERVO, 4, 0, 2001, 1000, 2000),
            SetupItem(1, ItemKind.SERVO, 4, 0, 0, 1000, 10_001),
        ],
    )
    def test_a_servo_that_cannot_be_is_refused(self, host: Host, item: SetupItem) -> None:
        plan = Plan((contact(0, 2), contact(1, 4)))
        host.begin(plan)
        host.send_items(plan.items[:1])
        assert host.ask(item.pack()).status == SetupStatus.BAD_VALUE
        assert host.ask(plan.items[1].pack()).status == SetupStatus.OK

    # -- chains of shift registers --------------------------------------------------------------

    def test_bits_of_a_chain_are_contacts(self, host: Host) -> None:
        host.bench.set_contact("D10.7", True)
        host.pass_time(0.05)
        assert host.set_up(CHAINS).contacts == 0b110  # bit 9 is open, so its contact is operated
        for bit, edge in (("D10.0", Edge(0, True)), ("D10.9", Edge(2, False))):
            count = len(host.last_report().edges)
            host.bench.set_contact(bit, True)
            host.until(lambda count=count: len(host.last_report().edges) > count)  # type: ignore[misc]
            assert host.last_report().edges[-1] == edge
        for bit in ("D10.1", "D10.8", "D10.15", "D10.6"):  # not in the set-up
            host.bench.set_contact(bit, True)
        host.pass_time(0.05)
        assert host.last_report().contacts == 0b011
        assert len(host.last_report().edges) == 2

    def test_bits_of_a_chain_are_lamps(self, host: Host) -> None:
        host.set_up(CHAINS)
        all_bits = {f"D3.{bit}" for bit in range(16)}

        def high() -> set[str]:
            return {bit for bit in all_bits if host.bench.chip_high(bit)}

        host.until(lambda: high() == {"D3.10", "D3.15"})  # idle
        for values, expected in (
            ((200, 0, 0), {"D3.0", "D3.15"}),
            ((0, 1, 255), {"D3.10"}),
            ((0, 0, 255), set()),
        ):
            host.command(*values)
            host.until(lambda expected=expected: high() == expected)  # type: ignore[misc]

    @pytest.mark.parametrize("how", ["begin", "release"])
    def test_lamps_of_a_chain_are_dark_when_the_board_lets_go(self, host: Host, how: str) -> None:
        host.set_up(CHAINS)
        host.command(1, 1, 1)
        host.until(lambda: host.bench.chip_high("D3.0") and not host.bench.chip_high("D3.15"))
        if how == "begin":
            host.begin(PLAN)
        else:
            host.release()
        host.until(lambda: host.bench.chip_high("D3.15"))
        assert not host.bench.chip_high("D3.0")
        assert not host.bench.chip_high("D3.10")

    def test_lamps_of_a_chain_go_to_idle_when_the_host_is_silent(self, host: Host) -> None:
        host.set_up(CHAINS, timeout_ms=300)
        host.command(1, 0, 1)
        host.until(lambda: host.bench.chip_high("D3.0"))
        host.until(lambda: bool(host.last_report().flags & ReportFlag.HOST_SILENT))
        assert not host.bench.chip_high("D3.0")
        assert host.bench.chip_high("D3.10")
        assert host.bench.chip_high("D3.15")

    @pytest.mark.parametrize(
        ("item", "status"),
        [
            (SetupItem(2, ItemKind.CHAIN_IN, 4, 0, 200, 5, 1), SetupStatus.NO_SUCH_PIN),
            (SetupItem(2, ItemKind.CHAIN_IN, 4, 0, 4 + 256, 5, 1), SetupStatus.NO_SUCH_PIN),
            (SetupItem(2, ItemKind.CHAIN_IN, 4, 0, 5, 300, 1), SetupStatus.NO_SUCH_PIN),
            (SetupItem(2, ItemKind.CHAIN_IN, 4, 0, 11, 5, 1), SetupStatus.PIN_IN_USE),
            (SetupItem(2, ItemKind.CHAIN_OUT, 4, 0, 5, 13, 1), SetupStatus.PIN_IN_USE),
            (SetupItem(2, ItemKind.CHAIN_OUT, 4, 0, 5, 5, 1), SetupStatus.PIN_IN_USE),
            (SetupItem(2, ItemKind.CHAIN_OUT, 4, 0, 5, 130, 1), SetupStatus.PIN_CANNOT),
            (SetupItem(2, ItemKind.CHAIN_IN, 4, 0, 5, 7, 0), SetupStatus.BAD_VALUE),
            (SetupItem(2, ItemKind.CHAIN_IN, 4, 0, 5, 7, 17), SetupStatus.BAD_VALUE),
            (SetupItem(2, ItemKind.CHAIN_IN, 4, 1, 5, 7, 1), SetupStatus.BAD_VALUE),
            (SetupItem(2, ItemKind.CHAIN_IN, 4, 0, 5, 7, 13), SetupStatus.TOO_MANY_ITEMS),
            (contact(2, 11, flags=0), SetupStatus.PIN_IN_USE),
            (contact(2, 12, flags=0), SetupStatus.PIN_IN_USE),
            (contact(2, 127, flags=0), SetupStatus.NO_SUCH_PIN),
            (contact(2, 160, flags=0), SetupStatus.NO_SUCH_PIN),
            (contact(2, 128), SetupStatus.PIN_CANNOT),  # no pull-up there
            (contact(2, 144, flags=0), SetupStatus.PIN_CANNOT),
            (SetupItem(2, ItemKind.LAMP, 128), SetupStatus.PIN_CANNOT),
            (SetupItem(2, ItemKind.LAMP, 144, ItemFlag.PWM), SetupStatus.PIN_CANNOT),
            (SetupItem(2, ItemKind.ANALOGUE, 128), SetupStatus.PIN_CANNOT),
            (SetupItem(2, ItemKind.TONE, 144, 0, 700, 1, 1), SetupStatus.PIN_CANNOT),
            (SetupItem(2, ItemKind.SERVO, 144, 0, 0, 1, 2), SetupStatus.PIN_CANNOT),
            (SetupItem(2, ItemKind.LAMP, 144, 0, 256), SetupStatus.BAD_VALUE),
        ],
    )
    def test_what_a_chain_cannot_is_refused(
        self, host: Host, item: SetupItem, status: SetupStatus
    ) -> None:
        plan = Plan((*CHAINS.items[:2], item, *CHAINS.items[2:]))
        host.begin(plan)
        host.send_items(plan.items[:2])
        reply = host.ask(item.pack())
        assert (reply.index, reply.status) == (2, status)
        assert host.ask(CHAINS.items[2].pack()).status == SetupStatus.OK
        twice = host.ask(contact(3, 128, flags=ItemFlag.ACTIVE_LOW).pack())
        assert twice.status == SetupStatus.PIN_IN_USE

    def test_a_bit_before_its_chain_is_refused(self, host: Host) -> None:
        host.begin(CHAINS)
        assert host.ask(contact(0, 128, flags=0).pack()).status == SetupStatus.NO_SUCH_PIN

    def test_four_chains_are_the_most(self, host: Host) -> None:
        pins = self.chain_pins
        chains = [
            SetupItem(n, ItemKind.CHAIN_IN, pins[3 * n], 0, pins[3 * n + 1], pins[3 * n + 2], 3)
            for n in range(5)
        ]
        host.begin(Plan(tuple(chains)))
        statuses = [reply.status for reply in host.send_items(chains)]
        assert statuses == [SetupStatus.OK] * 4 + [SetupStatus.TOO_MANY_ITEMS]
        chains = [replace(chain, p3=4) for chain in chains[:3]]
        chains += [replace(chains[0], index=3, pin=pins[9], p1=pins[10], p2=pins[11], p3=5)]
        host.begin(Plan(tuple(chains)))
        statuses = [reply.status for reply in host.send_items(chains)]
        assert statuses == [SetupStatus.OK] * 3 + [SetupStatus.TOO_MANY_ITEMS]  # 17 chips

    # -- raw capture ----------------------------------------------------------------------------

    def test_a_capture_tells_each_raw_change(self, host: Host) -> None:
        host.set_up(Plan((contact(0, 2), contact(1, 4, 500))))
        host.capture(1, 300)
        host.until(lambda: len(host.captured()) == 1)
        begins = host.captured()[0]
        assert (begins.session, begins.contact, begins.changes) == (host.session, 1, 0)
        host.pass_time(0.4)  # it waits for the first change, as long as it takes
        assert len(host.captured()) == 1
        for pin, closed in (("D4", True), ("D2", True), ("D4", False), ("D4", True)):
            host.bench.set_contact(pin, closed)
            host.pass_time(4 * ONE_STEP_S)
        host.until(lambda: len(host.captured()) == 2)
        seen = host.captured()[1]
        assert (seen.session, seen.contact, seen.first_closed) == (host.session, 1, True)
        assert (seen.changes, seen.times_us[0]) == (3, 0)
        step_us = 4e6 * ONE_STEP_S - seen.resolution_us - 100
        assert seen.times_us[1] >= 2 * step_us
        assert seen.times_us[2] - seen.times_us[1] >= step_us
        assert seen.times_us[2] <= 300_000
        host.bench.set_contact("D4", False)
        host.pass_time(0.5)
        assert len(host.captured()) == 2  # one CAPTURE, one answer

    def test_a_capture_counts_more_changes_than_it_can_tell(self, host: Host) -> None:
        host.set_up()
        host.bench.set_contact("D2", True)
        host.capture(0, 1000)
        host.until(lambda: len(host.captured()) == 1)
        for number in range(35):
            host.bench.set_contact("D2", number % 2 == 1)
            host.pass_time(ONE_STEP_S)
        host.until(lambda: len(host.captured()) == 2)
        seen = host.captured()[1]
        assert not seen.first_closed
        assert (seen.changes, len(seen.times_us)) == (35, 32)

    def test_a_capture_that_is_replaced_tells_nothing(self, host: Host) -> None:
        host.set_up()
        host.capture(0, 200)
        host.until(lambda: len(host.captured()) == 1)
        host.bench.set_contact("D2", True)
        host.pass_time(0.05)
        host.capture(1, 100)
        host.until(lambda: len(host.captured()) == 2)
        host.pass_time(0.4)
        assert [message.changes for message in host.captured()] == [0, 0]
        host.bench.set_contact("D4", True)
        host.until(lambda: len(host.captured()) == 3)
        assert host.captured()[2].contact == 1

    def test_a_capture_can_be_ended_and_begun_anew(self, host: Host) -> None:
        host.set_up()
        host.capture(0, 50)
        host.until(lambda: len(host.captured()) == 1)
        host.capture(NO_CONTACT, 50)
        host.until(lambda: len(host.captured()) == 2)
        assert (host.captured()[1].contact, host.captured()[1].changes) == (NO_CONTACT, 0)
        host.bench.set_contact("D2", True)
        host.pass_time(0.2)
        assert len(host.captured()) == 2
        host.capture(0, 50)
        host.capture(1, 50)
        host.until(lambda: len(host.captured()) == 4)
        host.bench.set_contact("D2", False)
        host.bench.set_contact("D4", True)
        host.until(lambda: len(host.captured()) == 5)
        assert host.captured()[4].contact == 1

    def test_captures_that_make_no_sense_are_counted_and_ignored(self, host: Host) -> None:
        host.set_up()
        host.capture(2, 50)  # there are two contacts
        host.capture(0, 0)
        host.capture(0, 1001)
        host.say(bytes((MessageType.CAPTURE, host.session, 0, 50)))  # too short
        host.until(lambda: host.last_report().bad_frames == 4)
        host.capture(0, 50, session=host.session + 1)
        host.pass_time(0.1)
        assert host.last_report().bad_frames == 4
        assert host.captured() == []

    def test_a_capture_does_not_keep_the_outputs_alive(self, host: Host) -> None:
        host.set_up(timeout_ms=300)
        host.command(200, 0, 0)
        host.until(lambda: host.bench.lamp("D5") == 200)
        for _ in range(6):
            host.capture(0, 50)
            host.pass_time(0.1)
        assert host.bench.lamp("D5") == 10
