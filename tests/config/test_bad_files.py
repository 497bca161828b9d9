"""Every problem that can be made in a file, with the exact message for each.

``bad/NAME.yaml`` is a file with problems, ``bad/NAME.expected`` all that is said about it. To see
what is said now, e.g. after a new file was added::

    cd tests/config/bad && panelbridge check NAME.yaml
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from panelbridge.config import commands
from panelbridge.config.load import check_file
from panelbridge.errors import ConfigError

BAD = Path(__file__).parent / "bad"
NAMES = sorted(path.stem for path in BAD.glob("*.yaml"))
MACHINE_WORDS = re.compile(
    r"input(?!s)|valid|pydantic|\bdict|\bstr\b|\bint\b|\bbool\b|(?-i:None)|instance|union|"
    r"discriminator|literal|tuple|object\b|mapping|scalar|<block|token|regex|Traceback|\bTrue\b|"
    r"\bFalse\b",
    re.IGNORECASE,
)


@pytest.fixture(autouse=True)
def _in_the_folder(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(BAD)


@pytest.mark.parametrize("name", NAMES)
def test_message(name: str) -> None:
    with pytest.raises(ConfigError) as caught:
        check_file(f"{name}.yaml")
    expected = (BAD / f"{name}.expected").read_text("utf-8")
    assert f"{caught.value}\n".replace("good\\", "good/") == expected


def test_every_file_has_its_message_and_the_other_way_round() -> None:
    assert sorted(path.stem for path in BAD.glob("*.expected")) == NAMES
    assert len(NAMES) >= 90


@pytest.mark.parametrize("name", NAMES)
def test_messages_speak_to_people(name: str) -> None:
    lines = (BAD / f"{name}.expected").read_text("utf-8").splitlines()
    for line in lines:
        without_quotes = re.sub(r"'[^']*'", "", line)
        text = re.sub(r"^\S+\.yaml(:\d+:\d+)?: ", "", without_quotes)
        found = MACHINE_WORDS.search(text.replace("true", "").replace("false", ""))
        assert found is None, line
        assert not line.endswith("."), line


def test_check_prints_all_of_them_and_gives_exit_code_2(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert commands.check(["pin_twice.yaml", "good/panel.yaml", "kind_unknown.yaml"]) == 2
    printed = capsys.readouterr()
    good = Path("good/panel.yaml")  # with backslashes on Windows
    assert printed.out.startswith(f"{good}: good panel file 'Test panel'")
    pin_twice = (BAD / "pin_twice.expected").read_text("utf-8")
    kind_unknown = (BAD / "kind_unknown.expected").read_text("utf-8")
    assert printed.err == f"{kind_unknown}{pin_twice}3 errors\n"


def test_a_mistake_in_a_shared_file_is_told_once(capsys: pytest.CaptureFixture[str]) -> None:
    assert commands.check(["feed_values.yaml", "feed_values.yaml"]) == 2
    expected = (BAD / "feed_values.expected").read_text("utf-8")
    assert capsys.readouterr().err == f"{expected}10 errors\n"


@pytest.mark.parametrize("name", ["panel", "aircraft", "feed", "own_switches"])
def test_the_files_that_the_bad_ones_are_made_of_are_good(name: str) -> None:
    check_file(BAD / "good" / f"{name}.yaml")
