"""Two editions of a document side by side: what is kept, altered, gone and new, from whole blocks down to words.

A heading, table or figure is known by its anchor. A reference is compared by what it points at, not by the label it prints:
that "Table 5" has become "Table 6" is no difference.
"""

import re
from bisect import bisect_left
from collections import Counter
from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from itertools import groupby
from typing import Generic, TypeVar

from docgen.nodes import (
    Block,
    Box,
    Break,
    Cell,
    Contents,
    Document,
    Figure,
    Heading,
    Inline,
    Inlines,
    Listing,
    PageBreak,
    Paragraph,
    Reference,
    Table,
    labels,
    plain,
    words,
)

T = TypeVar("T")
Row = tuple[Cell, ...]
Item = tuple[Paragraph | Listing, ...]
Entry = tuple[str, Heading]
"""A line of a list of contents: the number and the heading."""
Pair = tuple[int, int]
"""A place in the older sequence and one in the newer."""

_TOKEN = re.compile(r"\s+|[^\s,;:.()“”]+(?:[.,:][^\s,;:.()“”]+)*|.")
_NUMBER = re.compile(r"[\d.]*")
_LARGEST, _LARGEST_OF_KIN = 250_000, 2_500
"""So many pairs are looked at one by one; larger stretches with nothing in them that stands once on either side are taken as written anew."""
_KIN = 0.4
"""Texts that share this part of their words are two versions of one text."""
_LETTERS, _AROUND, _ROWS = 240, 40, 3
"""What is told of a touched block: letters of its text, of them so many on either side of what differs, and rows of a table."""


@dataclass(frozen=True, slots=True)
class Kept(Generic[T]):
    """Stands in both with the same content; the value is that of the newer."""

    value: T


@dataclass(frozen=True, slots=True)
class Altered(Generic[T]):
    """Stands in both with another content."""

    before: T
    after: T


@dataclass(frozen=True, slots=True)
class Deleted(Generic[T]):
    """Stands in the older alone, or at another place there."""

    value: T


@dataclass(frozen=True, slots=True)
class Inserted(Generic[T]):
    """Stands in the newer alone, or at another place there."""

    value: T


Aligned = Kept[T] | Altered[T] | Deleted[T] | Inserted[T]


def older(item: Aligned[T]) -> T | None:
    """What stood there, if anything did."""
    match item:
        case Altered(before=before):
            return before
        case Inserted():
            return None
    return item.value


def newer(item: Aligned[T]) -> T | None:
    """What stands there now, if anything does."""
    match item:
        case Altered(after=after):
            return after
        case Deleted():
            return None
    return item.value


# ---- blocks, rows, items, contents, words


def aligned(before: Document, after: Document) -> tuple[Aligned[Block], ...]:
    """The blocks of both documents in one sequence; what is gone stands before what has come in its place.

    What has moved, and a heading of another level than before, is deleted at its old place and inserted at its new one.
    """
    return aligned_blocks(before.blocks, after.blocks)


def aligned_blocks(before: Sequence[Block], after: Sequence[Block]) -> tuple[Aligned[Block], ...]:
    """The same for the blocks inside a box or an item."""
    return tuple(_woven(before, after, _matches([*map(_name, before)], [*map(_name, after)]), _content, _kin_blocks))


def aligned_rows(before: Table, after: Table) -> tuple[Aligned[Row], ...]:
    """The rows of two tables; where the columns differ, all of the older are deleted and all of the newer inserted.

    A row is known by its first cell that is no bare number, where no other row has the same, and by its content otherwise.
    """
    if not same_columns(before, after):
        return (*map(Deleted, before.rows), *map(Inserted, after.rows))
    lone = _once(map(_row_name, before.rows)).keys() & _once(map(_row_name, after.rows)).keys()

    def known_by(row: Row) -> Hashable:
        return name if (name := _row_name(row)) in lone else _row_content(row)

    pairs = _matches([*map(known_by, before.rows)], [*map(known_by, after.rows)])
    return tuple(_woven(before.rows, after.rows, pairs, _row_content, _kin_rows))


