"""Loads panel, aircraft and feed files, with every error in one go."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field
from os.path import normpath
from pathlib import Path
from typing import Any, NamedTuple, cast

from pydantic import TypeAdapter, ValidationError

from panelbridge.config.aircraft_check import (
    REPORTED_HERE,
    check_aircraft,
    check_own_parts,
    check_parts_fit,
    check_starts,
)
from panelbridge.config.aircraft_file import AircraftFile
from panelbridge.config.baud import check_bauds
from panelbridge.config.cross_check import check_wiring
from panelbridge.config.dimming import check_dimming
from panelbridge.config.feed_base import FeedBase
from panelbridge.config.feed_file import FeedFile, FixedFeedFile
from panelbridge.config.file_format import FORMAT
from panelbridge.config.fit_check import check_feed_gives, check_panel_fits
from panelbridge.config.layout_check import check_layout
from panelbridge.config.links.link_feed import LinkFeedFile
from panelbridge.config.links.link_feed_check import check_link, check_link_parts
from panelbridge.config.model_problems import empty_keys, json_text, problems_of
from panelbridge.config.own_feeds import feed_model
from panelbridge.config.panel_file import PanelFile
from panelbridge.config.panel_short_forms import in_long_form
from panelbridge.config.pins_to_plan import plan_problem, planned_source
from panelbridge.config.supply_check import check_supplies
from panelbridge.config.value_names import check_values
from panelbridge.config.words import did_you_mean, listed, quoted
from panelbridge.config.yaml_positions import YamlSource
from panelbridge.config.yaml_source import scan_text, scan_yaml
from panelbridge.errors import ConfigError, ConfigProblem
from panelbridge.logic.aircraft import AircraftParameters

KINDS: dict[str, Any] = {"panel": PanelFile, "aircraft": AircraftFile, "feed": FeedFile}
"""The model of each kind of file."""
AnyFeed = FeedBase
AnyFile = PanelFile | AircraftFile | FeedBase


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
    """

    panel: PanelFile
    aircraft: AircraftFile
    feed: AnyFeed | None
    panel_path: Path
    aircraft_path: Path
    feed_path: Path | None = None


class CheckedFile(NamedTuple):
    """A file without errors.

    Attributes:
        file: what it says.
        warnings: what is allowed in it and in the files that it names, and works badly.
        source: its text; of a panel file in the long form.
    """

    file: LoadedPanel | AnyFile
    warnings: tuple[ConfigProblem, ...]
    source: YamlSource


@dataclass(slots=True)
class _Loading:
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


def load_aircraft(path: Path | str) -> AircraftFile:
    """Load an aircraft file.

    Raises:
        ConfigError: with every error in it.
    """
    return cast(AircraftFile, _load(path, "aircraft"))


def load_feed(path: Path | str, aircraft: AircraftFile | None = None) -> AnyFeed:
    """Load a feed file.

    Args:
        path: its path.
        aircraft: the aircraft that it shall fit, when that is known.

    Raises:
        ConfigError: with every error in it.
    """
    return cast(AnyFeed, _load(path, "feed", aircraft))


def _load(path: Path | str, kind: str, aircraft: AircraftFile | None = None) -> AnyFile:
    loading = _Loading()
    return loading.finish(loading.model(loading.read(Path(path)), kind, aircraft))


def load_panel(path: Path | str, feed: Path | None = None) -> LoadedPanel:
    """Load a panel file and the aircraft and feed files that it names.

    Args:
        path: its path.
        feed: a feed file instead of the one that it names.

    Raises:
        ConfigError: with every error in all of them.
    """
    path, loading = Path(path), _Loading()
    return _load_panel(loading.read(path), path, loading, feed)


def load_panel_to_plan(source: YamlSource) -> LoadedPanel:
    """The part of a panel that has its pins, with its aircraft, from what its file says.

    Raises:
        ConfigError: with every error but that pins are missing.
    """
    return _load_panel(source, Path(source.file), _Loading(), None, planning=True)


def kind_of(path: Path | str) -> str:
    """The kind that a file says it is; empty when it cannot be read or says none."""
    source, _ = scan_yaml(Path(path))
    kind = source.get(("kind",)) if source is not None else None
    return kind if isinstance(kind, str) else ""


def check_file(
    path: Path | str, others: Collection[str] = (), feed: Path | None = None
) -> CheckedFile:
    """Load a file of the kind that it says it is.

    Args:
        path: its path.
        others: kinds that are read elsewhere, for the hint when a kind is misspelt.
        feed: of a panel file: a feed file instead of the one that it names.

    Raises:
        ConfigError: with every error in it and in the files that it names.
    """
    path, loading = Path(path), _Loading()
    return _check(loading.read(path), path, others, feed, loading)


