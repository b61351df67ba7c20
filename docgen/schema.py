"""The JSON Schema of the description, generated from the model."""

from typing import Any

from docgen.car import Car
from docgen.printing import named


def description_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) with title, description and examples on every field."""
    schema = Car.model_json_schema(by_alias=True)
    head = {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": "Description of a car's electrical safety devices"}
    tidy: dict[str, Any] = _tidied(schema)
    return head | tidy


def _tidied(schema: Any) -> Any:
    """With the field's own name as title, and without the null default of a field left out."""
    if isinstance(schema, list):
        return [_tidied(value) for value in schema]
    if not isinstance(schema, dict):
        return schema
    tidy = {key: _tidied(value) for key, value in schema.items() if not (key == "default" and value in (None, {}, [], ()))}
    if isinstance(tidy.get("properties"), dict):
        tidy["properties"] = {name: field | {"title": named(name)} for name, field in tidy["properties"].items()}
    return tidy
