"""Loads panel, aircraft and feed files, with every problem in one go."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field
from os.path import normpath
from pathlib import Path
from typing import Any, cast

from pydantic import TypeAdapter, ValidationError

from panelbridge.config.aircraft_check import TOLD_HERE, check_aircraft, check_parts_fit
from panelbridge.config.aircraft_file import AircraftFile
from panelbridge.config.baud import check_bauds
from panelbridge.config.cross_check import check_wiring
from panelbridge.config.feed_file import DemoFlightFeed, FeedFile, FixedFeedFile
from panelbridge.config.file_format import FORMAT, old_format
from panelbridge.config.fit_check import check_panel_fits
from panelbridge.config.model_problems import json_text, problems_of
from panelbridge.config.own_lamps_check import check_own_lamps
from panelbridge.config.panel_file import PanelFile, TwoContactHandle
from panelbridge.config.panel_short_forms import in_long_form
from panelbridge.config.starts_check import check_starts
from panelbridge.config.value_names import check_values
from panelbridge.config.words import did_you_mean, listed, quoted
from panelbridge.config.yaml_positions import YamlSource
from panelbridge.config.yaml_source import read_yaml
from panelbridge.errors import ConfigError, ConfigProblem
from panelbridge.logic.aircraft import AircraftParameters

KINDS: dict[str, Any] = {"panel": PanelFile, "aircraft": AircraftFile, "feed": FeedFile}
"""The model of each kind of file."""
AnyFile = PanelFile | AircraftFile | DemoFlightFeed | FixedFeedFile


@dataclass(frozen=True, slots=True)
class LoadedPanel:
    """A panel with everything that it refers to.

    Attributes:
        panel: the panel file.
        aircraft: the aircraft file that it names.
        feed: the feed file that it names; None when it names none.
        panel_path: path of the panel file.
        aircraft_path: path of the aircraft file.
        feed_path: path of the feed file; None when there is none.
        warnings: what is allowed in the panel file and works badly.
    """

    panel: PanelFile
    aircraft: AircraftFile
    feed: DemoFlightFeed | FixedFeedFile | None
    panel_path: Path
    aircraft_path: Path
    feed_path: Path | None = None
    warnings: tuple[ConfigProblem, ...] = ()

    @property
    def handle_travel_s(self) -> float:
        """Longest time of the gear handle between its contacts, s; 1.0 when it has only one."""
        handle = self.panel.switches.gear_handle
        return handle.travel_s if isinstance(handle, TwoContactHandle) else 1.0


@dataclass(slots=True)
class _Loading:
    """Files read so far, and their problems."""

    problems: list[ConfigProblem] = field(default_factory=list)

    def read(self, path: Path) -> YamlSource | None:
        try:
            return read_yaml(path)
        except ConfigError as error:
            self.problems.extend(error.problems)
            return None

    def model(
        self, source: YamlSource, kind: str, feeds: AircraftParameters | None = None
    ) -> AnyFile | None:
        """The validated file, or None when it has problems; ``feeds``: the aircraft of a feed."""
        wrong = wrong_kind(source, kind)
        if wrong is not None:
            self.problems.append(wrong)
            return None
        own = list(check_aircraft(source)) if kind == "aircraft" else []
        self.problems.extend(own)
        if kind == "feed":
            self.problems.extend(check_values(source, ("values",), feeds))
        try:
            adapter: TypeAdapter[AnyFile] = TypeAdapter(KINDS[kind])
            model = adapter.validate_json(json_text(source.value))
        except ValidationError as error:
            self.problems.extend(problems_of(error, source, KINDS[kind], TOLD_HERE if own else ()))
            if kind == "aircraft":
                self.problems.extend(check_starts(source, None))
            return None
        if isinstance(model, AircraftFile) and not own:
            self.problems.extend(misfits := list(check_parts_fit(source, model)))
            self.problems.extend(check_starts(source, model))
            if misfits:
                return None
            self.problems.extend(check_own_lamps(source, model))
        return model

    def finish(self, model: AnyFile | None) -> AnyFile:
        """Give ``model`` if nothing at all is wrong. Raises: ConfigError."""
        if self.problems or model is None:
            raise ConfigError(self.problems)
        return model


def load_aircraft(path: Path | str) -> AircraftFile:
    """Load an aircraft file.

    Raises:
        ConfigError: with every problem in it.
    """
    loading = _Loading()
    source = loading.read(Path(path))
    if source is None:
        raise ConfigError(loading.problems)
    return cast(AircraftFile, loading.finish(loading.model(source, "aircraft")))


def load_feed(
    path: Path | str, aircraft: AircraftFile | None = None
) -> DemoFlightFeed | FixedFeedFile:
    """Load a feed file.

    Args:
        path: its path.
        aircraft: the aircraft that it shall fit, when that is known.

    Raises:
        ConfigError: with every problem in it.
    """
    loading = _Loading()
    source = loading.read(Path(path))
    if source is None:
        raise ConfigError(loading.problems)
    feed = loading.model(source, "feed", aircraft)
    return cast(DemoFlightFeed | FixedFeedFile, loading.finish(feed))


def load_panel(path: Path | str) -> LoadedPanel:
    """Load a panel file and the aircraft and feed files that it names.

    Raises:
        ConfigError: with every problem in all of them.
    """
    path, loading = Path(path), _Loading()
    source = loading.read(path)
    if source is None:
        raise ConfigError(loading.problems)
    return _load_panel(source, path, loading)


def kind_of(path: Path | str) -> str:
    """The kind that a file says it is; empty when it cannot be read or says none."""
    try:
        kind = read_yaml(Path(path)).get(("kind",))
    except ConfigError:
        return ""
    return kind if isinstance(kind, str) else ""


def check_file(path: Path | str, others: Collection[str] = ()) -> LoadedPanel | AnyFile:
    """Load a file of the kind that it says it is.

    Args:
        path: its path.
        others: kinds that are read elsewhere, for the advice to whoever misspelt one.

    Raises:
        ConfigError: with every problem in it and in the files that it names.
    """
    path, loading = Path(path), _Loading()
    source = loading.read(path)
    if source is None:
        raise ConfigError(loading.problems)
    kind = source.get(("kind",))
    if kind == "panel":
        return _load_panel(source, path, loading)
    if isinstance(kind, str) and kind in KINDS:
        return loading.finish(loading.model(source, kind))
    raise ConfigError([_unknown_kind(source, [*KINDS, *others])])


def _load_panel(source: YamlSource, path: Path, loading: _Loading) -> LoadedPanel:
    wrong = wrong_kind(source, "panel")
    if wrong is not None:
        raise ConfigError([wrong])
    source = in_long_form(source)
    panel = cast(PanelFile | None, loading.model(source, "panel"))
    loading.problems.extend(check_wiring(source))
    aircraft_source, aircraft_path = _referred(source, path, "aircraft", loading)
    feed_source, feed_path = _referred(source, path, "feed", loading)
    aircraft = feed = None
    if aircraft_source is not None:
        aircraft = cast(AircraftFile | None, loading.model(aircraft_source, "aircraft"))
    if feed_source is not None:
        feed = cast(
            DemoFlightFeed | FixedFeedFile | None, loading.model(feed_source, "feed", aircraft)
        )
    if aircraft is not None:
        loading.problems.extend(check_panel_fits(source, aircraft))
    panel = cast(PanelFile, loading.finish(panel))
    assert aircraft is not None
    fed_from = feed_path if feed else None
    warnings = tuple(check_bauds(source, panel))
    return LoadedPanel(panel, aircraft, feed, path, aircraft_path, fed_from, warnings)


def _referred(
    source: YamlSource, path: Path, kind: str, loading: _Loading
) -> tuple[YamlSource | None, Path]:
    """Read the file that the key ``kind`` names; None when that cannot be done or is not asked."""
    name = source.get((kind,))
    if not isinstance(name, str):
        return None, path
    target = Path(normpath(path.parent / name.replace("\\", "/")))
    if not name.strip():
        what = f"{quoted(kind)} is empty"
        loading.problems.append(source.at_value((kind,), what, f"Name a file of kind {kind}"))
        return None, target
    try:
        found = read_yaml(target)
    except ConfigError as error:
        if error.problems[0].line:
            loading.problems.extend(error.problems)
        else:  # not a problem inside that file: it is the name here that is wrong
            loading.problems.append(
                source.at_value(
                    (kind,),
                    f"the {kind} file {quoted(name)} cannot be used: {error.problems[0].what}",
                    error.problems[0].hint or f"It was looked for at {target.as_posix()}",
                )
            )
        return None, target
    other = found.get(("kind",))
    if other != kind and isinstance(other, str) and other in KINDS:
        what = f"{quoted(name)} is a file of kind {other}, and one of kind {kind} is needed"
        loading.problems.append(source.at_value((kind,), what, f"Name a file of kind {kind} here"))
        return None, target
    return found, target


def wrong_kind(source: YamlSource, kind: str) -> ConfigProblem | None:
    """The problem of a file that cannot be one of kind ``kind`` at all."""
    if not isinstance(source.value, dict):
        what = "the file holds no keys"
        return source.at_value(
            (), what, f"Begin with the lines 'kind: {kind}' and 'format: {FORMAT}'"
        )
    found = source.get(("kind",))
    if found != kind and isinstance(found, str) and found in KINDS:
        what = f"this is a file of kind {found}, and one of kind {kind} is needed"
        return source.at_value(("kind",), what)
    return old_format(source)


def _unknown_kind(source: YamlSource, kinds: list[str]) -> ConfigProblem:
    value = source.get(("kind",))
    choices = f"It can be {listed(kinds)}"
    if not isinstance(source.value, dict):
        return source.at_value(
            (),
            "the file holds no keys",
            f"Begin with the lines 'kind: ...' and 'format: {FORMAT}'. {choices}",
        )
    if "kind" not in source.value:
        hint = f"Add the line 'kind: ...' at the top. {choices}"
        return source.at_value((), "this file lacks the key 'kind'", hint)
    if isinstance(value, str):
        close = did_you_mean(value, kinds)
        hint = f"{close} {choices}" if close else choices
        return source.at_value(("kind",), f"there is no kind of file {quoted(value)}", hint)
    return source.at_key(("kind",), "'kind' must be a text", choices)
