"""The aircraft or panel that a scenario is for, read once for many scenarios."""

from __future__ import annotations

from os.path import normpath
from pathlib import Path

from panelbridge.bench.language.names import Names
from panelbridge.config.load import kind_of, load_aircraft, load_panel
from panelbridge.config.loading import KINDS
from panelbridge.config.words import listed, quoted
from panelbridge.config.yaml_positions import YamlSource
from panelbridge.errors import ConfigError, ConfigProblem

TARGETS = ("aircraft", "panel")
"""The keys that can name a target; a scenario has one of them."""


class Targets:
    """Aircraft and panels by path. Files that change meanwhile are not read again."""

    def __init__(self) -> None:
        self._found: dict[tuple[str, Path], Names | ConfigError] = {}

    def find(self, source: YamlSource, path: Path) -> tuple[Names | None, list[ConfigProblem]]:
        """The target that the scenario ``source`` at ``path`` names, or the errors in the way."""
        keys = [key for key in TARGETS if source.get((key,)) is not None]
        if len(keys) != 1:
            return None, [_not_one(source, keys)]
        kind = keys[0]
        name = source.get((kind,))
        if not isinstance(name, str):
            return None, []  # the model of the file reports it
        if not name.strip():
            hint = f"Name a file of kind {kind}"
            return None, [source.at_value((kind,), f"{quoted(kind)} is empty", hint)]
        target = beside(path, name)
        try:
            return self._load(kind, target), []
        except ConfigError as error:
            return None, self._problems(error, source, kind, name, target)

    def aircraft_path(self, source: YamlSource, path: Path) -> Path | None:
        """Path of the aircraft file that the scenario is about in the end; None when unclear."""
        names, _ = self.find(source, path)
        if names is None:
            return None
        kind = next(key for key in TARGETS if source.get((key,)) is not None)
        found = beside(path, str(source.get((kind,))))
        if names.panel is not None:
            found = beside(found, names.panel.aircraft)
        return found.resolve()

    def _load(self, kind: str, target: Path) -> Names:
        found = self._found.get((kind, target))
        if found is None:
            try:
                if kind == "panel":
                    panel = load_panel(target)
                    found = Names(panel.aircraft, panel.panel)
                else:
                    found = Names(load_aircraft(target), None)
            except ConfigError as error:
                found = error
            self._found[kind, target] = found
        if isinstance(found, ConfigError):
            raise found
        return found

    def _problems(
        self, error: ConfigError, source: YamlSource, kind: str, name: str, target: Path
    ) -> list[ConfigProblem]:
        first = error.problems[0]
        if not first.line:  # no error inside that file: the name here is wrong
            what = f"the {kind} file {quoted(name)} cannot be used: {first.what}"
            hint = first.hint or f"It was looked for at {target.as_posix()}"
            return [source.at_value((kind,), what, hint)]
        other = kind_of(target)
        if other != kind and other in (*KINDS, "scenario"):
            what = f"{quoted(name)} is a file of kind {other}, and one of kind {kind} is needed"
            hint = f"Write '{other}: {name}'" if other in TARGETS else ""
            return [source.at_value((kind,), what, hint)]
        return list(error.problems)


def beside(path: Path, name: str) -> Path:
    """The file ``name``, as it is written in the file ``path``."""
    return Path(normpath(path.parent / name.replace("\\", "/")))


def _not_one(source: YamlSource, keys: list[str]) -> ConfigProblem:
    if keys:
        what = f"the scenario has two targets: {listed(keys, 'and')}"
        hint = "Delete 'aircraft:'; the panel file names its aircraft"
        return source.at_key(("aircraft",), what, hint)
    what = "the scenario does not say which aircraft or panel it is for"
    return source.at_key((), what, "Add 'aircraft: FILE' or 'panel: FILE'")
