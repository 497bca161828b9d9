"""Loads panel, aircraft and feed files, with every error in one go."""

from __future__ import annotations

from collections.abc import Collection
from os.path import normpath
from pathlib import Path
from typing import NamedTuple, cast

from msgspec import Struct

from panelbridge.config.aircraft_file import AircraftFile
from panelbridge.config.baud import check_bauds
from panelbridge.config.cross_check import check_wiring
from panelbridge.config.dimming import check_dimming
from panelbridge.config.feed_file import FixedFeedFile
from panelbridge.config.fit_check import check_feed_gives, check_layout, check_panel_fits
from panelbridge.config.links.link_feed import LinkFeedFile
from panelbridge.config.loading import KINDS, AnyFeed, AnyFile, Loading, unknown_kind, wrong_kind
from panelbridge.config.panel_file import PanelFile
from panelbridge.config.panel_short_forms import in_long_form
from panelbridge.config.pins_to_plan import plan_problem, planned_source
from panelbridge.config.supply_check import check_supplies
from panelbridge.config.words import quoted
from panelbridge.config.yaml_positions import YamlSource
from panelbridge.config.yaml_source import scan_text, scan_yaml
from panelbridge.errors import ConfigError, ConfigProblem


class LoadedPanel(Struct, frozen=True):
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
    loading = Loading()
    return loading.finish(loading.model(loading.read(Path(path)), kind, aircraft))


def load_panel(path: Path | str, feed: Path | None = None) -> LoadedPanel:
    """Load a panel file and the aircraft and feed files that it names.

    Args:
        path: its path.
        feed: a feed file instead of the one that it names.

    Raises:
        ConfigError: with every error in all of them.
    """
    path, loading = Path(path), Loading()
    return _load_panel(loading.read(path), path, loading, feed)


def load_panel_to_plan(source: YamlSource) -> LoadedPanel:
    """The part of a panel that has its pins, with its aircraft, from what its file says.

    Raises:
        ConfigError: with every error but that pins are missing.
    """
    return _load_panel(source, Path(source.file), Loading(), None, planning=True)


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
    path, loading = Path(path), Loading()
    return _check(loading.read(path), path, others, feed, loading)


def _check(
    source: YamlSource, path: Path, others: Collection[str], feed: Path | None, loading: Loading
) -> CheckedFile:
    kind = source.get(("kind",))
    if not isinstance(kind, str) or kind not in KINDS:
        raise ConfigError([*loading.problems, unknown_kind(source, [*KINDS, *others])])
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
    loading = Loading()
    source, problems = scan_text(text, str(path))
    loading.problems.extend(problems)
    if source is None:
        raise ConfigError(loading.problems)
    return _check(source, path, (), None, loading)


def _load_panel(
    source: YamlSource,
    path: Path,
    loading: Loading,
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
    source: YamlSource, path: Path, kind: str, loading: Loading
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
