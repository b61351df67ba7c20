"""The JSON Schema of the description, generated from the model."""

from typing import Any

from docgen.car import Car


def description_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) with title, description and examples on every field."""
    schema = Car.model_json_schema(by_alias=True)
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": "Description of a car's electrical safety devices"} | _tidied(schema)


def _tidied(schema: Any) -> Any:
    """Without the null default of a field left out, which a reader would take for a value."""
    if isinstance(schema, dict):
        return {key: _tidied(value) for key, value in schema.items() if not (key == "default" and value in (None, {}, [], ()))}
    return [_tidied(value) for value in schema] if isinstance(schema, list) else schema
