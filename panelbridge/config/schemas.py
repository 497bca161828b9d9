"""The layout of each kind of file as JSON Schema, for editors and for other programs."""

from __future__ import annotations

import json
from typing import Any

from pydantic import BaseModel, TypeAdapter
from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue
from pydantic_core import CoreSchema, core_schema

from panelbridge.config.key_descriptions import key_descriptions
from panelbridge.config.loading import KINDS


class _Schema(GenerateJsonSchema):
    """With the texts of keys, and without titles that only repeat the key."""

    schema_dialect = "https://json-schema.org/draft/2020-12/schema"

    def field_title_should_be_set(self, schema: Any) -> bool:
        return False

    def model_schema(self, schema: core_schema.ModelSchema) -> JsonSchemaValue:
        made = super().model_schema(schema)
        model: type[BaseModel] = schema["cls"]
        for key, text in key_descriptions(model).items():
            if model.model_fields[key].description is None:  # else pydantic has shown it
                made["properties"][key]["description"] = text
        return made

    def generate(self, schema: CoreSchema, mode: Any = "validation") -> JsonSchemaValue:
        made = super().generate(schema, mode)
        return {"$schema": self.schema_dialect, **made}


def schema_of(kind: str) -> dict[str, Any]:
    """JSON Schema (2020-12) of the files of ``kind``: panel, aircraft or feed.

    Raises:
        KeyError: there is no such kind.
    """
    return schema_of_model(KINDS[kind], f"panelbridge {kind} file")


def schema_of_model(model: Any, title: str) -> dict[str, Any]:
    """JSON Schema (2020-12) of the files that ``model`` describes."""
    made = TypeAdapter(model).json_schema(schema_generator=_Schema)
    made.pop("title", None)
    dialect = made.pop("$schema")
    _tidy(made)
    return {"$schema": dialect, "title": title, **made}


def schema_text(kind: str) -> str:
    """``schema_of(kind)`` as the text of its shipped file: ASCII, whatever the console."""
    return as_text(schema_of(kind))


def as_text(schema: dict[str, Any]) -> str:
    """A schema as the text of its shipped file."""
    return json.dumps(schema, indent=2) + "\n"


def _tidy(part: Any) -> None:
    """Descriptions on one line each: editors show them in a small box."""
    if isinstance(part, dict):
        if isinstance(part.get("description"), str):
            part["description"] = " ".join(part["description"].split())
        for value in part.values():
            _tidy(value)
    elif isinstance(part, list):
        for value in part:
            _tidy(value)