def _check(
    source: YamlSource, path: Path, others: Collection[str], feed: Path | None, loading: _Loading
) -> CheckedFile:
    kind = source.get(("kind",))
    if not isinstance(kind, str) or kind not in KINDS:
        raise ConfigError([*loading.problems, _unknown_kind(source, [*KINDS, *others])])
    if kind == "panel":
        found: LoadedPanel | AnyFile = _load_panel(source, path, loading, feed)
        source = in_long_form(source)
    else:
        found = loading.finish(loading.model(source, kind))
    return CheckedFile(found, tuple(loading.problems), source)  # no error, else it raised


def check_text(text: str, path: Path) -> CheckedFile:
    """The same for ``text``, as if it stood in the file at ``path``.

    Raises:
        ConfigError: with every error in it and in the files that it names.
    """
    loading = _Loading()
    source, problems = scan_text(text, str(path))
    loading.problems.extend(problems)
    if source is None:
        raise ConfigError(loading.problems)
    return _check(source, path, (), None, loading)


def _load_panel(
    source: YamlSource,
    path: Path,
    loading: _Loading,
    given_feed: Path | None,
    *,
    planning: bool = False,
) -> LoadedPanel:
    wrong = wrong_kind(source, "panel")
    if wrong is not None:
        raise ConfigError([*loading.problems, wrong])
    planned = planned_source(source)
    if planned.parts and not planning:
        loading.problems.append(plan_problem(source, planned))
    source = planned.named
    panel = cast(PanelFile | None, loading.model(planned.complete, "panel"))
    loading.problems.extend(check_wiring(source, is_whole=not planned.parts))
    loading.problems.extend(check_supplies(source))
    aircraft_source, aircraft_path = _referred(source, path, "aircraft", loading)
    if given_feed is None:
        feed_source, feed_path = _referred(source, path, "feed", loading)
    else:
        feed_source, feed_path = loading.read(given_feed), given_feed
    aircraft = feed = None
    if aircraft_source is not None:
        aircraft = cast(AircraftFile | None, loading.model(aircraft_source, "aircraft"))
    if feed_source is not None:
        feed = cast(AnyFeed | None, loading.model(feed_source, "feed", aircraft))
    if aircraft is not None:
        loading.problems.extend(check_panel_fits(source, aircraft))
        loading.problems.extend(check_layout(source, aircraft))
    is_good = not planned.parts and all(problem.is_warning for problem in loading.problems)
    loading.problems.extend(check_bauds(source))
    if is_good:
        loading.problems.extend(check_dimming(source))
    if aircraft is not None and isinstance(feed, FixedFeedFile | LinkFeedFile):
        loading.problems.extend(check_feed_gives(source, aircraft, feed))
    panel = cast(PanelFile, loading.finish(panel))
    assert aircraft is not None
    fed_from = feed_path if feed else None
    return LoadedPanel(panel, aircraft, feed, path, aircraft_path, fed_from)


def _referred(
    source: YamlSource, path: Path, kind: str, loading: _Loading
) -> tuple[YamlSource | None, Path]:
    """Read the file that the key ``kind`` names; None when that cannot be done or is not asked."""
    name = source.get((kind,))
    if not isinstance(name, str):
        return None, path
    target = Path(normpath(path.parent / name.replace("\\", "/")))
    what, hint = f"{quoted(kind)} is empty", f"Name a file of kind {kind}"
    if name.strip():
        found, problems = scan_yaml(target)
        other = found.get(("kind",)) if found is not None else None
        if found is None and not problems[0].line:  # the name here is wrong, not that file
            what = f"the {kind} file {quoted(name)} cannot be used: {problems[0].what}"
            hint = problems[0].hint or f"It was looked for at {target.as_posix()}"
        elif other != kind and isinstance(other, str) and other in KINDS:
            what = f"{quoted(name)} is a file of kind {other}, and one of kind {kind} is needed"
            hint += " here"
        else:
            loading.problems.extend(problems)
            return found, target
    loading.problems.append(source.at_value((kind,), what, hint))
    return None, target


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


def _unknown_kind(source: YamlSource, kinds: list[str]) -> ConfigProblem:
    value, choices = source.get(("kind",)), f"It can be {listed(kinds)}"
    if not isinstance(source.value, dict):
        hint = f"Begin with the lines 'kind: ...' and 'format: {FORMAT}'. {choices}"
        return source.at_value((), "the file holds no keys", hint)
    if "kind" not in source.value:
        hint = f"Add the line 'kind: ...' at the top. {choices}"
        return source.at_value((), "this file lacks the key 'kind'", hint)
    if isinstance(value, str):
        hint = f"{did_you_mean(value, kinds)} {choices}".strip()
        return source.at_value(("kind",), f"there is no kind of file {quoted(value)}", hint)
    return source.at_key(("kind",), "'kind' must be a text", choices)
