"""``panelbridge feed-draft``: listen, guess, print the feed file."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from functools import partial
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter, ValidationError

from panelbridge.clock import LiveClock
from panelbridge.config.links.link_check import reach_warnings
from panelbridge.config.links.transports import AnyTransportKeys, TransportKeys
from panelbridge.errors import UsageError
from panelbridge.feeds.draft.draft import draft_of
from panelbridge.feeds.draft.draft_text import draft_text
from panelbridge.feeds.draft.listening import listen
from panelbridge.feeds.transports.make import make_transport
from panelbridge.printing import FileKind, check_can_be_written, say, write_text

LISTEN_S = 5.0
"""For how long is listened unless the user says otherwise, s."""
_KEYS: TypeAdapter[AnyTransportKeys] = TypeAdapter(TransportKeys)
_DRAFT = FileKind("a draft of a feed file", "# A draft, made by 'panelbridge feed-draft'")


def feed_draft(
    ways: Mapping[str, str | None],
    *,
    baud: int | None = None,
    login: Mapping[str, str | None] | None = None,
    seconds: float = LISTEN_S,
    output: Path | None = None,
) -> int:
    """Draft a feed file; returns the exit code.

    Args:
        ways: the options ``udp``, ``tcp``, ``serial`` and ``mqtt``, one of which is given.
        baud: speed of the serial line; None = that of a feed file that says none.
        login: ``user`` and ``password_env`` at a broker.
        seconds: for how long is listened, s.
        output: the file to write; None = print it.

    Raises:
        UsageError: not one way, or one that cannot be.
        FeedError: nothing came.
    """
    given = {over: text for over, text in ways.items() if text is not None}
    if len(given) != 1:
        what = "give one of --udp, --tcp, --serial and --mqtt"
        raise UsageError(what, "feed-draft", "for example --udp 45139")
    ((over, text),) = given.items()
    receive = _receive_keys(over, text, baud, login or {})
    keys = _checked(over, text, receive)
    for warning in reach_warnings(keys):
        say(f"warning: {warning.what}", sys.stderr)
    if output is not None:
        check_can_be_written(output, _DRAFT)
    say(f"listening for {seconds:g} s ...", sys.stderr)
    heard, name = listen(partial(make_transport, keys), seconds, LiveClock())
    made = draft_text(draft_of(heard), heard, receive, name)
    if output is None:
        return int(not say(made, end=""))
    write_text(output, made, _DRAFT)
    say(f"wrote {output}", sys.stderr)
    return 0


def _receive_keys(
    over: str, text: str, baud: int | None, login: Mapping[str, str | None]
) -> dict[str, Any]:
    """The keys of ``receive:`` in a feed file for what an option says."""
    if over == "serial":
        return {"over": over, "port": text} | ({"baud": baud} if baud is not None else {})
    host, _, port = text.rpartition(":")
    host = host.strip("[]")
    if not port.isdecimal():
        what = f"'{text[:40]}' names no port"
        raise UsageError(what, f"--{over}", f"write {'' if over == 'udp' else 'HOST:'}PORT")
    if over == "udp":
        address = {"listen_address": host} if host else {}
        return {"over": over, "listen_port": int(port)} | address
    keys = {"over": over} | ({"host": host} if host else {}) | {"port": int(port)}
    return keys | {key: one for key, one in login.items() if one is not None}


def _checked(over: str, text: str, receive: dict[str, Any]) -> AnyTransportKeys:
    topics = {"topics": ("#",)} if over == "mqtt" else {}
    try:
        return _KEYS.validate_python(receive | topics)
    except ValidationError as error:
        what = error.errors()[0]["msg"].removeprefix("Value error, ")
        raise UsageError(f"'{text[:40]}' cannot be used: {what}", f"--{over}") from None
