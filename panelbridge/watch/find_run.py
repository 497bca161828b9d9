"""Where a viewer finds its run: by the file of a run of this user, or by an address and a token."""

from __future__ import annotations

import ipaddress
import re
import socket
from collections.abc import Callable
from pathlib import Path

from panelbridge.errors import UsageError
from panelbridge.watch.run_files import PublishedRun, published_runs, remove_run
from panelbridge.watch.viewer_link import RunAddress

_PROBE_S = 1.0
_ADDRESS = re.compile(
    r"(?:\[(?P<bracketed>[\w:.%]+)\]|(?P<colons>\w*:\w*:[\w:.%]*)|(?P<name>(?!\d+$)[\w.-]+)?)"
    r"(?:(?:^|:)(?P<port>\d{1,5}))?"
)
_ANYWHERE = {"0.0.0.0": "127.0.0.1", "::": "::1"}
HOW = "start one: panelbridge demo --publish, or panelbridge run PANEL.yaml --publish"


def split_address(text: str, *, default_host: str = "127.0.0.1") -> tuple[str, int]:
    """``HOST:PORT``, ``[HOST]:PORT``, ``PORT``, or ``HOST`` with port 0.

    Raises:
        UsageError: it is none of these.
    """
    found = _ADDRESS.fullmatch(text.strip())
    port = int(found["port"] or 0) if found else 0
    if found is None or not any(found.groups()) or port > 65535:
        what = "this is not an address"
        raise UsageError(what, text, "write HOST:PORT, for example 192.168.1.20:47800")
    return found["bracketed"] or found["colons"] or found["name"] or default_host, port


def is_loopback(host: str) -> bool:
    """Only programs of this computer reach it."""
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def is_there(run: PublishedRun) -> bool:
    """A program listens at the run's port."""
    try:
        host = _ANYWHERE.get(run.host, run.host)
        with socket.create_connection((host, run.port), timeout=_PROBE_S):
            return True
    except OSError:
        return False


def living_runs(
    folder: Path, is_there: Callable[[PublishedRun], bool] = is_there
) -> list[PublishedRun]:
    """The runs of this user that go on, the newest first; files of others are removed."""
    found = []
    for path, run in published_runs(folder):
        if is_there(run):
            found.append(run)
        else:
            remove_run(path)
    return found


def address_of(run: PublishedRun) -> RunAddress:
    """Where a run of this computer is."""
    return RunAddress(_ANYWHERE.get(run.host, run.host), run.port, run.token)


def find_run(address: str | None, runs: list[PublishedRun], token: str) -> RunAddress:
    """The run that a viewer means.

    Args:
        address: as the user gave it; None = the only one of this user here.
        runs: those of this user here.
        token: that the user gave; empty = none.

    Raises:
        UsageError: there is none, there are several, or its token is not known.
    """
    if address is None:
        if not runs:
            what = "no run of this user is published on this computer"
            raise UsageError(what, hint=f"{HOW}; for another computer name HOST:PORT")
        if len(runs) > 1:
            names = "; ".join(f"{run.address} ({run.panel})" for run in runs)
            what = f"{len(runs)} runs are published here: {names}"
            raise UsageError(what, hint=f"name one: panelbridge watch {runs[0].address}")
        return address_of(runs[0])
    host, port = split_address(address)
    if port == 0:
        raise UsageError("this address has no port", address, "write HOST:PORT")
    if is_loopback(host) or host in _ANYWHERE:
        for run in runs:
            if run.port == port:
                return address_of(run)
    if not token:
        what = "the token of this run is needed"
        hint = "set PANELBRIDGE_TOKEN to it; 'panelbridge watch --list' prints it where the run is"
        raise UsageError(what, address, hint)
    return RunAddress(host, port, token)
