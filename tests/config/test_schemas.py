"""The JSON Schemas say the same as the models, and the shipped copies are up to date."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from pydantic import BaseModel

from panelbridge.config.boards import BOARDS, OTHER
from panelbridge.config.load import kind_of
from panelbridge.config.loading import KINDS
from panelbridge.config.model_walk import child_of, target_of
from panelbridge.config.panel_parts.on_board import FILLED_IN
from panelbridge.config.schemas import schema_of, schema_text
from panelbridge.config.shipped import shipped_folder
from panelbridge.config.yaml_source import read_yaml

FOLDER = shipped_folder() / "schemas"
SHIPPED = [p for p in sorted(shipped_folder().glob("*/*.yaml")) if kind_of(p) in KINDS]


def models_of(kind: str) -> dict[str, type[BaseModel]]:
    """Every model that a file of ``kind`` is made of, by name."""
    found: dict[str, type[BaseModel]] = {}
    waiting = [target_of(KINDS[kind])]
    while waiting:
        target = waiting.pop()
        for _, model in target.models:
            if model.__name__ not in found:
                found[model.__name__] = model
                whole = target_of(model)
                waiting.extend(child_of(whole, name) for name in model.model_fields)
        if not target.models:
            inner = child_of(target, 0)
            if inner.kind is not None:
                waiting.append(inner)
    return found


@pytest.mark.parametrize("kind", KINDS)
def test_the_shipped_schema_is_that_of_the_models(kind: str) -> None:
    """To renew it: ``panelbridge schema KIND > configs/schemas/KIND.schema.json``."""
    assert (FOLDER / f"{kind}.schema.json").read_text("utf-8") == schema_text(kind)


def test_there_is_a_schema_for_each_kind_and_no_other() -> None:
    kinds = [*KINDS, "scenario"]  # that of scenarios is tested with the bench
    names = [f"{kind}.{end}" for kind in kinds for end in ("schema.json", "md")]
    assert sorted(p.name for p in FOLDER.iterdir()) == sorted(names)


@pytest.mark.parametrize("kind", KINDS)
def test_schema_is_valid_in_its_dialect(kind: str) -> None:
    schema = schema_of(kind)
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    jsonschema.Draft202012Validator.check_schema(schema)


@pytest.mark.parametrize("kind", KINDS)
def test_keys_of_the_schema_are_those_of_the_models(kind: str) -> None:
    schema = schema_of(kind)
    parts = {**schema.get("$defs", {})}
    if "properties" in schema:
        parts[KINDS[kind].__name__] = schema
    models = models_of(kind)
    long = {name: part["anyOf"][-1] if "anyOf" in part else part for name, part in parts.items()}
    objects = {name: part for name, part in long.items() if part.get("type") == "object"}
    assert set(objects) == set(models)
    for name, part in objects.items():
        fields = models[name].model_fields
        if "patternProperties" in part:  # names of values stand beside the keys
            assert set(part["properties"]) >= set(fields), name
        else:
            assert set(part["properties"]) == set(fields), name
        needed = {key for key, info in fields.items() if info.is_required()} - set(FILLED_IN)
        if name == "BoardEntry":
            needed |= {"board"}
        assert set(part.get("required", ())) == needed, name
        assert part["additionalProperties"] is False, name


@pytest.mark.parametrize("kind", KINDS)
def test_every_key_is_described_in_one_line(kind: str) -> None:
    schema = schema_of(kind)

    def check(part: Any, where: str) -> None:
        for key, entry in part.get("properties", {}).items():
            # A group whose description is that of its model has it there only.
            group = schema.get("$defs", {}).get(entry.get("$ref", "").rpartition("/")[2], {})
            description = entry.get("description") or group.get("description")
            assert description, f"{where}.{key}"
            assert "\n" not in description

    check(schema, kind)
    for name, part in schema.get("$defs", {}).items():
        check(part["anyOf"][-1] if "anyOf" in part else part, name)


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.name)
def test_shipped_files_meet_their_schema(path: Path) -> None:
    source = read_yaml(path)
    kind = source.get(("kind",))
    assert isinstance(kind, str)
    jsonschema.Draft202012Validator(schema_of(kind)).validate(source.value)


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.name)
def test_shipped_files_name_their_schema_in_the_first_line(path: Path) -> None:
    first = path.read_text("utf-8").splitlines()[0]
    kind = read_yaml(path).get(("kind",))
    assert first == f"# yaml-language-server: $schema=../schemas/{kind}.schema.json"


def test_a_wrong_file_does_not_meet_the_schema() -> None:
    source = read_yaml(shipped_folder() / "panels" / "demo_panel.yaml")
    value: Any = json.loads(json.dumps(source.value))
    value["lamps"]["nose_green"]["color"] = "green"
    assert not jsonschema.Draft202012Validator(schema_of("panel")).is_valid(value)


@pytest.mark.parametrize(
    ("wanted", "group", "name", "entry"),
    [
        (True, "switches", "lamp_test", "D24"),
        (True, "switches", "lamp_test", {"pin": "cautions.3", "debounce_ms": 5}),
        (True, "switches", "lamp_test", {"form": "contact", "board": "gear_panel", "pin": "D24"}),
        (True, "switches", "dimmer", "A3"),
        (True, "lamps", "nose_green", "D2"),
        (True, "gauges", "emergency_air", "D12"),
        (False, "switches", "lamp_test", "D 24"),
        (False, "switches", "lamp_test", {"form": "contact"}),
        (False, "switches", "dimmer", "cautions.3"),
        (False, "switches", "gear_handle", "D22"),  # two contacts, or one that means up or down
        (False, "switches", "parking_brake", "A1"),  # a lever or a contact: the pin does not say
    ],
)
def test_the_schema_knows_both_forms(wanted: bool, group: str, name: str, entry: Any) -> None:
    source = read_yaml(shipped_folder() / "panels" / "demo_panel.yaml")
    value: Any = json.loads(json.dumps(source.value))
    value[group][name] = entry
    assert jsonschema.Draft202012Validator(schema_of("panel")).is_valid(value) is wanted


def test_the_schema_knows_every_board() -> None:
    board = schema_of("panel")["$defs"]["BoardEntry"]["properties"]["board"]
    assert board["enum"] == [*BOARDS, OTHER]


@pytest.mark.parametrize(
    ("wanted", "pin"),
    [
        (True, 7),
        (True, {"number": 7}),
        (True, {"number": 7, "pwm": True, "reserved": "a lamp of the board hangs on it"}),
        (False, 200),
        (False, {"pwm": True}),
        (False, "7"),
    ],
)
def test_the_schema_knows_both_forms_of_a_pin_of_another_board(wanted: bool, pin: Any) -> None:
    source = read_yaml(shipped_folder() / "panels" / "other_board.yaml")
    value: Any = json.loads(json.dumps(source.value))
    value["boards"]["main"]["other_board"]["pins"]["PA9"] = pin
    assert jsonschema.Draft202012Validator(schema_of("panel")).is_valid(value) is wanted