def same_columns(before: Table, after: Table) -> bool:
    return [column.title for column in before.columns] == [column.title for column in after.columns]


def aligned_items(before: Listing, after: Listing) -> tuple[Aligned[Item], ...]:
    """The items of two lists."""
    pairs = _matches([*map(_item_content, before.items)], [*map(_item_content, after.items)])
    return tuple(_woven(before.items, after.items, pairs, _item_content, _kin_items))


def aligned_contents(before: Sequence[Entry], after: Sequence[Entry]) -> tuple[Aligned[Entry], ...]:
    """The lines of two lists of contents."""
    pairs = _matches([_name(heading) for _, heading in before], [_name(heading) for _, heading in after])
    return tuple(_woven(before, after, pairs, lambda entry: entry, lambda one, other: False))


def aligned_words(before: Inlines, after: Inlines) -> tuple[Aligned[Inlines], ...]:
    """The words of two texts in stretches that are kept, deleted or inserted; a text with little in common is replaced whole."""
    old, new = [*_tokens(before)], [*_tokens(after)]
    pairs = [pair for run in _runs(_matches(old, new)) if _tells(run, len(old), len(new), new) for pair in run]
    if old != new and 2 * sum(_weighs(new[place]) for _, place in pairs) < _KIN * sum(map(_weighs, old + new)):
        pairs = []
    return tuple(_stretches(_woven(old, new, pairs, lambda token: token, lambda one, other: False)))


# ---- what a thing is known by, what is read in it, what is another version of it


def _name(block: Block) -> Hashable:
    match block:
        case Heading(level=level, anchor=anchor):
            return Heading, level, anchor
        case Table(anchor=anchor) | Figure(anchor=anchor):
            return type(block), anchor
        case Contents() | PageBreak():
            return (type(block),)
    return _content(block)


def _content(block: Block) -> Hashable:
    """All that is read in a block: not how wide it is, nor the raster form of a picture."""
    match block:
        case Paragraph(inlines=inlines):
            return Paragraph, _joined(inlines)
        case Listing(items=items, ordered=ordered):
            return Listing, ordered, tuple(map(_item_content, items))
        case Box(tone=tone, title=title, blocks=inner):
            return Box, tone, title, tuple(map(_content, inner))
        case Table(anchor=anchor, caption=caption, columns=columns, rows=rows):
            return Table, anchor, caption, tuple(column.title for column in columns), tuple(map(_row_content, rows))
        case Figure(anchor=anchor, caption=caption, alternative=alternative, picture=picture):
            return Figure, anchor, caption, alternative, picture.svg
    return block


def _row_content(row: Row) -> Hashable:
    return tuple(map(_joined, row))


def _row_name(row: Row) -> str:
    return next((text for text in map(plain, row) if not _NUMBER.fullmatch(text)), "")


def _item_content(item: Item) -> Hashable:
    return tuple(map(_content, item))


def _kin_blocks(one: Block, other: Block) -> bool:
    match one, other:
        case (Paragraph(), Paragraph()):
            return _kin(_read(one), _read(other))
        case (Listing(ordered=ordered), Listing()):
            return ordered == other.ordered and _kin(_read(one), _read(other))
        case (Box(tone=tone, title=title), Box()):
            return tone == other.tone and (title == other.title or _kin(_read(one), _read(other)))
    return False


def _kin_rows(one: Row, other: Row) -> bool:
    same = sum(_joined(cell) == _joined(beside) for cell, beside in zip(one, other, strict=True))
    return 2 * same >= len(one) and _row_name(one) == _row_name(other)


def _kin_items(one: Item, other: Item) -> bool:
    return _kin(_lines(map(_read, one)), _lines(map(_read, other)))


def _kin(one: Inlines, other: Inlines) -> bool:
    mine, others = Counter(plain(one).split()), Counter(plain(other).split())
    return 2 * (mine & others).total() >= _KIN * (mine.total() + others.total())


