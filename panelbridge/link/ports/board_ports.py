"""Which port each board of a panel is on: ``--port`` options, else the panel file."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence

from panelbridge.config.cross_check import port_name
from panelbridge.config.panel_file import PanelFile
from panelbridge.config.words import listed, quoted
from panelbridge.errors import UsageError
from panelbridge.link.ports.byte_port import IN_PROCESS_SCHEME, is_in_process


def board_urls(panel: PanelFile, ports: Sequence[str]) -> dict[str, str]:
    """The URL of each board's port. A simulated board is always on its own name.

    Args:
        panel: the panel.
        ports: the values of ``--port``: ``NAME=URL``, or ``URL`` when the panel has one board.

    Raises:
        UsageError: a port for no board, two ports for one board, a board without a port, or two
            boards on one port.
    """
    boards = panel.boards
    given: dict[str, str] = {}
    for text in ports:
        name, _, url = text.partition("=")
        if name not in boards or not url:
            if len(boards) > 1:
                what = f"{quoted(text)} does not say which board it is for"
                hint = f"write NAME=URL with one of the boards {listed(boards)}"
                raise UsageError(what, "--port", hint)
            name, url = next(iter(boards)), text
        if name in given:
            hint = f"give one of {quoted(given[name])} and {quoted(url)}"
            raise UsageError(f"two ports for the board {quoted(name)}", "--port", hint)
        given[name] = url
    urls = {name: given.get(name) or entry.port or "" for name, entry in boards.items()}
    missing = [name for name, url in urls.items() if not url]
    if missing:
        name = missing[0]
        raise UsageError(
            f"no port for the board{'s' if missing[1:] else ''} {listed(missing, 'and')}",
            "--port",
            f"write 'port:' in the panel file, or give --port {name}=URL ('panelbridge ports' lists"
            f" the ports; {IN_PROCESS_SCHEME}{name} simulates the board)",
        )
    urls = {name: IN_PROCESS_SCHEME + name if is_in_process(u) else u for name, u in urls.items()}
    _check_all_differ(urls)
    return urls


def _check_all_differ(urls: Mapping[str, str]) -> None:
    board_on: dict[str, str] = {}
    for name, url in urls.items():
        # A link to a device, as in /dev/serial/by-id, is the same port as the device.
        port = os.path.realpath(url) if url.startswith("/") else port_name(url)
        first = board_on.setdefault(port, name)
        if first != name:
            what = f"two boards on one port: {quoted(first)} and {quoted(name)} on {quoted(url)}"
            hint = "each board is on a port of its own ('panelbridge ports' lists the ports)"
            raise UsageError(what, "--port", hint)
