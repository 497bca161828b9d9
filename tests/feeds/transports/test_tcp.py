"""TCP both ways: connecting, losing, connecting again, half messages, foreign clients."""

from __future__ import annotations

import socket
import struct
from typing import Any

import pytest

from panelbridge.errors import FeedError
from panelbridge.feeds.transports.tcp_connection import TcpConnection
from tests.feeds.transports.running import Running, free_port

STREAM = socket.SOCK_STREAM
LOOPBACK = "127.0.0.1"


def listening(port: int = 0) -> socket.socket:
    """A simulator that waits for a connection."""
    server = socket.create_server((LOOPBACK, port))
    server.settimeout(10.0)
    return server


def accepted(tcp: Running, server: socket.socket) -> socket.socket:
    """The simulator's side, once it is connected."""
    tcp.until_open()
    peer, _ = server.accept()
    peer.settimeout(5.0)
    return peer


def reset(peer: socket.socket) -> None:
    """End a connection without a goodbye."""
    peer.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
    peer.close()


def test_a_client_connects_and_both_sides_talk() -> None:
    with (
        listening() as server,
        Running("tcp", port=server.getsockname()[1]) as tcp,
        accepted(tcp, server) as peer,
    ):
        assert tcp.text == "connected"
        peer.sendall(b"a\nb")
        tcp.until(lambda: tcp.data == [b"a\nb"])
        peer.sendall(b"\n")
        tcp.until(lambda: tcp.data == [b"a\nb", b"\n"])
        assert [one.restarts for one in tcp.arrivals] == [True, False]
        assert tcp.send(b"get x\n")
        assert peer.recv(100) == b"get x\n"


@pytest.mark.parametrize("ends", [socket.socket.close, reset])
def test_a_lost_connection_is_closed_at_once_and_made_again(ends: object) -> None:
    with listening() as server, Running("tcp", port=server.getsockname()[1]) as tcp:
        peer = accepted(tcp, server)
        peer.sendall(b"half")
        tcp.until(lambda: tcp.data == [b"half"])
        ends(peer)  # type: ignore[operator]
        tcp.until(lambda: not tcp.transport.health().is_open)
        assert list(tcp.transport.filenos()) == []
        assert "the other side" in tcp.text
        assert not tcp.send(b"late")
        with accepted(tcp, server) as peer:
            peer.sendall(b"new\n")
            tcp.until(lambda: tcp.data == [b"half", b"new\n"])
            assert tcp.arrivals[-1].restarts
            assert tcp.transport.health().connections == 2
            assert tcp.send(b"now")
            assert peer.recv(100) == b"now"  # and nothing of what was sent meanwhile


def test_what_came_before_the_end_is_read() -> None:
    with listening() as server, Running("tcp", port=server.getsockname()[1]) as tcp:
        with accepted(tcp, server) as peer:
            peer.sendall(b"last words\n")
        tcp.until(lambda: not tcp.transport.health().is_open)
        assert tcp.data == [b"last words\n"]


def test_a_refusal_is_said_and_a_server_that_comes_later_is_found() -> None:
    port = free_port(STREAM)
    with Running("tcp", port=port) as tcp:
        tcp.until(lambda: tcp.text == "not connected: no program listens there")
        with listening(port) as server, accepted(tcp, server):
            assert tcp.text == "connected"


def test_the_wait_between_attempts_grows_to_a_limit() -> None:
    with Running("tcp", port=free_port(STREAM)) as tcp:
        tries, now_s = [], 0.0
        due_s = -1.0
        for _ in range(2000):
            tcp.transport.read(now_s)
            found_s = tcp.transport._due_s  # type: ignore[attr-defined]
            if found_s != due_s:
                tries.append(round(found_s - now_s, 2))
                due_s = found_s
            now_s += 0.01
        assert tries[1:6] == [0.5, 1.0, 2.0, 2.0, 2.0]