def _read(block: Block) -> Inlines:
    """The text of a block; of a table its size, and of a figure what the picture shows."""
    match block:
        case Heading(text=text) | Figure(alternative=text):
            return words(text)
        case Paragraph(inlines=inlines):
            return inlines
        case Listing(items=items):
            return _lines(_read(inner) for item in items for inner in item)
        case Box(title=title, blocks=inside):
            return _lines((words(title), *map(_read, inside)))
        case Table(rows=rows):
            return words(_counted(len(rows)))
    return ()


def _lines(texts: Iterable[Inlines]) -> Inlines:
    return tuple(part for text in texts for part in (Break(), *text))[1:]


def _counted(rows: int, more: str = "") -> str:
    return f"{rows} {more}row{'s' * (rows != 1)}"


def _tokens(inlines: Inlines) -> Iterator[Inline]:
    """Words, spaces and marks, each as an inline of its own."""
    for part in inlines:
        match part:
            case Reference() | Break():
                yield part
            case _:
                yield from map(type(part), _TOKEN.findall(part.text))


def _joined(inlines: Iterable[Inline]) -> Inlines:
    """The inlines with neighbours of one sort put together."""
    out: list[Inline] = []
    for _, group in groupby(inlines, type):
        first, *others = group
        if isinstance(first, Reference | Break):
            out += [first, *others]
        else:
            out.append(type(first)(plain((first, *others))))
    return tuple(out)


def _weighs(token: Inline) -> bool:
    """Whether a token is more than space and marks."""
    return isinstance(token, Reference) or (not isinstance(token, Break) and any(map(str.isalnum, token.text)))


# ---- pairing


def _matches(before: Sequence[Hashable], after: Sequence[Hashable]) -> list[Pair]:
    """Places of equal keys, rising on both sides: first the keys that stand once on either side, then what lies between those."""
    pairs: list[Pair] = []
    start = (0, 0)
    for stop in [*_pillars(before, after), (len(before), len(after))]:
        pairs += _between(before, after, start, stop)
        pairs.append(stop)
        start = stop[0] + 1, stop[1] + 1
    return pairs[:-1]


def _pillars(before: Sequence[Hashable], after: Sequence[Hashable]) -> list[Pair]:
    """The longest rising sequence of keys that stand once on either side."""
    old, new = _once(before), _once(after)
    ends: list[int] = []
    heads: list[tuple[Pair, int]] = []
    """Pairs, each with the index of the one before it; `ends` and `tops` belong to the best sequence of every length."""
    tops: list[int] = []
    for key, place in old.items():
        if key in new:
            length = bisect_left(ends, new[key])
            ends[length:], tops[length:] = [new[key], *ends[length + 1 :]], [len(heads), *tops[length + 1 :]]
            heads.append(((place, new[key]), tops[length - 1] if length else -1))
    found: list[Pair] = []
    at = tops[-1] if tops else -1
    while at >= 0:
        pair, at = heads[at]
        found.append(pair)
    return found[::-1]


def _once(keys: Iterable[Hashable]) -> dict[Hashable, int]:
    """The keys that stand once, and where."""
    places: dict[Hashable, int] = {}
    twice: set[Hashable] = set()
    for place, key in enumerate(keys):
        if key in places:
            twice.add(key)
        places[key] = place
    return {key: place for key, place in places.items() if key not in twice}


def _between(before: Sequence[Hashable], after: Sequence[Hashable], start: Pair, stop: Pair) -> Iterator[Pair]:
    (low, other_low), (high, other_high) = start, stop
    while low < high and other_low < other_high and before[low] == after[other_low]:
        yield low, other_low
        low, other_low = low + 1, other_low + 1
    ends: list[Pair] = []
    while low < high and other_low < other_high and before[high - 1] == after[other_high - 1]:
        high, other_high = high - 1, other_high - 1
        ends.append((high, other_high))
    if (high - low) * (other_high - other_low) <= _LARGEST:
        for match in SequenceMatcher(None, before[low:high], after[other_low:other_high], autojunk=False).get_matching_blocks():
            yield from ((low + match.a + step, other_low + match.b + step) for step in range(match.size))
    yield from reversed(ends)


