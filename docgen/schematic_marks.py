"""What has changed, shown in a drawing of a loop: a frame around the element and the word for it, so that no colour is needed."""

from collections.abc import Mapping
from dataclasses import replace

from docgen.sheet import PAPER, SLATE, Box, Group, Label, Line, Mark, Pen, Sheet, extent, text_width

_SIZE = 6.0
_DASHES: Mapping[str, tuple[float, ...]] = {"added": (), "removed": (2, 2), "moved": (7, 2), "changed": (1, 1.5), "renamed": (4, 1.5, 1, 1.5)}
"""How the frame of each change is drawn, in points of stroke and gap."""


def marked(sheet: Sheet, changed: Mapping[str, str]) -> Sheet:
    """The sheet with every group framed whose id is in `changed`, under the word that is given there: added, removed, moved, renamed or changed."""
    return replace(sheet, items=tuple(_framed(item, changed[item.id]) if isinstance(item, Group) and item.id in changed else item for item in sheet.items))


def _framed(group: Group, word: str) -> Group:
    around = extent(*group.marks)
    left, top, right, bottom = around.left - 2, around.top - 2, around.right + 2, around.bottom + 2
    pen = Pen(1.3, SLATE, _DASHES[word])
    frame: list[Mark] = [Box((left, top), right - left, bottom - top, pen)]
    if word == "removed":
        frame.append(Line((left, bottom), (right, top), pen))
    width = text_width(word, _SIZE, bold=True) + 4
    frame.append(Box((right - width, bottom - 1), width, _SIZE + 2.5, Pen(0.7, SLATE), SLATE))
    frame.append(Label((right - width + 2, bottom + _SIZE - 0.4), word, _SIZE, bold=True, colour=PAPER))
    return Group(group.id, f"{word}: {group.title}", (*group.marks, *frame))
