"""Do the messages of a target fit the aircraft? Reads the raw values, beside other problems."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from msgspec.structs import replace

from panelbridge.config.links.names_to_send import Sendable, sendable_of
from panelbridge.config.links.templates import WALL_CLOCK, TemplateError, leaves_of, template_of
from panelbridge.config.links.units import UNITS
from panelbridge.config.links.values_check import check_unit, check_words
from panelbridge.config.words import did_you_mean, listed, quoted
from panelbridge.config.yaml_positions import KeyPath, YamlSource, place_name
from panelbridge.errors import ConfigProblem
from panelbridge.logic.aircraft import AircraftParameters

_Found = list[tuple[KeyPath, str]]


def check_link_targets(
    source: YamlSource, aircraft: AircraftParameters | None
) -> list[ConfigProblem]:
    """Names, words, units and templates of every target."""
    known = sendable_of(aircraft) if aircraft is not None else {}
    problems: list[ConfigProblem] = []
    for target in source.keys(("targets",)):
        path: KeyPath = ("targets", target)
        for name in source.keys((*path, "written")):
            problems += _check_written(source, (*path, "written", name), name, known)
        for name in source.keys((*path, "commands")):
            problems += _MessageCheck(source, path, name, known).problems()
    return problems


def _no_such(
    source: YamlSource, path: KeyPath, name: str, known: Mapping[str, Sendable], *, key: bool
) -> ConfigProblem:
    commands = [one.name for one in known.values() if one.is_command]
    hint = did_you_mean(name, [*commands, *known])
    hint = hint or f"The commands are {listed(commands[:12], 'and')}"
    what = f"there is no command or aircraft value {quoted(name)}"
    return (source.at_key if key else source.at_value)(path, what, hint)


def _check_written(
    source: YamlSource, path: KeyPath, name: str, known: Mapping[str, Sendable]
) -> Iterator[ConfigProblem]:
    if not known:  # without an aircraft only the unit's name can be wrong
        unit = source.get((*path, "unit"))
        if isinstance(unit, str) and unit not in UNITS:
            yield from check_unit(source, (*path, "unit"), "")
        return
    one = known.get(name)
    if one is None:
        yield _no_such(source, path, name, known, key=True)
        return
    yield from check_words(source, (*path, "words"), one.words)
    given = source.keys((*path, "words"))
    lacking = [word for word in one.words if word not in given]
    if given and one.words and lacking:
        what = f"{place_name((*path, 'words'))} lacks {listed(map(quoted, lacking), 'and')}"
        yield source.at_key((*path, "words"), what, "Say what is written for every word")
    if not one.words:
        yield from check_unit(source, (*path, "unit"), one.unit)
        return
    for key in ("unit", "scale", "offset"):
        if source.get((*path, key)) is not None:
            what = f"{quoted(name)} is {listed(one.words)}, and {quoted(key)} is for numbers"
            yield source.at_key((*path, key), what, "Use 'words: { ... }' instead")


class _MessageCheck:
    """One message of a target, against what it may name."""

    def __init__(
        self, source: YamlSource, target: KeyPath, name: str, known: Mapping[str, Sendable]
    ) -> None:
        self._source, self._target, self._name, self._known = source, target, name, known
        self._path: KeyPath = (*target, "commands", name)
        self._named: set[str] = set()
        self._with_decimals: set[str] = set()
        self._is_unread = False

    def problems(self) -> Iterator[ConfigProblem]:
        """Everything that is wrong with it."""
        source, path = self._source, self._path
        yield from self._check_words()
        for place, text in _texts(source, path):
            yield from self._check_text(place, text)
        parts = source.get((*path, "binary", "parts"))
        for number, _ in enumerate(parts if isinstance(parts, list) else ()):
            yield from self._check_part((*path, "binary", "parts", number, "value"))
        yield from self._check_ends()

    def _check_words(self) -> Iterator[ConfigProblem]:
        source, name, path = self._source, self._name, (*self._path, "words")
        if not source.keys(path):
            return
        one = self._take(name)
        if one is not None and one.words:
            yield from check_words(source, path, one.words)
        elif one is not None:
            what = f"{quoted(name)} is a number, and 'words' is for words"
            yield source.at_key(path, what, f'Write text: "{{{name}:.2f}}"')
        elif self._known:
            yield _no_such(source, self._path, name, self._known, key=True)

    def _take(self, name: str) -> Sendable | None:
        self._named.add(name)
        return self._known.get(name)

    def _check_text(self, place: KeyPath, text: str) -> Iterator[ConfigProblem]:
        source = self._source
        try:
            template = template_of(text)
        except TemplateError as error:
            self._is_unread = True
            yield source.at_value(place, f"{place_name(place)}: {error}")
            return
        self._with_decimals |= template.with_decimals
        for name in sorted(template.names):
            one = self._take(name)
            if one is None and self._known:
                yield _no_such(source, place, name, self._known, key=False)
            if one is None or not one.words or name not in template.with_decimals:
                continue
            if not self._is_written_by_words(name):
                what = f"{quoted(name)} is {listed(one.words)}: a word has no decimals"
                yield source.at_value(place, what, f"Write {{{name}}}")

    def _check_part(self, place: KeyPath) -> Iterator[ConfigProblem]:
        name = self._source.get(place)
        if not isinstance(name, str):
            return
        one = self._take(name)
        if one is None and self._known:
            yield _no_such(self._source, place, name, self._known, key=False)
        elif one is not None and one.words and not self._is_written_by_words(name, numbers=True):
            what = f"{quoted(name)} is {listed(one.words)}, and a number is needed here"
            hint = (
                f"Say which under 'written:', as {name}: {{ words: {{ {one.words[0]}: 1, ... }} }}"
            )
            yield self._source.at_value(place, what, hint)

    def _is_written_by_words(self, name: str, *, numbers: bool = False) -> bool:
        words = self._source.get((*self._target, "written", name, "words"))
        values = list(words.values()) if isinstance(words, dict) else []
        return bool(values) and not (numbers and any(isinstance(one, str) for one in values))

    def _check_ends(self) -> Iterator[ConfigProblem]:
        source, path, named, known = self._source, self._path, self._named, self._known
        ends = source.keys((*path, "ends"))
        for one in ends:
            if one not in named:
                what = f"{place_name(path)} does not send {quoted(one)}"
                yield source.at_key((*path, "ends", one), what, did_you_mean(one, sorted(named)))
            elif one in self._with_decimals and isinstance(source.get((*path, "ends", one)), str):
                what = f"{quoted(one)} has decimals in the message, so a number is needed here"
                yield source.at_value((*path, "ends", one), what)
        if not named and not self._is_unread and isinstance(source.get(path), dict):
            what = f"{place_name(path)} names no value, so it would never be sent"
            yield source.at_key(path, what, "Name one in braces: {gear}")
        elif named == {WALL_CLOCK} and source.get((*path, "every_s")) is None:
            what = f"{place_name(path)} names nothing that changes, so it would never be sent"
            yield source.at_key(path, what, "Add 'every_s: ...', or name a command in braces")
        held = [one for one in sorted(named) if one in known and known[one].is_held]
        lacking = [quoted(one) for one in held if one not in ends]
        if lacking:
            what = (
                f"{listed(lacking, 'and')} would last in the simulator when data or panel are lost"
            )
            hint = f"Add 'ends: {{ {held[0]}: ... }}' with what is sent then"
            yield replace(source.at_key(path, what, hint), is_warning=True)


def _texts(source: YamlSource, path: KeyPath) -> _Found:
    text = source.get((*path, "text"))
    found: _Found = [((*path, "text"), text)] if isinstance(text, str) else []
    found += [
        ((*path, "words", word), str(source.get((*path, "words", word))))
        for word in source.keys((*path, "words"))
    ]
    tree = (*path, "json_text")
    return found + [((*tree, *steps), text) for steps, text in leaves_of(source.get(tree))]
