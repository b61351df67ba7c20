"""The commands, each a module with what it does, examples, its arguments and its run; nothing heavy is imported before it runs."""

from docgen.commands import build, check, explain, overview, schema, switch

COMMANDS = (check, build, switch, overview, explain, schema)
"""In the order of the help."""
