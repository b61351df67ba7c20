"""Pages that show values rather than a document: the comparison and the overview. Self-contained, and nothing in them runs."""

from functools import cache

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from docgen.inputs import shipped_templates


@cache
def _environment() -> Environment:
    return Environment(loader=FileSystemLoader(shipped_templates()), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)


def view(template: str, **values: object) -> str:
    """A page from a template that comes with docgen; every value is escaped."""
    return _environment().get_template(template).render(**values)
