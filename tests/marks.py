"""Marked descriptions: the slug of an expected finding stands in a comment on the very line."""

import re

_MARK = re.compile(r"#\s*<-\s*([a-z0-9, -]+?)\s*$")


def marks(text: str) -> list[tuple[int, str]]:
    """Line and slug of every mark, in order."""
    return sorted(
        (number, slug.strip())
        for number, line in enumerate(text.split("\n"), 1)
        for found in [_MARK.search(line)]
        if found
        for slug in found[1].split(",")
    )
