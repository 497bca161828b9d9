"""A YAML file that is edited in memory, shown as a diff, checked, and then written."""

from __future__ import annotations

import difflib
import json
import re
from collections.abc import Mapping
from pathlib import Path

from panelbridge.config.load import LoadedPanel, check_text
from panelbridge.config.panel_file import PanelFile
from panelbridge.config.panel_short_forms import is_wired
from panelbridge.config.yaml_positions import KeyPath, Value, YamlSource, place_name
from panelbridge.config.yaml_source import scan_text
from panelbridge.config.yaml_text import MAX_BYTES, decode, read_text
from panelbridge.errors import ConfigError, ConfigProblem, UsageError
from panelbridge.wiring.electrics.check import check_electrics
from panelbridge.wiring.file_edit import plain_values, text_edits
from panelbridge.wiring.file_edit.written_file import old_copy, put_in_place

_BYTE_ORDER_MARK = "\ufeff"
_ROOT_ORDER = (*PanelFile.model_fields,)
_PART_ORDER = ("form", "board", "pin", "up_pin", "down_pin")
_LINE_END = re.compile(r"\r\n|\r|\n")
_BY_HAND = "Write it by hand; nothing was changed"


class PanelEdit:
    """A file with edits that are not written yet.

    Ways are those of the file as it is written, and a short form may be addressed as if it were
    long: in ``nose_green: D4`` both ``(lamps, nose_green)`` and ``(lamps, nose_green, pin)`` are
    the pin, and any other key makes a group of it first.

    Raises:
        ConfigError: the file cannot be read, or is no YAML that is allowed here.
    """

    def __init__(self, path: Path | str) -> None:
        self.path = Path(path)
        text = read_text(self.path)  # refuses folders, pipes and devices
        if isinstance(text, ConfigProblem):
            raise ConfigError([text])
        self._on_disk = self.path.read_bytes()
        again = decode(self._on_disk, str(path))
        if isinstance(again, ConfigProblem):
            raise ConfigError([again])
        self._original = self._text = again
        self._source = self._read(again)
        self._value = self._source.value
        self._is_several = False

    @property
    def text(self) -> str:
        """The edited text, with its line ends and without its byte-order mark."""
        return self._text

    @property
    def source(self) -> YamlSource:
        """What the edited text says, with the place of everything."""
        return self._source

    @property
    def is_changed(self) -> bool:
        """Whether there is anything to write."""
        return self._text != self._original

    def get(self, path: KeyPath) -> Value:
        """The value at ``path``; None when there is nothing."""
        return plain_values.value_at(self._value, self._written_path(path))

    def has(self, path: KeyPath) -> bool:
        """Whether there is a key at ``path``, be it without a value."""
        return plain_values.is_there(self._value, self._written_path(path))

    def set(self, path: KeyPath, value: Value) -> None:
        """Put ``value`` at ``path``: in place of what is there, or as a new key or last item.

        Groups around it are made when they are missing. A group in place of a group is edited key
        by key, so that comments in it stay. None leaves the key without a value.

        Raises:
            UsageError: this part of the file cannot be edited by a program (anchors and aliases).
        """
        path = self._written_path(path)
        around = plain_values.value_at(self._value, path[:-1])
        short = len(path) > 1 and is_wired(path[:-1]) and not isinstance(around, dict | list)
        if short and around is not None:
            self._set(path[:-1], {"pin": around, str(path[-1]): value})
            return
        if around is None and len(path) > 1:
            self.set(path[:-1], {str(path[-1]): value})
            return
        old = plain_values.value_at(self._value, path)
        if isinstance(old, dict) and isinstance(value, dict) and old and value:
            for key, part in value.items():
                self.set((*path, key), part)
            for key in [key for key in old if key not in value]:
                self.delete((*path, key))
            return
        self._set(path, value)

    def set_all(self, values: Mapping[KeyPath, Value]) -> None:
        """The same for many values, which is faster; all of them or none.

        Raises:
            UsageError: one of them cannot be edited.
        """
        before = self._text, self._value
        self._is_several = True
        try:
            for path, value in values.items():
                self.set(path, value)
        finally:
            self._is_several = False
        (text, wanted), (self._text, self._value) = (self._text, self._value), before
        if values:
            self._take(text, wanted, next(iter(values)))

    def delete(self, path: KeyPath) -> None:
        """Take away what is at ``path``; a group or list that becomes empty goes too.

        Raises:
            UsageError: there is nothing, or it cannot be edited by a program.
        """
        path = self._there(path)
        text = text_edits.without(self._text, path)
        self._take(text, plain_values.with_deleted(self._value, path), path)

    def swap(self, first: KeyPath, second: KeyPath) -> None:
        """Exchange two values; one that is missing is taken from one place and put at the other.

        Comments stay where they are.

        Raises:
            UsageError: one of them cannot be edited.
        """
        one, other = self.get(first), self.get(second)
        has_one, has_other = self.has(first), self.has(second)
        for path, value, given, had in (
            (first, other, has_other, has_one),
            (second, one, has_one, has_other),
        ):
            if given:
                self.set(path, value)
            elif had:
                self.delete(path)

    def diff(self) -> str:
        """What is changed, as a unified diff; empty when nothing is."""
        old, new = (_lines(text) for text in (self._original, self._text))
        name = self.path.name
        lines = difflib.unified_diff(old, new, name, f"{name} (proposed)", n=2, lineterm="")
        return "\n".join(lines)

    def check(self) -> tuple[ConfigProblem, ...]:
        """The warnings of ``check`` for the edited text. Raises: ConfigError with its errors."""
        checked = check_text(self._text, self.path)
        problems = [*checked.warnings]
        if isinstance(checked.file, LoadedPanel):
            problems += check_electrics(checked.file.panel, checked.source)
        if not all(problem.is_warning for problem in problems):
            raise ConfigError(problems)
        return tuple(problems)

    def write(self) -> Path | None:
        """Check the edited text and put it in place of the file, with a copy of the old one.

        Returns:
            The copy; None when nothing was changed and nothing written.

        Raises:
            ConfigError: ``check`` refuses the edited text; nothing was written.
            UsageError: the file was changed meanwhile, or cannot be written; nothing was written.
        """
        if not self.is_changed:
            return None
        self.check()
        has_mark = self._on_disk.startswith(_BYTE_ORDER_MARK.encode())
        data = ((_BYTE_ORDER_MARK if has_mark else "") + self._text).encode()
        if len(data) > MAX_BYTES:
            raise UsageError("the file would become too large", str(self.path), _BY_HAND)
        copy = old_copy(self.path, self._on_disk)
        try:
            put_in_place(self.path, self._on_disk, data)
        except UsageError:
            copy.unlink(missing_ok=True)
            raise
        self._on_disk, self._original = data, self._text
        return copy

    def _read(self, text: str) -> YamlSource:
        source, problems = scan_text(text, str(self.path))
        if source is None or problems:
            raise ConfigError(problems)
        return source

    def _written_path(self, path: KeyPath) -> KeyPath:
        """``path`` as the file has it: the pin of a short form is the whole of it."""
        if path[-1:] != ("pin",) or not is_wired(path[:-1]):
            return path
        is_short = isinstance(plain_values.value_at(self._value, path[:-1]), str | int)
        return path[:-1] if is_short else path

    def _there(self, path: KeyPath) -> KeyPath:
        path = self._written_path(path)
        if not plain_values.is_there(self._value, path):
            raise UsageError(f"there is no {place_name(path)} in this file", str(self.path))
        return path

    def _set(self, path: KeyPath, value: Value) -> None:
        there = plain_values.is_there(self._value, path)
        if there and _plain(plain_values.value_at(self._value, path)) == _plain(value):
            return
        if there:
            text = text_edits.with_value(self._text, path, value)
        else:
            order = _ROOT_ORDER if len(path) == 1 else _PART_ORDER if is_wired(path[:-1]) else ()
            text = text_edits.with_key(self._text, path, value, order)
        self._take(text, plain_values.with_set(self._value, path, value), path)

    def _take(self, text: str, wanted: Value, path: KeyPath) -> None:
        """Take over an edited text if it says what it should. Raises: UsageError."""
        if not self._is_several:
            source, problems = scan_text(text, str(self.path))
            if source is None or problems or _plain(source.value) != _plain(wanted):
                what = f"{place_name(path)} stands in a form that is shared or unusual"
                where = self._source.at_key(path, "").where
                raise UsageError(f"{what}, and cannot be edited", where, _BY_HAND)
            self._source = source
        self._text, self._value = text, wanted


def _lines(text: str) -> list[str]:
    lines = _LINE_END.split(text)
    return lines[:-1] if lines[-1] == "" else lines


def _plain(value: Value) -> str:
    return json.dumps(value, sort_keys=True)