def test_a_peer_that_never_answers_is_given_up() -> None:
    """A full backlog: the system takes no more connections, and says nothing."""
    with socket.socket(socket.AF_INET, STREAM) as server:
        server.bind((LOOPBACK, 0))
        server.listen(0)
        others = [socket.socket(socket.AF_INET, STREAM) for _ in range(4)]
        for other in others:
            other.setblocking(False)
            other.connect_ex(server.getsockname())
        tcp = Running("tcp", port=server.getsockname()[1])
        tcp.transport.open(0.0)
        tcp.transport.read(4.9)
        assert tcp.text == "not connected: it is tried"
        tcp.transport.read(5.1)
        assert tcp.text == "not connected: there is no answer"
        tcp.transport.close()
        for other in others:
            other.close()


def test_a_name_that_is_not_known_is_said() -> None:
    with Running("tcp", host="no-such-name.invalid", port=5000) as tcp:
        text = "not connected: the name 'no-such-name.invalid' is not known in this network"
        tcp.until(lambda: tcp.text == text)


def test_localhost_is_a_name_too() -> None:
    with (
        listening() as server,
        Running("tcp", host="localhost", port=server.getsockname()[1]) as tcp,
        accepted(tcp, server),
    ):
        assert tcp.transport.health().is_open


def test_a_message_that_is_half_gone_is_completed_and_none_waits_behind_it() -> None:
    ours, theirs = socket.socketpair()
    ours.setsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF, 4096)
    connection = TcpConnection(ours)
    long = bytes(range(256)) * 4000
    assert connection.send(long)  # it has begun
    assert not connection.send(b"behind it")
    theirs.settimeout(5.0)
    found, taken = b"", 0
    while len(found) < len(long) + 8 * taken:
        found += theirs.recv(10_000)
        if len(found) < len(long):
            taken += connection.send(b"behind..")
        connection.read()
    assert found == long + b"behind.." * taken
    assert connection.send(b"after it")
    assert theirs.recv(100) == b"after it"
    connection.close()
    theirs.close()


def a_server(**keys: Any) -> Running:
    return Running("tcp_server", listen_port=free_port(STREAM), **keys)


def client_of(server: Running, source: str = LOOPBACK) -> socket.socket:
    port = int(server.transport.name.rpartition(":")[2])
    return socket.create_connection((LOOPBACK, port), 5.0, (source, 0))


def test_the_newest_client_takes_the_place_of_the_old() -> None:
    with a_server() as server:
        assert server.text == "not connected: nobody has connected yet"
        assert not server.send(b"x")
        with client_of(server) as first:
            first.sendall(b"first")
            server.until(lambda: server.data == [b"first"])
            with client_of(server) as second:
                server.until(lambda: server.transport.health().connections == 2)
                assert first.recv(10) == b""
                assert server.send(b"hello")
                assert second.recv(10) == b"hello"
                second.sendall(b"second")
                server.until(lambda: len(server.data) == 2)
                assert [one.restarts for one in server.arrivals] == [True, True]
                reset(second)
                server.until(lambda: not server.transport.health().is_open)
                assert len(server.transport.filenos()) == 1


def test_a_client_from_elsewhere_is_shut_out() -> None:
    with a_server(only_from="127.0.0.2") as server:
        with client_of(server) as stranger:
            server.until(lambda: server.transport.health().dropped != {})
            assert stranger.recv(10) == b""
        assert server.transport.health().dropped == {"from another sender": 1}
        assert not server.transport.health().is_open


def test_a_taken_port_is_an_error_and_a_freed_one_is_not() -> None:
    server = a_server()
    with server, client_of(server) as client:
        server.until_open()
        again = Running("tcp_server", listen_port=int(server.transport.name.rpartition(":")[2]))
        with pytest.raises(FeedError, match="is taken"):
            again.__enter__()
        server.transport.close()
        assert client.recv(10) == b""
    with again:
        assert again.transport.filenos()
