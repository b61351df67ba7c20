"""The one kind of exception that a command may end with."""


class Stop(Exception):
    """Why a command cannot go on, in words for its user; nothing was written, unless the words say so."""
