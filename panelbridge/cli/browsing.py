"""The command ``web``: a viewer for each browser that opens the page."""

from __future__ import annotations

import asyncio
import sys
from collections.abc import Callable
from typing import TYPE_CHECKING

from panelbridge.cli.publishing import UNENCRYPTED, own_token
from panelbridge.cli.run_link import link_to, read_content
from panelbridge.cli.terminal import stopped_by_signals
from panelbridge.extras import require_extra
from panelbridge.feeds.transports.socket_errors import listening_error
from panelbridge.printing import say
from panelbridge.watch.browser.guard import RequestGuard
from panelbridge.watch.find_run import is_loopback
from panelbridge.watch.greeting import new_token

if TYPE_CHECKING:
    from panelbridge.watch.browser.server import BrowserServer


def serve_browsers(
    address: str | None, *, at: str, port: int, font_size: int, page: str | None, kiosk: bool
) -> int:
    """Serve a run to browsers until stopped; returns the exit code.

    Args:
        address: of the run; None = the only one of this user on this computer.
        at: address of the browsers' server.
        port: of it; 0 = any that is free.
        font_size: of the page, pixels.
        page: name of the page that is open first; None = the first one.
        kiosk: this page alone, without keys.

    Raises:
        UsageError: there is no run, or no such page, or the extra is missing.
        FeedError: the address for browsers cannot be had.
    """
    require_extra("textual_serve", "web")
    from panelbridge.cli.viewer_screen import page_named
    from panelbridge.watch.browser.server import BrowserServer

    page_named(page)
    _look_at(address)
    token = own_token() or new_token()
    guard = RequestGuard(token, at, f"panelbridge_{port}")
    command = viewer_command(address, page=page, kiosk=kiosk)
    server = BrowserServer(command, at, port, guard, font_size)

    def ready(port: int) -> None:
        say(f"open http://{_shown(at)}:{port}/?token={token}")
        if not is_loopback(at):
            say(f"warning: {UNENCRYPTED}", sys.stderr)
        say("Ctrl-C ends the viewers; the run goes on")

    try:
        asyncio.run(_serve(server, ready))
    except OSError as error:
        raise listening_error(error, "panelbridge web", at, port) from error
    return 0


async def _serve(server: BrowserServer, ready: Callable[[int], None]) -> None:
    loop, stop = asyncio.get_running_loop(), asyncio.Event()

    def end() -> None:
        loop.call_soon_threadsafe(stop.set)

    with stopped_by_signals(end):
        await server.serve_until(stop, ready)


def _look_at(address: str | None) -> None:
    """See that the run is there, before browsers do. Raises: UsageError."""
    link = link_to(address)
    try:
        read_content(link.start())
    finally:
        link.close()


def viewer_command(address: str | None, *, page: str | None, kiosk: bool) -> list[str]:
    """The viewer's command, word by word; the token is not in it."""
    words = [sys.executable, "-P", "-m", "panelbridge", "watch"]
    words += [address] if address is not None else []
    words += ["--page", page] if page is not None else []
    return [*words, "--kiosk"] if kiosk else words


def _shown(host: str) -> str:
    """An address that a browser can open, for one that means all of this computer's."""
    if host in ("0.0.0.0", "::"):
        return "ADDRESS-OF-THIS-COMPUTER"
    return f"[{host}]" if ":" in host else host
