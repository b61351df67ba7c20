"""Pages that show values rather than a document: the comparison and the overview. Self-contained, and nothing in them runs."""

from functools import cache
from importlib.resources import files
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined


@cache
def _environment() -> Environment:
    inside = Path(str(files("docgen"))) / "templates"
    folder = inside if inside.is_dir() else Path(str(files("docgen"))).parent / "templates"
    return Environment(loader=FileSystemLoader(folder), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)


def view(template: str, **values: object) -> str:
    """A page from a template that comes with docgen; every value is escaped."""
    return _environment().get_template(template).render(**values)
