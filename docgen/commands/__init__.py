"""The commands, each a module with what it does, examples, its arguments and its run; only the one that is asked for is imported."""

from importlib import import_module
from types import ModuleType

COMMANDS = ("check", "build", "watch", "current", "compare", "switch", "overview", "questions", "inspect", "record", "explain", "schema")
"""In the order of the help."""


def command(name: str) -> ModuleType:
    """The module of a command."""
    return import_module(f"{__name__}.{name}")
