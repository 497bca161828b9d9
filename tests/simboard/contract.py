"""What every board must do, whatever it is made of: subclass and give ``make_bench``.

What a board may leave out (chains, servos, raw capture) is in ``full_contract``. Runs on the
simulated board behind its URL and on a pty, and on compiled firmware. Times are given room above,
never below, for benches that live in real time.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterator
from itertools import pairwise

import pytest

from panelbridge.link.wire import (
    Edge,
    ItemFlag,
    ItemKind,
    MessageType,
    ReportFlag,
    SetupBegin,
    SetupCommit,
    SetupItem,
    SetupStatus,
)
from panelbridge.link.wire.frames import encode_frame
from tests.simboard.host import (
    CONTACT_FLAGS,
    ONE_STEP_S,
    PLAN,
    Bench,
    Host,
    Plan,
    contact,
)

DARK = (0, 0, 0)


class MinimalContract(ABC):
    """The dialogue rules of ``firmware_examples/PROTOCOL.md``, one by one."""

    board_code: int
    pin_kept = 0
    """Number of a pin that the board keeps for itself, or does not have."""

    @abstractmethod
    def make_bench(self) -> Bench:
        """A board that has just been switched on."""

    @pytest.fixture
    def bench(self) -> Iterator[Bench]:
        bench = self.make_bench()
        yield bench
        bench.close()

    @pytest.fixture
    def host(self, bench: Bench) -> Host:
        return Host(bench)

    # -- hello ----------------------------------------------------------------------------------

    def test_says_hello_again_and_again_until_it_is_set_up(self, host: Host) -> None:
        host.until(lambda: len(host.hellos()) >= 2)
        host.until(lambda: len(host.hellos()) >= 3, within_s=0.7)
        hello = host.hellos()[-1]
        assert hello.protocol == 1
        assert hello.board_code == self.board_code
        assert hello.setup_checksum == 0
        assert {h.boot_id for h in host.hellos()} == {hello.boot_id}
        host.set_up()
        before = len(host.hellos())
        host.pass_time(1.2)
        assert len(host.hellos()) == before

    def test_a_request_does_not_shift_the_next_hello(self, host: Host) -> None:
        host.until(lambda: len(host.hellos()) >= 2)
        due_s = host.bench.now_s() + 0.5
        host.pass_time(0.3)
        host.greet()
        count = len(host.hellos())
        host.until(lambda: len(host.hellos()) > count)
        assert host.bench.now_s() < due_s + 0.1

    def test_a_release_without_a_set_up_is_answered_by_hello(self, host: Host) -> None:
        host.greet()
        count = len(host.hellos())
        host.release()
        host.until(lambda: len(host.hellos()) > count, within_s=0.2)

    def test_the_period_of_hello_begins_with_a_release(self, host: Host) -> None:
        host.until(lambda: len(host.hellos()) >= 2)
        host.pass_time(0.3)
        host.release()
        count = len(host.hellos())
        host.pass_time(0.4)
        assert len(host.hellos()) == count + 1  # the answer
        host.until(lambda: len(host.hellos()) == count + 2, within_s=0.2)

    def test_a_set_up_may_be_empty(self, host: Host) -> None:
        report = host.set_up(Plan(()))
        assert (report.contacts, report.analogues, report.edges) == (0, (), ())
        assert host.greet().setup_checksum == 0xFFFF
        sequence = host.command()
        host.until(lambda: host.last_report().command_sequence == sequence)

    def test_says_nothing_unasked_during_the_set_up(self, host: Host) -> None:
        host.begin(PLAN)
        before = len(host.hellos())
        host.pass_time(0.8)
        assert len(host.hellos()) == before
        assert host.greet().setup_checksum == 0

    def test_hello_request_in_a_session_changes_nothing(self, host: Host) -> None:
        host.set_up()
        host.command(77, 0, 0)
        hello = host.greet()
        assert hello.setup_checksum == PLAN.checksum
        assert host.bench.lamp("D5") == 77

    def test_reset_gives_another_boot_id_and_a_dark_panel(self, host: Host) -> None:
        first = host.greet()
        host.set_up()
        host.command(200, 1, 0)
        host.until(lambda: host.bench.lamp("D5") == 200)
        before = len(host.hellos())
        host.bench.reset()
        host.until(lambda: len(host.hellos()) > before)
        assert host.hellos()[-1].boot_id != first.boot_id
        assert host.hellos()[-1].setup_checksum == 0
        assert host.bench.lamp("D5") == 0

    # -- set-up ---------------------------------------------------------------------------------

    def test_answers_each_step_with_the_running_checksum(self, host: Host) -> None:
        reply = host.begin(PLAN)
        assert (reply.session, reply.answers) == (host.session, MessageType.SETUP_BEGIN)
        assert (reply.status, reply.checksum) == (SetupStatus.OK, 0xFFFF)
        for count, item in enumerate(PLAN.items, 1):
            reply = host.ask(item.pack())
            assert (reply.answers, reply.index) == (MessageType.SETUP_ITEM, item.index)
            assert reply.status == SetupStatus.OK
            assert reply.checksum == Plan(PLAN.items[:count]).checksum
        host.shape = PLAN.shape
        reply = host.ask(SetupCommit(PLAN.checksum).pack())
        assert (reply.answers, reply.status) == (MessageType.SETUP_COMMIT, SetupStatus.OK)
        assert reply.session == host.session

    def test_first_report_has_the_present_state_and_no_edge(self, host: Host) -> None:
        host.bench.set_contact("D4", True)
        host.pass_time(0.05)
        report = host.set_up()
        assert (report.session, report.sequence) == (host.session, 0)
        assert (report.command_sequence, report.first_edge) == (0, 0)
        assert (report.contacts, report.edges) == (0b10, ())

    def test_outputs_idle_from_the_commit_on(self, host: Host) -> None:
        host.set_up()
        assert host.bench.lamp("D5") == 10
        assert host.bench.lamp("D7") == 0
        assert not host.bench.sounding("D8")

    def test_a_repeated_item_is_fine_and_another_one_in_its_place_is_not(self, host: Host) -> None:
        host.begin(PLAN)
        host.send_items(PLAN.items[:2])
        again = host.ask(PLAN.items[1].pack())
        assert (again.status, again.checksum) == (SetupStatus.OK, Plan(PLAN.items[:2]).checksum)
        other = host.ask(contact(1, 6).pack())
        assert (other.status, other.checksum) == (SetupStatus.BAD_ORDER, again.checksum)
        assert host.ask(PLAN.items[3].pack()).status == SetupStatus.BAD_ORDER
        assert host.ask(PLAN.items[2].pack()).status == SetupStatus.OK

    def test_a_commit_that_does_not_fit_changes_nothing(self, host: Host) -> None:
        host.begin(PLAN)
        host.send_items(PLAN.items[:-1])
        early = host.ask(SetupCommit(PLAN.checksum).pack())
        assert early.status == SetupStatus.BAD_ORDER
        host.send_items(PLAN.items[-1:])
        wrong = host.ask(SetupCommit(PLAN.checksum ^ 1).pack())
        assert wrong.status == SetupStatus.BAD_CHECKSUM
        host.pass_time(0.3)
        assert host.reports() == []
        assert host.greet().setup_checksum == 0
        assert host.bench.lamp("D5") == 0
        host.shape = PLAN.shape
        assert host.ask(SetupCommit(PLAN.checksum).pack()).status == SetupStatus.OK

    def test_items_that_are_not_those_announced_are_not_put_in_force(self, host: Host) -> None:
        host.begin(Plan((contact(0, 2), contact(1, 6))))
        host.send_items((contact(0, 2), contact(1, 4)))
        reply = host.ask(SetupCommit(Plan((contact(0, 2), contact(1, 6))).checksum).pack())
        assert reply.status == SetupStatus.BAD_CHECKSUM
        reply = host.ask(SetupCommit(Plan((contact(0, 2), contact(1, 4))).checksum).pack())
        assert reply.status == SetupStatus.BAD_CHECKSUM
        host.pass_time(0.3)
        assert host.reports() == []

    def test_a_repeated_commit_is_fine_and_starts_nothing_anew(self, host: Host) -> None:
        host.set_up()
        host.bench.set_contact("D2", True)
        host.until(lambda: len(host.last_report().edges) == 1)
        host.command(90, 0, 0, ack=1)
        host.until(lambda: host.last_report().first_edge == 1)
        assert host.ask(SetupCommit(PLAN.checksum).pack()).status == SetupStatus.OK
        assert host.ask(SetupCommit(PLAN.checksum ^ 1).pack()).status == SetupStatus.BAD_CHECKSUM
        host.pass_time(0.25)
        assert host.last_report().first_edge == 1
        assert host.bench.lamp("D5") == 90

    @pytest.mark.parametrize(
        "begin",
        [
            SetupBegin(0, 1, 0, 500, 100),
            SetupBegin(7, 1, 0, 0, 100),
            SetupBegin(7, 1, 0, 500, 0),
        ],
    )
    def test_a_beginning_that_cannot_be_begins_nothing(self, host: Host, begin: SetupBegin) -> None:
        assert host.ask(begin.pack()).status == SetupStatus.BAD_VALUE
        assert host.ask(PLAN.items[0].pack()).status == SetupStatus.BAD_ORDER

    def test_a_refused_beginning_deletes_the_set_up(self, host: Host) -> None:
        host.set_up()
        host.command(200, 1, 0)
        host.until(lambda: host.bench.lamp("D5") == 200)
        refused = host.ask(SetupBegin(7, 255, 0, 500, 100).pack())
        assert (refused.status, refused.session) == (SetupStatus.TOO_MANY_ITEMS, 0)
        assert refused.checksum == 0xFFFF
        assert host.bench.lamp("D5") == 0
        assert host.greet().setup_checksum == 0
        count = len(host.hellos())
        host.until(lambda: len(host.hellos()) > count, within_s=0.7)  # it waits for a host again

    def test_no_more_items_are_taken_than_were_announced(self, host: Host) -> None:
        host.begin(Plan(PLAN.items[:1]))
        host.send_items(PLAN.items[:1])
        assert host.ask(PLAN.items[1].pack()).status == SetupStatus.BAD_ORDER

    def test_an_active_set_up_takes_the_last_item_again_and_no_other(self, host: Host) -> None:
        host.set_up()
        host.command(90, 0, 0)
        assert host.ask(PLAN.items[-1].pack()).status == SetupStatus.OK
        assert host.ask(PLAN.items[0].pack()).status == SetupStatus.BAD_ORDER
        assert host.ask(contact(len(PLAN.items), 6).pack()).status == SetupStatus.BAD_ORDER
        assert host.bench.lamp("D5") == 90

    def test_items_and_commit_without_a_beginning_are_refused(self, host: Host) -> None:
        reply = host.ask(PLAN.items[0].pack())
        assert (reply.session, reply.status) == (0, SetupStatus.BAD_ORDER)
        assert host.ask(SetupCommit(PLAN.checksum).pack()).status == SetupStatus.BAD_ORDER

    def test_a_new_beginning_forgets_the_old_set_up(self, host: Host) -> None:
        host.set_up()
        host.command(200, 1, 2)
        host.until(lambda: host.bench.lamp("D5") == 200)
        host.begin(PLAN)
        assert host.bench.lamp("D5") == 0
        assert host.bench.lamp("D7") == 0
        assert not host.bench.sounding("D8")
        assert host.greet().setup_checksum == 0
        before = len(host.reports())
        host.pass_time(0.3)
        assert len(host.reports()) == before
        host.send_items(PLAN.items)
        assert host.ask(SetupCommit(PLAN.checksum).pack()).status == SetupStatus.OK

    @pytest.mark.parametrize(
        ("item", "status"),
        [
            (SetupItem(1, 0x7F, 4), SetupStatus.UNKNOWN_KIND),
            (contact(1, 200), SetupStatus.NO_SUCH_PIN),
            (contact(1, 2), SetupStatus.PIN_IN_USE),
            (SetupItem(1, ItemKind.ANALOGUE, 4), SetupStatus.PIN_CANNOT),
            (contact(1, 4, debounce_ms=0), SetupStatus.BAD_VALUE),
            (contact(1, 4, debounce_ms=501), SetupStatus.BAD_VALUE),
            (SetupItem(1, ItemKind.LAMP, 5, ItemFlag.PWM, 256), SetupStatus.BAD_VALUE),
            (contact(1, 4, flags=CONTACT_FLAGS | 0x80), SetupStatus.BAD_VALUE),
            (SetupItem(1, ItemKind.TONE, 4, 0, 30, 1, 1), SetupStatus.BAD_VALUE),
            (SetupItem(1, ItemKind.TONE, 4, 0, 10_001, 1, 1), SetupStatus.BAD_VALUE),
            (SetupItem(1, ItemKind.TONE, 4, 0, 700, 0, 1), SetupStatus.BAD_VALUE),
            (SetupItem(1, ItemKind.TONE, 4, 0, 700, 1, 0), SetupStatus.BAD_VALUE),
        ],
    )
    def test_an_item_that_cannot_be_is_refused_and_the_next_try_taken(
        self, host: Host, item: SetupItem, status: SetupStatus
    ) -> None:
        plan = Plan((contact(0, 2), contact(1, 4)))
        host.begin(plan)
        host.send_items(plan.items[:1])
        reply = host.ask(item.pack())
        assert (reply.index, reply.status) == (1, status)
        assert reply.checksum == Plan(plan.items[:1]).checksum
        assert host.ask(plan.items[1].pack()).status == SetupStatus.OK

    def test_a_pin_that_the_board_keeps_for_itself_is_refused(self, host: Host) -> None:
        host.begin(Plan((contact(0, self.pin_kept),)))
        assert host.ask(contact(0, self.pin_kept).pack()).status == SetupStatus.NO_SUCH_PIN

    # -- settling -------------------------------------------------------------------------------

    @pytest.mark.parametrize("debounce_ms", [1, 5, 20])
    @pytest.mark.parametrize("more", [ItemFlag.NONE, ItemFlag.HOLD_AFTER_EDGE])
    def test_a_pull_up_that_takes_time_makes_no_edge(
        self, host: Host, debounce_ms: int, more: ItemFlag
    ) -> None:
        """O-12: 100 nF at a pull-up of 50 kOhm take 0.916 RC = 4.6 ms to 0.6 of the supply."""
        host.bench.set_contact("D2", True)  # as a discharged capacitor
        host.bench.set_contact("D4", True)  # and one that stays closed
        flags = int(CONTACT_FLAGS | more)
        plan = Plan((contact(0, 2, debounce_ms, flags), contact(1, 4, debounce_ms, flags)))
        self._commit(host, plan)
        host.pass_time(0.0046 - ONE_STEP_S)
        assert host.reports() == []
        host.bench.set_contact("D2", False)
        host.until(lambda: bool(host.reports()), within_s=0.05)
        host.pass_time(0.2)
        assert [r.edges for r in host.reports()] == [()] * len(host.reports())
        assert {(r.contacts, r.flags) for r in host.reports()} == {(0b10, ReportFlag.NONE)}
        assert host.reports()[0].sequence == 0
        host.bench.set_contact("D2", True)
        host.until(lambda: host.last_report().edges == (Edge(0, True),), within_s=0.05)

    def test_a_chattering_contact_does_not_hold_up_the_first_report(self, host: Host) -> None:
        self._commit(host, PLAN)
        committed_s = host.bench.now_s()
        closed = False
        while not host.reports():
            assert host.bench.now_s() - committed_s < 0.65
            closed = not closed
            host.bench.set_contact("D2", closed)
            host.pass_time(ONE_STEP_S)
        assert host.bench.now_s() - committed_s > 0.59
        report = host.reports()[0]
        assert (report.first_edge, report.edges) == (0, ())
        assert report.flags & ReportFlag.NOISY_CONTACT
        host.bench.set_contact("D2", True)
        host.pass_time(0.1)
        assert len(host.last_report().edges) == (not report.contacts)
        assert host.last_report().contacts == 0b01

    def test_commands_are_obeyed_before_the_first_report(self, host: Host) -> None:
        plan = Plan((contact(0, 2, 100), *PLAN.items[1:]))
        self._commit(host, plan)
        sequence = host.command(200, 1, 0)
        host.until(lambda: host.bench.lamp("D5") == 200, within_s=0.02)
        host.pass_time(0.04)
        assert host.reports() == []
        host.until(lambda: bool(host.reports()), within_s=0.1)
        assert host.reports()[0].command_sequence == sequence

    def test_without_contacts_the_first_report_comes_at_once(self, host: Host) -> None:
        self._commit(host, Plan((SetupItem(0, ItemKind.LAMP, 7),)))
        host.until(lambda: bool(host.reports()), within_s=2 * ONE_STEP_S)

    def _commit(self, host: Host, plan: Plan) -> None:
        """Set up, until the answer to the commit."""
        host.begin(plan)
        host.send_items(plan.items)
        host.shape, host.sequence = plan.shape, 0
        assert host.ask(SetupCommit(plan.checksum).pack()).status == SetupStatus.OK

    # -- commands -------------------------------------------------------------------------------

    def test_command_drives_the_outputs_and_a_report_names_it(self, host: Host) -> None:
        host.set_up()
        host.pass_time(0.03)
        sequence = host.command(123, 1, 2)
        host.until(lambda: host.last_report().command_sequence == sequence)
        assert host.bench.lamp("D5") == 123
        assert host.bench.lamp("D7") == 255  # a pin without pulse width: any brightness is full on
        assert host.bench.sounding("D8")
        host.command(*DARK)
        host.until(lambda: host.bench.lamp("D5") == 0)
        assert not host.bench.sounding("D8")

    def test_commands_of_another_session_or_an_older_one_change_nothing(self, host: Host) -> None:
        host.set_up()
        host.sequence = 100
        taken = host.command(50, 0, 0)
        host.command(99, 0, 0, session=host.session + 1)
        host.sequence = 20
        host.command(98, 0, 0)
        host.pass_time(0.25)
        assert host.last_report().command_sequence == taken
        assert host.bench.lamp("D5") == 50
        assert host.last_report().bad_frames == 0

    def test_messages_that_make_no_sense_are_counted_and_ignored(self, host: Host) -> None:
        host.set_up()
        host.command(50, 0, 0)
        good = host.sequence
        head = bytes((MessageType.COMMAND, host.session, 9, 0, 0, 0))
        host.say(head + bytes((99, 0)))  # too short
        host.say(head + bytes((99, 0, 0, 0)))  # too long
        host.say(head + bytes((99, 0, 3)))  # no such tone
        host.say(bytes((MessageType.COMMAND, host.session, good, 0, 0, 0, 99, 0, 3)))  # an old one
        host.say(bytes((0x7E, 1, 2)))  # no such type
        host.say(bytes((MessageType.REPORT, host.session)))  # a type of boards
        host.until(lambda: host.last_report().bad_frames == 6)
        assert host.last_report().command_sequence == good
        assert host.bench.lamp("D5") == 50

    def test_a_command_of_no_session_is_no_bad_frame_unless_it_is_too_short(
        self, host: Host
    ) -> None:
        long = bytes((MessageType.COMMAND, 77, 9, 0, 0, 0, 1, 2, 3, 4))
        host.say(long)
        host.say(long[:5])
        host.set_up()
        host.say(long)  # of another session: not compared with this one's length
        host.pass_time(0.25)
        assert host.last_report().bad_frames == 1

    def test_a_damaged_frame_is_counted_and_the_next_one_taken(self, host: Host) -> None:
        host.set_up()
        frame = bytearray(encode_frame(PLAN.items[0].pack()))
        frame[3] ^= 0x10
        host.bench.write(bytes(frame))
        host.bench.write(b"\0\0\0")  # no frames at all
        sequence = host.command(60, 0, 0)
        host.until(lambda: host.last_report().command_sequence == sequence)
        host.until(lambda: host.last_report().bad_frames == 1)

    def test_commands_are_not_answered_all_too_often(self, host: Host) -> None:
        host.set_up(interval_ms=1000)
        begun_s, before = host.bench.now_s(), len(host.reports())
        for _ in range(40):
            host.command(*DARK)
            host.pass_time(ONE_STEP_S)
        passed_s = host.bench.now_s() - begun_s
        assert 1 <= len(host.reports()) - before <= passed_s / 0.020 + 1

    def test_bad_frames_are_counted_modulo_256(self, host: Host) -> None:
        host.set_up()
        for _ in range(6):
            host.bench.write(b"\x02\x01\0" * 43)
            host.pass_time(0.05)
        host.pass_time(0.2)
        assert host.last_report().bad_frames == 2

    def test_frames_that_are_too_short_or_too_long_are_counted_once(self, host: Host) -> None:
        host.set_up()
        host.bench.write(encode_frame(b""))  # its CRC is right, and there is no message
        host.bench.write(b"\x05" * 122 + b"\0" + b"\x05" * 400 + b"\0")
        host.until(lambda: host.last_report().bad_frames == 3)
        sequence = host.command(61, 0, 0)
        host.until(lambda: host.last_report().command_sequence == sequence)
        assert host.last_report().bad_frames == 3

    def test_bytes_one_by_one_make_the_same_frame(self, host: Host) -> None:
        for byte in b"\x05garbage\0" + encode_frame(PLAN.items[0].pack()):
            host.bench.write(bytes((byte,)))
            host.bench.pass_time(ONE_STEP_S)
        host.until(lambda: len(host.replies()) == 1)

    def test_a_pattern_begins_with_its_sound_and_is_not_begun_again(self, host: Host) -> None:
        host.set_up(Plan((SetupItem(0, ItemKind.TONE, 8, 0, 700, 300, 2000),)))
        host.command(1)
        host.until(lambda: host.bench.sounding("D8"), within_s=0.05)
        for _ in range(8):
            host.pass_time(0.1)
            host.command(1)
        assert not host.bench.sounding("D8")

    def test_the_board_plays_the_horns_pattern(self, host: Host) -> None:
        host.set_up()
        host.command(0, 0, 1)
        host.until(lambda: host.bench.sounding("D8"))
        heard = []
        for _ in range(240):
            host.bench.pass_time(0.005)
            heard.append(host.bench.sounding("D8"))
        changes = sum(a != b for a, b in pairwise(heard))
        assert 6 <= changes <= 9  # 200 ms on, 100 ms off, for 1.2 s
        assert 0.55 < sum(heard) / len(heard) < 0.8

    # -- edges ----------------------------------------------------------------------------------

    def test_an_edge_is_reported_until_it_is_acknowledged(self, host: Host) -> None:
        host.set_up(interval_ms=1000)
        host.bench.set_contact("D4", True)
        host.until(lambda: len([r for r in host.reports() if r.edges]) >= 3, within_s=0.5)
        report = host.last_report()
        assert report.edges == (Edge(1, True),)
        assert (report.first_edge, report.contacts) == (0, 0b10)
        host.command(*DARK, ack=7)  # makes no sense: ignored
        host.pass_time(0.1)
        assert host.last_report().edges == (Edge(1, True),)
        host.command(*DARK, ack=1)
        host.until(lambda: not host.last_report().edges)
        assert host.last_report().first_edge == 1
        count = len(host.reports())
        host.pass_time(0.2)
        assert len(host.reports()) == count
        host.bench.set_contact("D4", False)
        host.until(lambda: bool(host.last_report().edges))
        assert host.last_report().edges == (Edge(1, False),)
        assert (host.last_report().first_edge, host.last_report().contacts) == (1, 0)

    def test_a_contact_that_bounces_makes_one_edge(self, host: Host) -> None:
        host.set_up(Plan((contact(0, 2, debounce_ms=40),)))
        for _ in range(4):
            host.bench.set_contact("D2", True)
            host.pass_time(ONE_STEP_S)
            host.bench.set_contact("D2", False)
            host.pass_time(ONE_STEP_S)
        host.bench.set_contact("D2", True)
        host.pass_time(0.15)
        assert host.last_report().edges == (Edge(0, True),)

    def test_an_edge_is_reported_first_and_then_held(self, host: Host) -> None:
        flags = int(CONTACT_FLAGS | ItemFlag.HOLD_AFTER_EDGE)
        host.set_up(Plan((contact(0, 2, 400, flags), contact(1, 4, 400))))
        host.bench.set_contact("D2", True)
        host.bench.set_contact("D4", True)
        host.until(lambda: bool(host.last_report().edges), within_s=0.3)
        host.bench.set_contact("D2", False)
        host.pass_time(0.1)
        assert host.last_report().edges == (Edge(0, True),)
        host.until(lambda: len(host.last_report().edges) == 3, within_s=1.0)
        assert set(host.last_report().edges[1:]) == {Edge(0, False), Edge(1, True)}

    def test_what_was_held_back_is_held_in_its_turn(self, host: Host) -> None:
        flags = int(CONTACT_FLAGS | ItemFlag.HOLD_AFTER_EDGE)
        host.set_up(Plan((contact(0, 2, 300, flags),)))
        host.bench.set_contact("D2", True)
        host.until(lambda: len(host.last_report().edges) == 1)
        host.bench.set_contact("D2", False)
        host.until(lambda: len(host.last_report().edges) == 2)
        host.bench.set_contact("D2", True)
        host.pass_time(0.15)
        assert len(host.last_report().edges) == 2
        host.until(lambda: len(host.last_report().edges) == 3)
        assert host.last_report().edges == (Edge(0, True), Edge(0, False), Edge(0, True))

    # -- more edges -----------------------------------------------------------------------------

    def test_more_edges_than_fit_come_in_their_order(self, host: Host) -> None:
        host.set_up()
        self._move_contact(host, times=19)
        report = host.last_report()
        assert report.first_edge == 0
        assert report.edges == tuple(Edge(0, n % 2 == 0) for n in range(16))
        assert report.contacts == 0  # after these edges; the three that wait would close it
        host.command(*DARK, ack=16)
        host.until(lambda: host.last_report().first_edge == 16, within_s=0.012)  # EDGE_REPEAT_MS 40
        assert host.last_report().edges == tuple(Edge(0, n % 2 == 0) for n in range(3))
        assert host.last_report().contacts == 1
        assert not host.last_report().flags & ReportFlag.EDGES_LOST

    def test_edges_that_were_sent_already_are_not_sent_again_at_an_acknowledgement(
        self, host: Host
    ) -> None:
        host.set_up()
        host.bench.set_contact("D2", True)
        host.bench.pass_time(0.012)
        host.bench.set_contact("D4", True)
        host.until(lambda: len(host.last_report().edges) == 2)
        before = len(host.reports())
        host.command(*DARK, ack=1)
        host.pass_time(0.01)
        assert len(host.reports()) == before
        host.until(lambda: host.last_report().first_edge == 1, within_s=0.05)
        assert host.last_report().edges == (Edge(1, True),)

    def test_the_oldest_of_too_many_edges_are_lost_and_that_is_said(self, host: Host) -> None:
        host.set_up()
        self._move_contact(host, times=35)
        host.until(lambda: host.last_report().first_edge == 3)
        assert host.last_report().flags & ReportFlag.EDGES_LOST
        host.command(*DARK, ack=3)  # knows of the loss, and has none of what came after
        host.pass_time(0.1)
        assert host.last_report().flags & ReportFlag.EDGES_LOST
        host.command(*DARK, ack=35)
        host.until(lambda: host.last_report().first_edge == 35)
        assert not host.last_report().flags & ReportFlag.EDGES_LOST
        assert host.last_report().contacts == 1

    def _move_contact(self, host: Host, times: int) -> None:
        for number in range(times):
            host.bench.set_contact("D2", number % 2 == 0)
            host.pass_time(0.016)
        host.pass_time(0.06)

    # -- endings --------------------------------------------------------------------------------

    def test_a_silent_host_means_idle_outputs_until_it_speaks(self, host: Host) -> None:
        host.set_up(timeout_ms=300)
        host.command(200, 1, 2)
        host.until(lambda: host.bench.lamp("D5") == 200)
        host.until(lambda: bool(host.last_report().flags & ReportFlag.HOST_SILENT))
        assert host.bench.lamp("D5") == 10
        assert host.bench.lamp("D7") == 0
        assert not host.bench.sounding("D8")
        host.command(150, 1, 0)
        host.until(lambda: not host.last_report().flags & ReportFlag.HOST_SILENT)
        assert host.bench.lamp("D5") == 150

    def test_a_command_that_comes_again_does_not_keep_the_outputs_alive(self, host: Host) -> None:
        host.set_up(timeout_ms=300)
        host.command(200, 0, 0)
        host.until(lambda: host.bench.lamp("D5") == 200)
        for _ in range(6):
            host.sequence -= 1
            host.command(200, 0, 0)
            host.pass_time(0.1)
        assert host.bench.lamp("D5") == 10
        assert host.last_report().bad_frames == 0

    def test_only_valid_commands_keep_the_outputs_alive(self, host: Host) -> None:
        host.set_up(timeout_ms=300)
        host.command(200, 0, 0)
        host.until(lambda: host.bench.lamp("D5") == 200)
        for _ in range(6):  # of another session: the host of this one is silent
            host.command(201, 0, 0, session=host.session + 1)
            host.pass_time(0.1)
        assert host.bench.lamp("D5") == 10

    def test_release_drives_nothing_and_says_hello(self, host: Host) -> None:
        host.set_up()
        host.command(200, 1, 2)
        host.until(lambda: host.bench.lamp("D5") == 200)
        host.pass_time(1.2)
        before = len(host.hellos())
        host.release()
        host.until(lambda: len(host.hellos()) > before)
        assert len(host.hellos()) == before + 1  # none was saved up meanwhile
        assert host.hellos()[-1].setup_checksum == 0
        assert host.bench.lamp("D5") == 0
        assert host.bench.lamp("D7") == 0
        assert not host.bench.sounding("D8")
        reports = len(host.reports())
        host.pass_time(0.7)
        assert len(host.reports()) == reports
        assert len(host.hellos()) > before + 1
