"""Every error that can be made in a scenario file, with the exact message for each.

``bad/NAME.yaml`` is a file with errors, ``bad/NAME.expected`` all that is said about it. To see
what is said now, e.g. after a new file was added::

    cd tests/bench/bad && panelbridge check NAME.yaml
"""

from __future__ import annotations

from pathlib import Path

import pytest

from panelbridge.bench.language.load_scenario import load_scenarios
from panelbridge.errors import ConfigError
from tests.config.test_bad_files import MACHINE_WORDS

BAD = Path(__file__).parent / "bad"
NAMES = sorted(path.stem for path in BAD.glob("*.yaml"))


@pytest.fixture(autouse=True)
def _in_the_folder(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(BAD)


@pytest.mark.parametrize("name", NAMES)
def test_message(name: str) -> None:
    with pytest.raises(ConfigError) as caught:
        load_scenarios(f"{name}.yaml")
    expected = (BAD / f"{name}.expected").read_text("utf-8")
    assert f"{caught.value}\n".replace("good\\", "good/") == expected


def test_every_file_has_its_message_and_the_other_way_round() -> None:
    assert sorted(path.stem for path in BAD.glob("*.expected")) == NAMES
    assert len(NAMES) >= 60


@pytest.mark.parametrize("name", NAMES)
def test_messages_speak_to_people(name: str) -> None:
    import re

    for line in (BAD / f"{name}.expected").read_text("utf-8").splitlines():
        without_quotes = re.sub(r"'[^']*'", "", line)
        text = re.sub(r"^\S+\.(yaml|txt)(:\d+:\d+)?: ", "", without_quotes)
        found = MACHINE_WORDS.search(text.replace("true", "").replace("false", ""))
        assert found is None, line
        assert not line.endswith("."), line


@pytest.mark.parametrize("name", ["scenario", "lamps", "cases", "waits"])
def test_the_files_that_the_bad_ones_include_are_good(name: str) -> None:
    assert load_scenarios(BAD / "good" / f"{name}.yaml")
