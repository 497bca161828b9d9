"""Reads one file of a kind into its model, and keeps every problem on the way."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from msgspec import Struct, field
from pydantic import TypeAdapter, ValidationError

from panelbridge.config.aircraft_check import (
    REPORTED_HERE,
    check_aircraft,
    check_own_parts,
    check_parts_fit,
    check_starts,
)
from panelbridge.config.aircraft_file import AircraftFile
from panelbridge.config.feed_base import FeedBase
from panelbridge.config.feed_file import FeedFile
from panelbridge.config.file_format import FORMAT
from panelbridge.config.links.link_feed import LinkFeedFile
from panelbridge.config.links.link_feed_check import check_link, check_link_parts
from panelbridge.config.model_problems import empty_keys, json_text, problems_of
from panelbridge.config.own_feeds import feed_model
from panelbridge.config.panel_file import PanelFile
from panelbridge.config.value_names import check_values
from panelbridge.config.words import choices_hint, listed, quoted
from panelbridge.config.yaml_positions import YamlSource
from panelbridge.config.yaml_source import scan_yaml
from panelbridge.errors import ConfigError, ConfigProblem
from panelbridge.logic.aircraft import AircraftParameters

KINDS: dict[str, Any] = {"panel": PanelFile, "aircraft": AircraftFile, "feed": FeedFile}
"""The model of each kind of file."""
AnyFeed = FeedBase
AnyFile = PanelFile | AircraftFile | FeedBase


class Loading(Struct):
    """Files read so far, and their problems."""

    problems: list[ConfigProblem] = field(default_factory=list)

    def read(self, path: Path) -> YamlSource:
        """The file at ``path``. Raises: ConfigError, when it cannot be read on."""
        source, problems = scan_yaml(path)
        self.problems.extend(problems)
        if source is None:
            raise ConfigError(self.problems)
        return source

    def model(
        self, source: YamlSource, kind: str, aircraft: AircraftParameters | None = None
    ) -> AnyFile | None:
        """The validated file, or None when it has errors; ``aircraft`` is that of a feed file."""
        wrong = wrong_kind(source, kind)
        if wrong is not None:
            self.problems.append(wrong)
            return None
        root, own = KINDS[kind], list[ConfigProblem]()
        if kind == "feed":
            root = feed_model(source)
            if isinstance(root, ConfigProblem):
                self.problems.append(root)
                return None
        if kind == "aircraft":
            own = list(check_aircraft(source))
        elif root is FeedFile:
            own = _check_feed(source, aircraft)
        reported = REPORTED_HERE if kind == "aircraft" and own else ()
        model: AnyFile | None = None
        adapter: TypeAdapter[AnyFile] = TypeAdapter(root)
        try:
            model = adapter.validate_json(json_text(source.value))
        except ValidationError as error:
            own += problems_of(error, source, root, reported)
        if kind == "aircraft":
            fitting = model if isinstance(model, AircraftFile) and not own else None
            own += check_starts(source, fitting)
            if fitting is not None:
                misfits = [*check_parts_fit(source, fitting)]
                if all(one.is_warning for one in misfits):
                    misfits += check_own_parts(source, fitting)
                own += misfits
                model = model if all(one.is_warning for one in misfits) else None
        if isinstance(model, LinkFeedFile):
            own += check_link_parts(source, model)
        own += empty_keys(source, root, own)
        self.problems.extend(own)
        return model

    def finish(self, model: AnyFile | None) -> AnyFile:
        """Give ``model`` if it has no error. Raises: ConfigError."""
        if model is None or not all(problem.is_warning for problem in self.problems):
            raise ConfigError(self.problems)
        return model


def _check_feed(source: YamlSource, aircraft: AircraftParameters | None) -> list[ConfigProblem]:
    if source.get(("source",)) == "link":
        return check_link(source, aircraft)
    return list(check_values(source, ("values",), aircraft))


def wrong_kind(source: YamlSource, kind: str) -> ConfigProblem | None:
    """The one error of a file that cannot be read as one of kind ``kind`` at all."""
    if not isinstance(source.value, dict):
        hint = f"Begin with the lines 'kind: {kind}' and 'format: {FORMAT}'"
        return source.at_value((), "the file holds no keys", hint)
    found = source.get(("kind",))
    if found != kind and isinstance(found, str) and found in KINDS:
        what = f"this is a file of kind {found}, and one of kind {kind} is needed"
        return source.at_value(("kind",), what)
    if source.get(("format",)) in range(1, FORMAT):
        what = (
            f"format 1 is no longer read: this program reads format {FORMAT}, and "
            f"'panelbridge schema {kind} --reference' lists the renamed keys"
        )
        return source.at_value(("format",), what)
    return None


def unknown_kind(source: YamlSource, kinds: list[str]) -> ConfigProblem:
    """The one error of a file whose kind is none of ``kinds``."""
    value, choices = source.get(("kind",)), f"It can be {listed(kinds)}"
    if not isinstance(source.value, dict):
        hint = f"Begin with the lines 'kind: ...' and 'format: {FORMAT}'. {choices}"
        return source.at_value((), "the file holds no keys", hint)
    if "kind" not in source.value:
        hint = f"Add the line 'kind: ...' at the top. {choices}"
        return source.at_value((), "this file lacks the key 'kind'", hint)
    if isinstance(value, str):
        what = f"there is no kind of file {quoted(value)}"
        return source.at_value(("kind",), what, choices_hint(value, kinds))
    return source.at_key(("kind",), "'kind' must be a text", choices)
