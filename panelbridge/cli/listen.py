"""The command ``listen``: what arrives, as it was sent and as it is read."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf
from pathlib import Path

from panelbridge.cli.feed_session import feed_session, load_link
from panelbridge.errors import UsageError
from panelbridge.feeds.link.link_feed import LinkFeed
from panelbridge.feeds.link.value_table import FedValue
from panelbridge.printing import clean_line, say
from panelbridge.signals import Value

_SHOWN_BYTES = 200
"""No more of a message is shown."""


def listen(path: Path, *, panel: Path | None, seconds: float | None, every_s: float) -> int:
    """Print what comes by a feed; returns the exit code: 1 when nothing could be read.

    Args:
        path: the feed file.
        panel: a panel whose aircraft it must fit; None = any aircraft.
        seconds: stop after this time; None = until stopped.
        every_s: period of the lines, s.

    Raises:
        PanelbridgeError: an error in a file, or an address that cannot be had.
    """
    file, aircraft = load_link(path, panel, lambda file: [])
    if file.receive is None:
        what = "this feed only sends: it has no 'receive'"
        raise UsageError(what, where=str(path), hint=f"try: panelbridge send {path} gear=up")
    file = file.model_copy(update={"targets": {}})
    any_read = False
    with feed_session(path, file, aircraft) as session:
        assert session.link.receiver is not None
        next_s, count = 0.0, 0
        for warning in session.link.health().warnings:
            say(f"warning: {warning}")
        for now_s in session.turns(inf if seconds is None else seconds):
            any_read = any_read or session.link.is_fresh(now_s)
            is_last = seconds is not None and now_s >= seconds
            if now_s < next_s and not is_last:
                continue
            before, count = count, session.link.receiver.messages
            rate_hz = (count - before) / every_s if next_s else 0.0
            next_s = now_s + every_s
            if not say("\n".join(listen_lines(session.link, now_s, rate_hz))):
                break
    return 0 if any_read else 1


def listen_lines(link: LinkFeed, now_s: float, rate_hz: float) -> Iterator[str]:
    """The lines about a feed at one time."""
    health, receiver = link.health(), link.receiver
    assert receiver is not None
    link.values.state(now_s)  # what is too old becomes unknown
    state = "data is fresh" if link.is_fresh(now_s) else "NO FRESH DATA"
    rate = f", {rate_hz:.1f} a second" if rate_hz else ""
    open_ = "" if health.is_open else f", not open: {health.text}"
    yield f"{now_s:8.1f} s  {health.way}{open_}: {state}, {health.messages} messages{rate}"
    if receiver.last_message:
        yield f"  last message: {_shown(receiver.last_message)}"
    for one in link.values.values:
        yield _value_line(one)
    for reason, count in health.refused.items():
        yield f"  refused {count:>6}  {reason}"
    if health.refused and health.last_refused:
        yield f"  last refused: {clean_line(health.last_refused)}"
    yield ""


def _value_line(one: FedValue) -> str:
    field = ".".join(map(str, one.field)) if isinstance(one.field, tuple) else str(one.field)
    raw = "" if one.raw is None else f"{one.raw!r:.40}"
    why = "" if one.value is not None else f"  <- {one.why or 'not in any message yet'}"
    return f"  {one.name:<24} {_text(one.value):<12} {clean_line(field)} = {raw}{why}"


def _text(value: Value) -> str:
    if value is None:
        return "?"
    return f"{value:.6g}" if isinstance(value, float) else str(value)


def _shown(message: bytes) -> str:
    """Text as it is, else bytes in hexadecimal."""
    rest = "..." if len(message) > _SHOWN_BYTES else ""
    message = message[:_SHOWN_BYTES]
    text = message.decode("utf-8", "replace").rstrip("\r\n\0")
    if text.isprintable() and "\ufffd" not in text:
        return text + rest
    if text.isascii() and all(c.isprintable() or c in "\r\n\t" for c in text):
        return repr(text)[1:-1] + rest
    return message.hex(" ") + rest
