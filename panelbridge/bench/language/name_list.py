"""Every name that a scenario for one aircraft or panel can use, as tables for people."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import isinf
from pathlib import Path
from string import Formatter

from panelbridge.bench.language.names import Names
from panelbridge.config.aircraft_file import AircraftFile
from panelbridge.config.load import LoadedPanel, check_file
from panelbridge.errors import UsageError
from panelbridge.link.session import LINK_EVENTS
from panelbridge.logic.kit.declarations import Signal
from panelbridge.logic.systems import EVENTS

LEG = "LEG"
"""Stands for the name of a leg: each leg has the same signals."""
_OWN_WORDS = {
    "board_was_reset": "a board was restarted",
    "port_missed": "its port is not there",
    "port_found_busy": "another program holds its port",
    "board_not_heard": "nothing answers at its port",
    "board_lost": "a board was unplugged or stopped answering",
    "link_found_poor": "many frames of a board are damaged, or its answers are slow",
    "host_often_not_heard": "a board often heard nothing from this computer",
    "board_often_lost": "a board comes and goes: its single losses are not reported for a while",
    "board_refused": "a board is there and cannot be used as it is",
    "feed_lost": "no aircraft data comes, or one value does not: it counts as unknown",
    "feed_found": "what was lost comes again",
}
"""Of events whose words are made when they happen."""


def signal_rows(names: Names) -> Iterator[tuple[str, str, str]]:
    """Name, what it is, and what it can be, of each signal; those of legs once, for all legs."""
    for shown, name in _once(names.signals, names).items():
        spec = names.signals[name]
        label = spec.label if shown == name else _for_all_legs(spec.label, names.legs)
        value = " (value)" if name in names.values else ""
        yield shown, f"{label}{value}", _can_be(spec)


def fault_rows(names: Names) -> Iterator[tuple[str, str]]:
    """Name of each part that can be broken, and how; those of legs once, for all legs."""
    for shown, name in _once(names.faults, names).items():
        yield shown, ", ".join(f"`{kind}`" for kind in names.faults[name][1])


def event_rows(names: Names) -> Iterator[tuple[str, str]]:
    """Name and words of each event."""
    for name in names.events:
        shown = EVENTS.get(name) or LINK_EVENTS.get(name)
        words = _OWN_WORDS.get(name) or (_without_braces(shown[1]) if shown else "")
        yield name, words


def _once(found: Iterable[str], names: Names) -> dict[str, str]:
    """The first name of each name that is shown."""
    first: dict[str, str] = {}
    for name in found:
        first.setdefault(_shown_name(name, names), name)
    return first


def _shown_name(name: str, names: Names) -> str:
    """A name with LEG in it when it is about a leg and each leg has it, as it is otherwise.

    A wheel, a pedal or a rest can be "left" too: what is about a leg says so in words.
    """
    shown = _for_all_legs(name, names.legs)
    known = names.signals.keys() | names.faults.keys()
    if any(shown.replace(LEG, leg) not in known for leg in names.legs):
        return name
    spec = names.signals.get(name)
    return shown if spec is None or LEG in _for_all_legs(spec.label, names.legs) else name


def _for_all_legs(text: str, legs: tuple[str, ...]) -> str:
    """``text`` with the name of a leg in it replaced; as it is when it names none."""
    for leg in legs:
        spoken = f"{leg.replace('_', ' ')} leg"
        for mark, shown in (
            (f"{leg}_", f"{LEG}_"),
            (f"_{leg}", f"_{LEG}"),
            (spoken, f"{LEG} leg"),
        ):
            if mark in text and (text.startswith(mark) or text.endswith(mark) or " " in text):
                return text.replace(mark, shown)
    return text


def _can_be(spec: Signal) -> str:
    unknown = "" if spec.never_unknown or "unknown" in spec.words else ", `unknown`"
    if spec.form == "word":
        return ", ".join(f"`{word}`" for word in spec.words) + unknown
    if spec.form == "yes_no":
        return "`true` or `false`" + unknown
    unit = f" {spec.unit}" if spec.unit else ""
    if isinf(spec.low) or isinf(spec.high):
        return f"a number{' of ' + spec.unit if spec.unit else ''}{unknown}"
    return f"{spec.low:g} to {spec.high:g}{unit}{unknown}"


def _without_braces(words: str) -> str:
    """The words of an event, with dots where it names a subject or a value."""
    parts = Formatter().parse(words)
    return "".join(text if name is None else f"{text}..." for text, name, _, _ in parts)


def names_of(path: Path) -> Names:
    """The names of the panel or aircraft file at ``path``.

    Raises:
        ConfigError: it has errors.
        UsageError: it is a file of another kind.
    """
    found = check_file(path).file
    if isinstance(found, LoadedPanel):
        return Names(found.aircraft, found.panel)
    if isinstance(found, AircraftFile):
        return Names(found, None)
    raise UsageError(
        f"{path} is no panel or aircraft file", hint="name the panel that scenarios are for"
    )


def signal_tables(names: Names) -> str:
    """Signals, groups of signals and what can be broken, as Markdown."""
    groups = ", ".join(f"`{name}`" for name in names.sets_of_signals)
    return "\n\n".join(
        (
            "### Signals",
            as_table(("Signal", "Is", "Can be"), signal_rows(names)),
            f"Several at once: {groups}.",
            "### Faults",
            as_table(("Part", "How"), fault_rows(names)),
        )
    )


def name_tables(names: Names) -> str:
    """All of it, events too, as Markdown."""
    events = as_table(("Event", "Is"), event_rows(names))
    return f"{signal_tables(names)}\n\n### Events\n\n{events}"


def as_table(head: tuple[str, ...], rows: Iterator[tuple[str, ...]]) -> str:
    """A table as Markdown has it; the first column is code."""
    lines = ["| " + " | ".join(head) + " |", "|" + "---|" * len(head)]
    lines += ["| " + " | ".join((f"`{row[0]}`", *row[1:])) + " |" for row in rows]
    return "\n".join(lines)
