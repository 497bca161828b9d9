"""A missing extra is one line with the command that installs it, and exit code 2."""

from __future__ import annotations

import json
import re
import sys
import tomllib
from pathlib import Path

import pytest

from panelbridge.cli import app
from panelbridge.errors import UsageError
from panelbridge.extras import require_extra


def test_an_installed_library_is_imported() -> None:
    assert require_extra("json", "any") is json


@pytest.mark.parametrize("module", ["no_such_library", "no_such_library.inside"])
def test_a_missing_library_names_its_extra_and_the_command(
    module: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "executable", "/venv/bin/python")
    with pytest.raises(UsageError) as caught:
        require_extra(module, "mqtt")
    assert str(caught.value) == (
        "this needs the extra 'mqtt', which is not installed: "
        '/venv/bin/python -m pip install "panelbridge[mqtt]"'
    )


def test_a_path_with_a_space_is_quoted(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "executable", "/my venv/bin/python")
    with pytest.raises(UsageError, match='"/my venv/bin/python" -m pip'):
        require_extra("no_such_library", "web")


def test_a_library_that_is_there_and_lacks_something_is_another_fault(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "half_a_library.py").write_text("import no_such_library\n", encoding="utf-8")
    monkeypatch.syspath_prepend(tmp_path)
    with pytest.raises(ModuleNotFoundError, match="no_such_library"):
        require_extra("half_a_library", "fdm")


def test_a_command_ends_with_one_line_and_exit_code_2(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def lacking(**_: object) -> None:
        require_extra("no_such_library", "web")

    monkeypatch.setattr(app, "_command", lambda: lacking)
    assert app.run_app(["run"]) == 2
    error = capsys.readouterr().err
    assert error.startswith("panelbridge: this needs the extra 'web'")
    assert error.count("\n") == 1


def test_all_is_every_extra_but_that_of_the_tests() -> None:
    project = Path(__file__).parent.parent / "pyproject.toml"
    extras = tomllib.loads(project.read_text("utf-8"))["project"]["optional-dependencies"]
    (everything,) = extras["all"]
    found = re.fullmatch(r"panelbridge\[(.+)\]", everything)
    assert found is not None
    assert set(found[1].split(",")) == set(extras) - {"all", "test"}
