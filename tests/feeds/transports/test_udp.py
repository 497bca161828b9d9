"""Datagrams: newest kept, only the right sender, taken ports, names."""

from __future__ import annotations

import socket
import sys
from collections.abc import Iterator

import pytest

from panelbridge.errors import FeedError
from panelbridge.feeds.transports.transport import MOST_ARRIVALS
from tests.feeds.transports.running import Running, free_port


@pytest.fixture
def peer() -> Iterator[socket.socket]:
    """Another program's socket."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as port:
        port.bind(("127.0.0.1", 0))
        port.settimeout(5.0)
        yield port


def test_datagrams_come_whole_and_in_order(peer: socket.socket) -> None:
    with Running("udp", listen_port=free_port()) as udp:
        assert udp.transport.health().is_open
        assert len(udp.transport.filenos()) == 1
        sent = [b"1", b"", b"x" * 60_000]
        for data in sent:
            peer.sendto(data, ("127.0.0.1", port_of(udp)))
        udp.until(lambda: len(udp.data) == 3)
        assert udp.data == sent


def port_of(udp: Running) -> int:
    return int(udp.transport.name.rpartition(":")[2])


def test_of_a_flood_the_newest_are_kept_and_the_rest_is_counted(peer: socket.socket) -> None:
    with Running("udp", listen_port=free_port()) as udp:
        for number in range(150):
            peer.sendto(b"%d" % number, ("127.0.0.1", port_of(udp)))
        udp.until(lambda: b"149" in udp.data)
        assert udp.data[-MOST_ARRIVALS:] == [b"%d" % n for n in range(150 - MOST_ARRIVALS, 150)]
        assert udp.transport.health().dropped == {"too many at once": 150 - len(udp.data)}


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux counts them")
def test_what_the_system_drops_is_counted(peer: socket.socket) -> None:
    with Running("udp", listen_port=free_port()) as udp:
        for number in range(4000):  # more than any usual buffer holds
            peer.sendto(b"%4d" % number + b"x" * 256, ("127.0.0.1", port_of(udp)))
        while udp.transport.read(0.0):
            pass
        peer.sendto(b"last", ("127.0.0.1", port_of(udp)))
        udp.until(lambda: b"last" in udp.data)
        # It comes with the next datagram after a second.
        assert len(list(udp.transport.read(10.0))) == 0
        peer.sendto(b"again", ("127.0.0.1", port_of(udp)))
        assert [one.data for one in udp.transport.read(20.0)] == [b"again"]
        dropped = udp.transport.health().dropped
        assert dropped["the system's buffer was full"] > 0


def test_only_the_configured_sender_is_heard() -> None:
    port = free_port()
    with (
        Running("udp", listen_port=port, only_from="127.0.0.2") as udp,
        socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as stranger,
        socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as known,
    ):
        stranger.bind(("127.0.0.3", 0))
        try:
            known.bind(("127.0.0.2", 0))
        except OSError:
            pytest.skip("this system has one loopback address only")
        for _ in range(2):
            stranger.sendto(b"evil", ("127.0.0.1", port))
            known.sendto(b"good", ("127.0.0.1", port))
        udp.until(lambda: len(udp.data) == 2)
        assert udp.data == [b"good", b"good"]
        assert udp.transport.health().dropped == {"from another sender": 2}


def test_a_port_that_is_taken_is_an_error_with_advice() -> None:
    port = free_port()
    with Running("udp", listen_port=port), pytest.raises(FeedError) as caught:
        Running("udp", listen_port=port).__enter__()
    assert str(caught.value) == (
        f"UDP 127.0.0.1:{port}: port {port} is taken: another program, or a second run of this one,"
        " listens there\n    close it, or use another port here and in the simulator"
    )


def test_an_address_of_another_computer_is_an_error() -> None:
    with pytest.raises(FeedError, match=r"this computer has no address 192\.0\.2\.1"):
        Running("udp", listen_port=free_port(), listen_address="192.0.2.1").__enter__()


def test_commands_go_out_and_answers_come_back(peer: socket.socket) -> None:
    with Running("udp", port=peer.getsockname()[1]) as udp:
        udp.until_open()
        assert udp.send(b"gear 1")
        data, sender = peer.recvfrom(100)
        assert data == b"gear 1"
        assert sender[0] == "127.0.0.1"
        peer.sendto(b"ok", sender)
        udp.until(lambda: udp.data == [b"ok"])


def test_commands_leave_from_the_port_where_data_comes(peer: socket.socket) -> None:
    port = free_port()
    with Running("udp", listen_port=port, port=peer.getsockname()[1]) as udp:
        udp.until_open()
        assert len(udp.transport.filenos()) == 1
        assert udp.send(b"x")
        assert peer.recvfrom(10) == (b"x", ("127.0.0.1", port))


def test_nobody_there_is_no_error() -> None:
    with Running("udp", port=free_port()) as udp:
        udp.until_open()
        assert all(udp.send(b"x") for _ in range(5))
        udp.read()
        assert udp.transport.health().is_open


def test_a_name_that_is_not_known_is_said_and_tried_again() -> None:
    with Running("udp", host="no-such-name.invalid", port=5000) as udp:
        udp.until(lambda: "not known" in udp.text)
        assert udp.text == "the name 'no-such-name.invalid' is not known in this network"
        assert not udp.transport.health().is_open
        assert not udp.send(b"x")
        assert udp.transport.health().dropped == {"nobody there to take it": 1}


def test_a_closed_one_has_no_descriptor() -> None:
    with Running("udp", listen_port=free_port()) as udp:
        udp.transport.close()
        assert list(udp.transport.filenos()) == []
        assert list(udp.transport.read(0.0)) == []
        assert not udp.transport.health().is_open
