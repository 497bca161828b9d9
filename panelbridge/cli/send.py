"""The command ``send``: tries a command of a feed file."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from pathlib import Path
from typing import Any

from panelbridge.cli.feed_session import FeedSession, feed_session, load_link
from panelbridge.clock import wall_clock_s
from panelbridge.config.links.link_feed import LinkFeedFile
from panelbridge.config.links.names_to_send import Sendable, sendable_of
from panelbridge.config.links.targets import LinkTarget
from panelbridge.config.links.templates import WALL_CLOCK
from panelbridge.config.words import did_you_mean, listed, quoted
from panelbridge.errors import LogicError, UsageError
from panelbridge.feeds.link.outgoing import OutgoingMessage
from panelbridge.feeds.link.target import CommandTarget
from panelbridge.feeds.link.trial import Trial
from panelbridge.printing import say
from panelbridge.signals import Value

LONGEST_S = 10.0
"""Longest time for connections and answers, s."""
_GIVEN = re.compile(r"([a-z][a-z0-9_]*)=(.*)", re.DOTALL)


def send(path: Path, given: Sequence[str], *, panel: Path | None, wait_s: float) -> int:
    """Send every message that names one of the given values; returns the exit code.

    0: all of them went out and were obeyed as far as the file says how that is seen. 1: not so.

    Args:
        path: the feed file.
        given: ``gear=up``, ``left_brake=0.5``.
        panel: a panel whose aircraft it must fit; None = any aircraft.
        wait_s: longest time for connections and answers, s.

    Raises:
        PanelbridgeError: an error in a file or an argument.
    """
    pairs = dict(_pair(text) for text in given)
    file, aircraft = load_link(path, panel, lambda file: [*pairs])
    known = sendable_of(aircraft)
    values = {name: _value(name, text, known, panel) for name, text in pairs.items()}
    file = _only(file, known, values, path)
    with feed_session(path, file, aircraft) as session:
        wanted = _wanted(session.link.targets, values, path)
        results = [_try(session, trials, wait_s) for trials in wanted]
    return 0 if all(results) else 1


def _pair(text: str) -> tuple[str, str]:
    found = _GIVEN.fullmatch(text)
    if found is None:
        what = f"{quoted(text)} is no command"
        raise UsageError(what, hint="write it as gear=up or left_brake=0.5")
    return found[1], found[2]


def _value(name: str, text: str, known: Mapping[str, Sendable], panel: Path | None) -> Value:
    one = known.get(name)
    if one is None:
        commands = [other.name for other in known.values() if other.is_command]
        hint = did_you_mean(name, commands) or f"The commands are {listed(commands, 'and')}."
        if panel is None:
            hint += " For switches of your own, name your panel with --panel PANEL.yaml"
        raise UsageError(f"there is no command {quoted(name)}", hint=hint)
    if one.words:
        if text not in one.words:
            what = f"{quoted(name)} cannot be {quoted(text)}"
            raise UsageError(what, hint=f"it can be {listed(one.words)}")
        return text
    try:
        return float(text)
    except ValueError:
        what = f"{quoted(name)} must be a number, and {quoted(text)} is none"
        raise UsageError(what, hint=f"write {name}=0.5") from None


def _wanted(
    targets: Sequence[CommandTarget], values: Mapping[str, Value], path: Path
) -> list[list[Trial]]:
    """The messages that name a given value, by target. Raises: UsageError, when there is none."""
    found: dict[str, list[Trial]] = {}
    lacking: dict[str, list[str]] = {}
    values = {**values, WALL_CLOCK: wall_clock_s()}
    for target in targets:
        for message in target.messages:
            missing = [name for name in message.names if name not in values]
            if missing:
                lacking[f"{target.name}.{message.name}"] = missing
            else:
                found.setdefault(target.name, []).append(Trial(target, message, values))
    if found:
        return [*found.values()]
    if lacking:
        message_name, missing = next(iter(lacking.items()))
        what = f"the message {quoted(message_name)} needs {listed(missing, 'and')} too"
        raise UsageError(what, str(path), "give them: " + " ".join(f"{n}=..." for n in missing))
    raise LogicError("a feed with messages that name nothing")  # others were left out


def _only(
    file: LinkFeedFile, known: Mapping[str, Sendable], names: Collection[str], path: Path
) -> LinkFeedFile:
    """The file with the messages that name one of ``names``, and what they need."""
    targets: dict[str, LinkTarget] = {}
    for name, target in file.targets.items():
        commands = {
            key: keys
            for key, keys in target.commands.items()
            if OutgoingMessage(key, keys, known, target.written).names_any(names)
        }
        if commands:
            targets[name] = target.model_copy(update={"commands": commands})
    if not targets:
        what = f"no message of this feed sends {listed(map(quoted, names), 'or')}"
        hint = "'panelbridge check' shows whether its messages can be sent"
        raise UsageError(what, str(path), hint if file.targets else "add 'targets:' to it")
    is_shared = any(target.transport is None for target in targets.values())
    update: dict[str, Any] = {"targets": targets}
    if not is_shared:
        update |= {"receive": None, "message": None, "ask": None, "values": {}}
    return file.model_copy(update=update)


def _try(session: FeedSession, trials: Sequence[Trial], wait_s: float) -> bool:
    """Send the messages of one target, and say what became of each."""
    target, way = trials[0].target, trials[0].target.transport.name
    left = [*trials]
    for now_s in session.turns(session.clock.now() + wait_s):
        outcome = left[0].poll(now_s)
        if outcome is None:
            continue
        say(f"{target.name} ({way}), {left[0].message.name}: {outcome.text}")
        if not outcome.is_good:
            return False
        left.pop(0)
        if not left:
            return True
    health = target.transport.health()
    why = "no greeting came" if health.is_open else health.text
    say(f"{target.name} ({way}), {left[0].message.name}: not sent: {why}")
    return False
