from __future__ import annotations

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelbridge.errors import UsageError
from panelbridge.simboard.cable.line_faults import FAULT_NAMES, FaultLine, LineFaults

COUNT = 100_000


def send_all(faults: LineFaults, data: bytes, now_s: float = 0.0) -> bytes:
    faults.to_host.send(now_s, data)
    out = b""
    while (arrival := faults.to_host.take(float("inf"))) is not None:
        out += arrival[1]
    return out


def test_a_perfect_line_changes_nothing() -> None:
    data = random.Random(1).randbytes(1000)
    assert send_all(LineFaults(), data) == data


@pytest.mark.parametrize("rate", [0.01, 0.2])
def test_rates_are_kept(rate: float) -> None:
    """Within five standard deviations of the binomial distribution."""
    room = 5 * (COUNT * rate * (1 - rate)) ** 0.5
    data = bytes(COUNT)

    dropped = LineFaults(1, {"drop": rate})
    assert abs(COUNT - len(send_all(dropped, data)) - COUNT * rate) < room
    assert dropped.to_host.counts.dropped == COUNT - len(
        send_all(LineFaults(1, {"drop": rate}), data)
    )

    doubled = LineFaults(1, {"duplicate": rate})
    assert abs(len(send_all(doubled, data)) - COUNT - COUNT * rate) < room

    bits = send_all(LineFaults(1, {"flip_bit": rate}), data)
    flipped = [byte for byte in bits if byte]
    assert len(bits) == COUNT
    assert abs(len(flipped) - COUNT * rate) < room
    assert {byte.bit_count() for byte in flipped} == {1}
    assert len(set(flipped)) == 8

    others = [byte for byte in send_all(LineFaults(1, {"flip_byte": rate}), data) if byte]
    assert abs(len(others) - COUNT * rate) < room
    assert len(set(others)) > 200


def test_late_bytes_keep_their_order_and_hold_up_those_behind() -> None:
    line = FaultLine(random.Random(3), LineFaults(0, {"delay": 0.1, "delay_s": 0.5})._rates)
    for number in range(100):
        line.send(number * 0.01, bytes((number,)))
    arrived = []
    while (arrival := line.take(float("inf"))) is not None:
        arrived.append(arrival)
    assert b"".join(data for _, data in arrived) == bytes(range(100))
    times = [time_s for time_s, _ in arrived]
    assert times == sorted(times)
    assert line.counts.delayed > 3
    assert line.take(float("inf")) is None


def test_bytes_do_not_arrive_before_their_time() -> None:
    faults = LineFaults(0, {"delay": 1.0, "delay_s": 0.5})
    faults.to_host.send(1.0, b"abc")
    assert faults.to_host.next_due_s == 1.5
    assert faults.to_host.take(1.49) is None
    assert faults.to_host.take(1.5) == (1.5, b"abc")


def test_the_same_seed_gives_the_same_damage() -> None:
    data = bytes(range(256)) * 20
    values = {"drop": 0.05, "flip_byte": 0.05, "duplicate": 0.05}
    one, two, other = (send_all(LineFaults(seed, values), data) for seed in (8, 8, 9))
    assert one == two != other


def test_the_two_directions_are_damaged_on_their_own() -> None:
    faults = LineFaults(1, {"flip_byte": 0.5})
    faults.to_board.send(0.0, bytes(200))
    faults.to_host.send(0.0, bytes(200))
    there, back = faults.to_board.take(0.0), faults.to_host.take(0.0)
    assert there is not None
    assert back is not None
    assert there[1] != back[1]


@pytest.mark.parametrize(
    "text", ["drop", "drop=", "drop=x", "drop=nan", "drop=-0.1", "drop=1.1", "hum=1", "delay_s=61"]
)
def test_orders_that_cannot_be_are_refused(text: str) -> None:
    with pytest.raises(UsageError):
        LineFaults().order_text(text)


def test_an_unknown_fault_is_answered_with_the_known_ones() -> None:
    with pytest.raises(UsageError) as caught:
        LineFaults(0, {"hum": 1})
    assert all(name in caught.value.hint for name in FAULT_NAMES)


def test_faults_are_ordered_and_ended_by_name() -> None:
    faults = LineFaults()
    for name in FAULT_NAMES:
        faults.order_text(f"{name}=1")
    assert faults.value("deaf")
    assert faults.value("mute")
    assert faults.take_bursts() == [1]
    assert faults.take_bursts() == []
    for name in FAULT_NAMES:
        faults.order(name, 0)
        assert faults.value(name) == 0
    assert send_all(faults, b"abc") == b"abc"


@given(
    st.binary(max_size=300),
    st.dictionaries(
        st.sampled_from(["flip_bit", "flip_byte", "drop", "duplicate", "delay"]),
        st.floats(0, 1, allow_nan=False),
    ),
    st.integers(0, 100),
)
def test_counts_agree_with_what_comes_out(data: bytes, values: dict[str, float], seed: int) -> None:
    """Law: bytes out = bytes in - dropped + doubled."""
    faults = LineFaults(seed, values)
    out = send_all(faults, data)
    counts = faults.to_host.counts
    assert len(out) == len(data) - counts.dropped + counts.duplicated
