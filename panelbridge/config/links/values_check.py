"""Do the values of a link fit the aircraft? Reads the raw values, beside other problems."""

from __future__ import annotations

from collections.abc import Iterator

from panelbridge.config.links.units import WrongUnit, factor_between
from panelbridge.config.reading_context import ReadableNames, ReadingContext
from panelbridge.config.value_names import ValueNames
from panelbridge.config.words import did_you_mean, listed, quoted
from panelbridge.config.yaml_positions import KeyPath, YamlSource, place_name
from panelbridge.errors import ConfigProblem
from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.aircraft_values import AircraftValue

_FOR_NUMBERS = ("unit", "table", "smooth_s")
_FOR_WORDS = ("above", "below", "words")
_HANDLE = "simulator_handle"


def check_link_values(
    source: YamlSource, aircraft: AircraftParameters | None
) -> list[ConfigProblem]:
    """Names of values, their units, words, and what of it does not fit a number or a word."""
    problems: list[ConfigProblem] = []
    context, names = ReadingContext(source, ReadableNames(), problems), ValueNames(aircraft)
    for name in source.keys(("values",)):
        path, spec = ("values", name), names.find(name)
        if spec is None:
            context.no_such(path, "aircraft value", name, names.specs, key=True)
        elif not isinstance(source.get(path), dict):
            continue  # the model says so
        elif spec.form == "number":
            problems += _check_number(source, path, spec)
        else:
            problems += _check_word(source, path, name, spec)
    return problems


def _check_number(
    source: YamlSource, path: KeyPath, spec: AircraftValue
) -> Iterator[ConfigProblem]:
    for key in _FOR_WORDS:
        if source.get((*path, key)) is not None:
            what = f"{place_name(path)} is a number, and {quoted(key)} is for words"
            yield source.at_key((*path, key), what, "Use 'scale', 'offset' or 'table' instead")
    yield from check_unit(source, (*path, "unit"), spec.unit)


def check_unit(source: YamlSource, path: KeyPath, wanted: str) -> Iterator[ConfigProblem]:
    """A unit that is not known, or that cannot be converted to ``wanted`` or from it."""
    unit = source.get(path)
    if not isinstance(unit, str) or not unit:
        return
    factor = factor_between(unit, wanted)
    if isinstance(factor, WrongUnit):
        hint = factor.hint or did_you_mean(unit, factor.choices)
        listing = f"It can be {listed(factor.choices)}" if factor.choices else ""
        between = " " if hint.endswith("?") else ". "
        yield source.at_value(path, factor.what, between.join(filter(None, (hint, listing))))


def _check_word(
    source: YamlSource, path: KeyPath, name: str, spec: AircraftValue
) -> Iterator[ConfigProblem]:
    words = listed(spec.words)
    for key in _FOR_NUMBERS:
        if source.get((*path, key)) not in (None, 0):
            what = f"{place_name(path)} is {words}, and {quoted(key)} is for numbers"
            yield source.at_key((*path, key), what, "Use 'above', 'below' or 'words' instead")
    given = source.keys((*path, "words"))
    yield from check_words(source, (*path, "words"), spec.words)
    if source.get((*path, "inverted")) is True and given:
        what = "'inverted' and 'words' exclude each other"
        yield source.at_key((*path, "inverted"), what, "Write the words the other way round")
    seen: dict[object, str] = {}
    for word in given:
        raw = source.get((*path, "words", word))
        for one in raw if isinstance(raw, list) else [raw]:
            if isinstance(one, str | int | float):
                first = seen.setdefault(one, word)
                if first != word:
                    what = f"{quoted(one)} is both {first} and {word}"
                    yield source.at_key((*path, "words", word), what, "Each is sent for one word")
    if name == _HANDLE and all(source.get((*path, key)) is None for key in _FOR_WORDS):
        what = f"{place_name(path)} does not say what is sent for {words}"
        yield source.at_key(path, what, "Add 'words: { up: 0, down: 1 }' with what yours sends")


def check_words(
    source: YamlSource, path: KeyPath, words: tuple[str, ...]
) -> Iterator[ConfigProblem]:
    """Words that a value or command cannot be."""
    for word in source.keys(path):
        if word not in words:
            hint = did_you_mean(word, words) or f"Its words are {listed(words, 'and')}"
            yield source.at_key((*path, word), f"there is no word {quoted(word)} here", hint)