def _woven(
    before: Sequence[T], after: Sequence[T], pairs: Sequence[Pair], content: Callable[[T], Hashable], kin: Callable[[T, T], bool]
) -> Iterator[Aligned[T]]:
    """Both sequences in one; between the pairs, versions of one thing are altered, and the rest is deleted and inserted."""
    start = (0, 0)
    for stop in [*pairs, (len(before), len(after))]:
        gone, come = before[start[0] : stop[0]], after[start[1] : stop[1]]
        place, other = 0, 0
        for pair in [*_versions(gone, come, kin), (len(gone), len(come))]:
            yield from map(Deleted, gone[place : pair[0]])
            yield from map(Inserted, come[other : pair[1]])
            if pair[0] < len(gone):
                yield Altered(gone[pair[0]], come[pair[1]])
            place, other = pair[0] + 1, pair[1] + 1
        if stop[0] < len(before) and stop[1] < len(after):
            was, now = before[stop[0]], after[stop[1]]
            yield Kept(now) if content(was) == content(now) else Altered(was, now)
        start = stop[0] + 1, stop[1] + 1


def _versions(gone: Sequence[T], come: Sequence[T], kin: Callable[[T, T], bool]) -> list[Pair]:
    """The most pairs of kin that rise on both sides."""
    if not gone or not come or len(gone) * len(come) > _LARGEST_OF_KIN:
        return []
    best: list[list[list[Pair]]] = [[[] for _ in range(len(come) + 1)]]
    for place, was in enumerate(gone):
        line: list[list[Pair]] = [[]]
        for other, now in enumerate(come):
            longest = max(best[place][other + 1], line[other], key=len)
            if len(best[place][other]) >= len(longest) and kin(was, now):
                longest = [*best[place][other], (place, other)]
            line.append(longest)
        best.append(line)
    return best[-1][-1]


def _runs(pairs: Iterable[Pair]) -> list[list[Pair]]:
    """The pairs in stretches without a gap on either side."""
    runs: list[list[Pair]] = []
    for pair in pairs:
        if runs and runs[-1][-1] == (pair[0] - 1, pair[1] - 1):
            runs[-1].append(pair)
        else:
            runs.append([pair])
    return runs


def _tells(run: Sequence[Pair], old: int, new: int, tokens: Sequence[Inline]) -> bool:
    """Whether a stretch of common words stands at an end of the text, or is more than a space between two differences."""
    return run[0] == (0, 0) or run[-1] == (old - 1, new - 1) or any(_weighs(tokens[place]) for _, place in run)


def _stretches(told: Iterable[Aligned[Inline]]) -> Iterator[Aligned[Inlines]]:
    for _, group in groupby(told, type):
        items = [*group]
        was = _joined(part for item in items if (part := older(item)) is not None)
        now = _joined(part for item in items if (part := newer(item)) is not None)
        match items[0]:
            case Deleted():
                yield Deleted(was)
            case Inserted():
                yield Inserted(now)
            case _:
                yield Kept(now)


# ---- what a reader is told of it


@dataclass(frozen=True, slots=True)
class Touch:
    """A place where a document is not as it was."""

    under: str
    """Number and title of the heading it stands under: the older one for what is gone, "" before the first."""
    what: str
    """The block: a table or figure by label and caption."""
    before: str
    """A short text of what stood there, "" where nothing did."""
    after: str


def touched(told: Sequence[Aligned[Block]]) -> tuple[Touch, ...]:
    """Every block that is altered, deleted or inserted, in the order of :func:`aligned`; page breaks are left out."""
    return tuple(_touches(told))


