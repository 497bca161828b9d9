"""The reference of all keys: kept fresh, and nothing is missing in it."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest

from panelbridge.config import commands
from panelbridge.config.file_format import RENAMED
from panelbridge.config.guessed_words import GUESSED_WORDS
from panelbridge.config.key_reference import reference_text
from panelbridge.config.shipped import shipped_folder
from panelbridge.config.value_names import check_values
from panelbridge.config.words import did_you_mean
from tests.config.texts import parse_yaml

FOLDER = shipped_folder() / "schemas"
KINDS = sorted(path.name.partition(".")[0] for path in FOLDER.glob("*.schema.json"))


def schema_of(kind: str) -> dict[str, Any]:
    schema: dict[str, Any] = json.loads((FOLDER / f"{kind}.schema.json").read_text("utf-8"))
    return schema


def words_in(part: Any) -> set[str]:
    """Every key and every word that a schema knows."""
    if isinstance(part, list):
        return {word for item in part for word in words_in(item)}
    if not isinstance(part, dict):
        return set()
    found = {*part.get("properties", {}), *map(str, part.get("enum", ()))}
    found |= {name.strip("^$").replace("[1-8]", "1") for name in part.get("patternProperties", ())}
    found |= {str(part["const"])} if "const" in part else set()
    return found.union(*(words_in(value) for value in part.values()))


@pytest.mark.parametrize("kind", KINDS)
def test_the_shipped_reference_is_that_of_the_schema(kind: str) -> None:
    """To renew it: ``panelbridge schema KIND --reference > configs/schemas/KIND.md``."""
    assert (FOLDER / f"{kind}.md").read_text("utf-8") == reference_text(kind, schema_of(kind))


@pytest.mark.parametrize("kind", KINDS)
def test_every_key_has_its_row_with_what_it_can_be_and_a_sentence(kind: str) -> None:
    text = (FOLDER / f"{kind}.md").read_text("utf-8")
    parts = [schema_of(kind), *schema_of(kind).get("$defs", {}).values()]
    keys = sum(
        len({**group.get("properties", {}), **group.get("patternProperties", {})})
        for part in parts
        for group in (part["anyOf"][-1] if "anyOf" in part else part,)
    )
    rows = re.findall(r"^\| `([^`]+)` \| (.+?) \| (.*?) ?\| (.*) \|$", text, re.MULTILINE)
    assert len(rows) == keys
    for name, can_be, _, about in rows:
        assert can_be != "anything", name
        assert about.endswith("."), name


def test_numbers_have_range_unit_and_default() -> None:
    row = "| `baud` | whole number from 9600 to 2000000 bit/s | `250000` | Speed of the serial line"
    assert row in (FOLDER / "panel.md").read_text("utf-8")
    feed = (FOLDER / "feed.md").read_text("utf-8")
    assert "| `throttle_N` | number from 0 to 1 or `unknown` | none | Throttle N, 0 idle" in feed
    assert "| `strut_NAME` | `compressed`, `extended` or `unknown` | none | Squat switch of" in feed


@pytest.mark.parametrize("renamed", RENAMED)
def test_renamed_keys_stand_at_the_end_and_their_examples_are_good(renamed: Any) -> None:
    text = (FOLDER / f"{renamed.kind}.md").read_text("utf-8")
    assert f"| `{renamed.old}` | `{renamed.example}` |" in text.partition("## Renamed keys")[2]
    source = parse_yaml(f"values:\n  {renamed.old}: 1\n  {renamed.example}\n", "f")
    (problem,) = check_values(source, ("values",), None)
    assert problem.what == f"there is no aircraft value {renamed.old!r}"
    assert not renamed.new or f"{renamed.new[0]!r}" in problem.hint


@pytest.mark.parametrize("kind", KINDS)
def test_guessed_words_stand_for_what_can_be_written_and_are_none_of_it(kind: str) -> None:
    known = words_in(schema_of(kind))
    for word, guesses in GUESSED_WORDS[kind].items():
        assert word in known, word
        for guess in guesses.split():
            assert did_you_mean(guess, [word]) == f"Did you mean {word!r}?"


def test_the_command_prints_the_reference(capsys: pytest.CaptureFixture[str]) -> None:
    assert commands.schema("panel", reference=True) == 0
    assert capsys.readouterr().out == (FOLDER / "panel.md").read_text("utf-8")
