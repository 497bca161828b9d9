"""The files of runs, and how a viewer finds the one that is meant."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest
from msgspec.structs import replace

from panelbridge.errors import UsageError
from panelbridge.watch.find_run import find_run, is_loopback, is_there, living_runs, split_address
from panelbridge.watch.run_files import PublishedRun, published_runs, write_run
from panelbridge.watch.viewer_link import RunAddress

ONE = PublishedRun("aaa", "Panel one", 123, "127.0.0.1", 41_001, "token of one")
TWO = replace(ONE, run="bbb", panel="Panel two", port=41_002, token="token of two")


@pytest.mark.skipif(os.name == "nt", reason="there the user's folder is the user's alone")
def test_the_file_is_its_user_s_alone(tmp_path: Path) -> None:
    mask = os.umask(0)
    try:
        path = write_run(tmp_path / "home" / "runs", ONE)
    finally:
        os.umask(mask)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700
    assert list(path.parent.iterdir()) == [path]


def test_what_was_written_is_found_the_newest_first(tmp_path: Path) -> None:
    os.utime(write_run(tmp_path, ONE), (1, 1))
    write_run(tmp_path, TWO)
    assert [run for _, run in published_runs(tmp_path)] == [TWO, ONE]


@pytest.mark.parametrize("content", [b"", b"{}", b"\xff", b"x" * 20_000, b"[" * 9_000])
def test_other_files_are_passed_over_and_stay(content: bytes, tmp_path: Path) -> None:
    (tmp_path / "other.json").write_bytes(content)
    write_run(tmp_path, ONE)
    assert living_runs(tmp_path, lambda run: True) == [ONE]
    assert (tmp_path / "other.json").exists()


def test_no_folder_is_no_run(tmp_path: Path) -> None:
    assert living_runs(tmp_path / "none") == []


def test_a_file_that_cannot_be_written_is_a_plain_error(tmp_path: Path) -> None:
    (tmp_path / "runs").write_text("a file in the way")
    with pytest.raises(UsageError, match="the file of this run cannot be written"):
        write_run(tmp_path / "runs", ONE)


def test_the_file_of_a_run_that_was_killed_is_removed(tmp_path: Path) -> None:
    dead, alive = write_run(tmp_path, ONE), write_run(tmp_path, TWO)
    assert living_runs(tmp_path, lambda run: run == TWO) == [TWO]
    assert not dead.exists()
    assert alive.exists()


def test_a_file_that_another_viewer_reads_may_stay(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Windows removes no file that is open."""
    path = write_run(tmp_path, ONE)

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "The process cannot access the file")

    monkeypatch.setattr(Path, "unlink", refuse)
    assert living_runs(tmp_path, lambda run: False) == []
    assert path.exists()


def test_nobody_listens_at_a_port_that_is_free() -> None:
    import socket

    with socket.create_server(("127.0.0.1", 0)) as server:
        port = server.getsockname()[1]
        assert is_there(replace(ONE, port=port))
        assert is_there(replace(ONE, port=port, host="0.0.0.0"))
    assert not is_there(replace(ONE, port=port))


@pytest.mark.parametrize(
    ("address", "runs", "token", "wanted"),
    [
        (None, [ONE], "", RunAddress("127.0.0.1", 41_001, "token of one")),
        (None, [replace(ONE, host="0.0.0.0")], "", RunAddress("127.0.0.1", 41_001, ONE.token)),
        ("41002", [ONE, TWO], "", RunAddress("127.0.0.1", 41_002, "token of two")),
        ("localhost:41001", [ONE, TWO], "mine", RunAddress("127.0.0.1", 41_001, ONE.token)),
        ("desk.example:7", [ONE], "mine", RunAddress("desk.example", 7, "mine")),
        ("192.168.1.20:41001", [ONE], "mine", RunAddress("192.168.1.20", 41_001, "mine")),
        ("[fe80::1]:7", [], "mine", RunAddress("fe80::1", 7, "mine")),
        ("127.0.0.1:9", [ONE], "mine", RunAddress("127.0.0.1", 9, "mine")),
    ],
)
def test_the_run_that_is_meant(
    address: str | None, runs: list[PublishedRun], token: str, wanted: RunAddress
) -> None:
    assert find_run(address, runs, token) == wanted


@pytest.mark.parametrize(
    ("address", "runs", "words"),
    [
        (None, [], "no run of this user is published on this computer"),
        (None, [ONE, TWO], r"2 runs are published here: 127.0.0.1:41001 \(Panel one\); .* two"),
        ("192.168.1.20:7", [ONE], "the token of this run is needed"),
        ("192.168.1.20", [ONE], "has no port"),
        ("http://192.168.1.20:7/", [ONE], "not an address"),
        ("desk:70000", [], "not an address"),
        ("desk:x", [], "not an address"),
        ("", [], "not an address"),
    ],
)
def test_what_is_not_known_is_asked_for(
    address: str | None, runs: list[PublishedRun], words: str
) -> None:
    with pytest.raises(UsageError, match=words):
        find_run(address, runs, "")


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        *(("47800", ("127.0.0.1", 47_800)), ("desk", ("desk", 0)), ("desk:1", ("desk", 1))),
        *(("::1", ("::1", 0)), ("[::]:5", ("::", 5)), (":5", ("127.0.0.1", 5))),
    ],
)
def test_addresses(text: str, wanted: tuple[str, int]) -> None:
    assert split_address(text) == wanted


@pytest.mark.parametrize(
    ("host", "wanted"),
    [
        *(("127.0.0.1", True), ("127.9.9.9", True), ("::1", True), ("localhost", True)),
        *(("0.0.0.0", False), ("192.168.1.2", False), ("desk", False), ("localhost.evil", False)),
    ],
)
def test_loopback(host: str, wanted: bool) -> None:
    assert is_loopback(host) is wanted