def _touches(told: Sequence[Aligned[Block]]) -> Iterator[Touch]:
    was = labels(block for item in told if (block := older(item)) is not None)
    now = labels(block for item in told if (block := newer(item)) is not None)
    above_old = above_new = ""
    for item in told:
        before, after = older(item), newer(item)
        if isinstance(before, Heading):
            above_old = f"{was[before.anchor]} {before.text}"
        if isinstance(after, Heading):
            above_new = f"{now[after.anchor]} {after.text}"
        if isinstance(item, Kept) or isinstance(before or after, PageBreak):
            continue
        match item:
            case Altered(before=old, after=new):
                yield Touch(above_new, _called(new, now), *_told(old, new, was, now))
            case Deleted(value=old):
                yield Touch(above_old, _called(old, was), _short(plain(_read(old), was)), "")
            case Inserted(value=new):
                yield Touch(above_new, _called(new, now), "", _short(plain(_read(new), now)))


def _called(block: Block, found: dict[str, str]) -> str:
    match block:
        case Table(anchor=anchor, caption=caption) | Figure(anchor=anchor, caption=caption):
            return f"{found[anchor]}, {caption}"
        case Box(title=title):
            return f"box “{title}”"
        case Listing():
            return "list"
    return type(block).__name__.lower()


def _told(before: Block, after: Block, was: dict[str, str], now: dict[str, str]) -> tuple[str, str]:
    match before, after:
        case Table(), Table():
            return _told_of_table(before, after, was, now)
        case Figure(caption=caption), Figure() if caption != after.caption:
            return _excerpts(words(caption), words(after.caption), was, now)
        case Figure(alternative=alternative), Figure() if alternative == after.alternative:
            return "the drawing as it was", "another drawing"
    return _excerpts(_read(before), _read(after), was, now)


def _told_of_table(before: Table, after: Table, was: dict[str, str], now: dict[str, str]) -> tuple[str, str]:
    old: list[str] = []
    new: list[str] = []
    if before.caption != after.caption:
        old.append(before.caption)
        new.append(after.caption)
    if not same_columns(before, after):
        sides = ((f"{' | '.join(column.title for column in side.columns)}: {_counted(len(side.rows))}") for side in (before, after))
        return _short(next(sides)), _short(next(sides))
    touches = [row for row in aligned_rows(before, after) if not isinstance(row, Kept)]
    for row in touches[:_ROWS]:
        match row:
            case Altered(before=cells, after=beside):
                for column, cell, other in zip(after.columns, cells, beside, strict=True):
                    if _joined(cell) != _joined(other):
                        texts = _excerpts(cell, other, was, now)
                        place = f"{_row_name(beside)}, {column.title}".replace("\n", ", ")
                        old.append(f"{place}: {texts[0]}")
                        new.append(f"{place}: {texts[1]}")
            case Deleted(value=cells):
                old.append(_short(" | ".join(plain(cell, was) for cell in cells)))
            case Inserted(value=cells):
                new.append(_short(" | ".join(plain(cell, now) for cell in cells)))
    if len(touches) > _ROWS:
        more = f"and {_counted(len(touches) - _ROWS, 'more ')}"
        old.append(more)
        new.append(more)
    return "\n".join(old), "\n".join(new)


def _excerpts(before: Inlines, after: Inlines, was: dict[str, str], now: dict[str, str]) -> tuple[str, str]:
    """What differs in two texts, with some letters around it."""
    told = aligned_words(before, after)
    first = next((place for place, item in enumerate(told) if not isinstance(item, Kept)), 0)
    last = next((place for place, item in enumerate(reversed(told)) if not isinstance(item, Kept)), 0)
    sides = []
    for side, found in ((older, was), (newer, now)):
        texts = [plain(part, found) if (part := side(item)) is not None else "" for item in told]
        lead, tail = "".join(texts[:first]), "".join(texts[len(texts) - last :])
        lead, tail = lead if len(lead) <= _AROUND else "…" + lead[-_AROUND:], tail if len(tail) <= _AROUND else tail[:_AROUND] + "…"
        sides.append(lead + _short("".join(texts[first : len(texts) - last])) + tail)
    return sides[0], sides[1]


def _short(text: str) -> str:
    return text if len(text) <= _LETTERS else text[: _LETTERS - 1] + "…"
