"""The record of an inspection: empty to be filled, read back as YAML or CSV, and compared with what was expected."""

import csv
import difflib
import io
import json
import os
import re
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from pathlib import Path as FilePath
from typing import Annotated, Any

from pydantic import Field
from pydantic_core import PydanticCustomError

from docgen import VERSION
from docgen.car.values import Count, Day, Part, Prose, Scalar, Word
from docgen.inspection import Inspection
from docgen.inspection.test import Figure, Test, digest_of
from docgen.load import read_part
from docgen.printing import mark_of, name_of
from docgen.provenance import Location, Path
from docgen.quantity import Quantity, read_quantity
from docgen.reading import LARGEST_FILE, Problem, Tree, Unreadable, read_file
from docgen.spreadsheet import as_csv

FORMAT = 1
FILLED = ("seen", "measured", "date", "time", "role", "remark")
"""What a person writes for each test."""
COLUMNS = ("test", "title", "expected", *FILLED, "digest", "rests_on", "car", "revision", "edition", "description", "docgen")
"""The columns of the record as CSV; the head of the record is repeated in every row."""
_HEAD = ("car", "revision", "edition", "description", "docgen")

_INTRODUCTION = """\
# The record of an inspection. Fill in what was seen and measured; leave the rest as it is.
#   seen:     as expected | otherwise
#   measured: value with unit and decimal point, as in 3.1 s
#   date:     2026-05-30      time: "14:05"
#   role:     who measured, by role and never by name, as in electrical safety officer
# High voltage kills. Qualified people only. This record approves nothing.
"""


class _Clock(Scalar):
    what = "a time of day"
    example = "14:05"

    def take(self, text: str) -> str:
        if not re.fullmatch(r"(?:[01]\d|2[0-3]):[0-5]\d", text):
            raise self.refuse(f"{text[:40]} stands here")
        return text


class _Digest(Scalar):
    what = "16 digits from 0 to f, as the sheet gives them"
    example = "0123456789abcdef"

    def take(self, text: str) -> str:
        if not re.fullmatch(r"[0-9a-f]{16}", text):
            raise self.refuse(f"{text[:40]} stands here")
        return text


class Entry(Part):
    """What was recorded for one test."""

    title: Prose | None = Field(default=None, description="Title of the test.", examples=["Pressed"])
    expected: Prose | None = Field(default=None, description="What the sheet expected.", examples=["at most 3.1 s"])
    seen: Annotated[str, Word("as expected", "otherwise")] | None = Field(
        default=None, description="Whether everything was seen as expected.", examples=["as expected"]
    )
    measured: Prose | None = Field(default=None, description="What was measured, with its unit.", examples=["2.9 s"])
    date: Day | None = Field(default=None, description="Day of the test.", examples=["2026-05-30"])
    time: Annotated[str, _Clock()] | None = Field(default=None, description="Time of day.", examples=["14:05"])
    role: Prose | None = Field(default=None, description="Role that measured; never a name.", examples=["electrical safety officer"])
    remark: Prose | None = Field(default=None, description="Remark.", examples=["second attempt"])
    digest: Annotated[str, _Digest()] | None = Field(default=None, description="Digest of what the test rests on.", examples=["0123456789abcdef"])
    rests_on: dict[Prose, Prose] = Field(
        default_factory=dict, description="What the test rests on.", examples=[{"devices.imd.response.below": "250 kΩ"}]
    )

    @property
    def is_done(self) -> bool:
        return self.seen is not None or self.measured is not None


class Record(Part):
    """A record of an inspection."""

    inspection_record: Count = Field(description="Version of this file's format.", examples=[FORMAT])
    car: Prose | None = Field(default=None, description="Name of the car.", examples=["Petrel 5"])
    revision: Prose | None = Field(default=None, description="Mark of the revision that was inspected.", examples=["C"])
    edition: Prose | None = Field(default=None, description="Edition.", examples=["fsuk-2026"])
    description: Prose | None = Field(default=None, description="SHA-256 of the description.", examples=["9f86d081884c7d65"])
    docgen: Prose | None = Field(default=None, description="Version of docgen that made the sheet.", examples=["1.0"])
    tests: dict[Prose, Entry] = Field(description="What was recorded, by test.", examples=[{"imd/latch": {"seen": "as expected"}}])


def head_of(inspection: Inspection) -> dict[str, str]:
    """What a record says of the car and the sheet that it belongs to."""
    report = inspection.report
    car = report.description.car
    return dict(zip(_HEAD, (name_of(car), mark_of(car), report.edition.edition, report.description.digest, VERSION), strict=True))


def expected(test: Test) -> str:
    """What a test expects, on one line."""
    figure = f"{test.figure.what}: {test.figure.expected}" if test.figure else ""
    return "; ".join(filter(None, (*map(str, test.sights), figure)))


def _quoted(text: str) -> str:
    """A text as a YAML scalar in double quotes, which is also a JSON string."""
    return json.dumps(text, ensure_ascii=False)


def empty_yaml(inspection: Inspection) -> str:
    """The record to be filled by hand."""
    lines = [
        _INTRODUCTION + f"inspection_record: {FORMAT}",
        *(f"{key}: {_quoted(value)}" for key, value in head_of(inspection).items() if value),
        "tests:",
    ]
    for group in inspection.groups:
        for test in group.tests:
            lines += [f"  {_quoted(test.slug)}:", f"    title: {_quoted(f'{group.title}: {test.title}')}", f"    expected: {_quoted(expected(test))}"]
            lines += [*(f"    {field}:" for field in FILLED), f"    digest: {_quoted(test.digest)}"]
            lines.append("    rests_on: {" + ", ".join(f"{_quoted(key)}: {_quoted(value)}" for key, value in test.rests_on.items()) + "}")
    return "\n".join(lines) + "\n"


def empty_csv(inspection: Inspection) -> bytes:
    """The record to be filled in a spreadsheet; no cell can be taken for a formula."""
    rows: list[tuple[str, ...]] = [COLUMNS]
    head = head_of(inspection)
    for group in inspection.groups:
        for test in group.tests:
            cells = {
                "test": test.slug,
                "title": f"{group.title}: {test.title}",
                "expected": expected(test),
                "digest": test.digest,
                "rests_on": json.dumps(test.rests_on, ensure_ascii=False),
                **head,
            }
            rows.append(tuple(cells.get(column, "") for column in COLUMNS))
    return as_csv(rows)


class Standing(StrEnum):
    """How a recorded test stands to what is expected now."""

    WITHIN = "measured, within what was expected"
    OUTSIDE = "measured, outside"
    SEEN = "seen, as expected"
    OTHERWISE = "seen, otherwise than expected"
    NO_BAND = "measured, no band to compare it with"
    NOT_SEEN = "measured, but what was to be seen is not said"
    NO_VALUE = "done, but no value"
    NOT_DONE = "not done"
    REPEAT = "must be repeated"
    NEW = "new since the record, not done"
    GONE = "gone from the sheet"


_SETTLED = frozenset({Standing.WITHIN, Standing.SEEN, Standing.NO_BAND, Standing.GONE})


@dataclass(frozen=True, slots=True)
class Moved:
    """What a test rested on and rests on now; empty where it was not there."""

    what: str
    was: str
    now: str

    def __str__(self) -> str:
        return f"{self.what} was {self.was or 'not there'}, is {self.now or 'not there'}"


@dataclass(frozen=True, slots=True)
class Judged:
    """One line of the comparison."""

    slug: str
    standing: Standing
    location: Location
    said: str
    """Measured value and expectation, or why the standing is what it is."""
    doubts: tuple[str, ...] = ()
    """What else is wrong with the entry: no role, no date, a digest that does not fit."""
    moved: tuple[Moved, ...] = ()

    @property
    def is_finding(self) -> bool:
        return self.standing not in _SETTLED or bool(self.doubts)


@dataclass(frozen=True, slots=True)
class Comparison:
    """A record held against the sheet of a description."""

    head: tuple[str, ...]
    """In what the record belongs to another sheet: revision, description, docgen."""
    lines: tuple[Judged, ...]

    @property
    def findings(self) -> tuple[Judged, ...]:
        return tuple(line for line in self.lines if line.is_finding)

    @property
    def is_settled(self) -> bool:
        """Whether the record belongs to this sheet and nothing in it is left to do or to look into."""
        return not self.head and not self.findings


def read_record(path: FilePath) -> tuple[Record, Tree]:
    """A filled record, YAML or CSV by the ending of its name; raises Unreadable with every problem found."""
    tree = _csv_tree(path) if path.suffix.lower() == ".csv" else read_file(path)
    tree = replace(tree, data=_without_blanks(tree.data))
    return read_part(tree, Record), tree


def compared(record: Record, tree: Tree, inspection: Inspection) -> Comparison:
    """The record against the sheet; raises Unreadable for tests that no sheet of this description has and for values that cannot be read."""
    tests, now = {test.slug: test for test in inspection.tests}, head_of(inspection)
    other = tuple(
        f"{key} of the record is {_short(getattr(record, key))}, of the description {_short(now[key])}"
        for key in _HEAD
        if (getattr(record, key) or "") != now[key]
    )
    problems: list[Problem] = []
    lines: list[Judged] = []
    for slug, entry in record.tests.items():
        path: Path = ("tests", slug)
        test = tests.get(slug)
        if test is None and (not other or entry.digest is None):
            near = difflib.get_close_matches(slug, tests, n=1)
            problems.append(
                Problem(
                    tree.location(path),
                    f"the test {slug[:80]} is none of this sheet",
                    f"must be {near[0]}" if near else "must be a test of the sheet",
                )
            )
        elif test is None:
            lines.append(Judged(slug, Standing.GONE, tree.location(path), "nothing in the description asks for it any more"))
        else:
            try:
                lines.append(_judged(test, entry, tree, path))
            except PydanticCustomError as error:
                was, _, must = str(error).partition("; ")
                problems.append(Problem(tree.value_location((*path, "measured")), f"measured: {was}", must))
    if problems:
        raise Unreadable(problems, tree.text)
    for slug in tests:
        if slug not in record.tests:
            standing = Standing.NEW if other else Standing.NOT_DONE
            lines.append(Judged(slug, standing, tree.location(("tests",)), f"expected: {expected(tests[slug])}"))
    order = {slug: number for number, slug in enumerate(tests)}
    lines.sort(key=lambda line: (order.get(line.slug, len(order)), line.slug))
    return Comparison(other, tuple(lines))


def _judged(test: Test, entry: Entry, tree: Tree, path: Path) -> Judged:
    place = tree.location(path)
    measured = _measured(test.figure, entry.measured)
    if not entry.is_done:
        return Judged(test.slug, Standing.NOT_DONE, place, f"expected: {expected(test)}")
    if entry.digest is not None and entry.digest != test.digest:
        return Judged(test.slug, Standing.REPEAT, place, "what it proved has changed", tuple(_doubts(entry)), _moved(entry, test))
    standing = _standing(test, entry, measured)
    parts = [f"measured {entry.measured}"] if entry.measured else []
    parts += [f"remark: {entry.remark}"] if entry.remark else []
    if test.figure and standing is not Standing.SEEN:
        parts.append(f"expected {test.figure.expected} ({test.figure.source or 'no source'})")
    if standing is Standing.OTHERWISE:
        parts.append("expected to be seen: " + "; ".join(map(str, test.sights)))
    return Judged(test.slug, standing, place, "; ".join(parts) or "as the sheet describes it", tuple(_doubts(entry)))


def _measured(figure: Figure | None, text: str | None) -> Quantity | None:
    """The measured value; raises PydanticCustomError where it cannot be one."""
    return read_quantity(text, figure.dimension) if figure and text else None


def _standing(test: Test, entry: Entry, measured: Quantity | None) -> Standing:
    if entry.seen == "otherwise":
        return Standing.OTHERWISE
    if test.figure and test.figure.has_band:
        if measured is None:
            return Standing.NO_VALUE
        if not test.figure.holds(measured):
            return Standing.OUTSIDE
        return Standing.WITHIN if entry.seen or not test.sights else Standing.NOT_SEEN
    if entry.seen is None and test.sights:
        return Standing.NOT_SEEN
    return Standing.NO_BAND if entry.measured else Standing.SEEN if test.sights else Standing.NO_VALUE


def _doubts(entry: Entry) -> Iterator[str]:
    if entry.role is None:
        yield "done by no role"
    if entry.date is None:
        yield "done on no day"
    if entry.digest is None:
        yield "without a digest: nobody can tell for which description it was done"
    elif entry.rests_on and digest_of(entry.rests_on) != entry.digest:
        yield "what it says it rests on does not belong to its digest"


def _moved(entry: Entry, test: Test) -> tuple[Moved, ...]:
    was, now = entry.rests_on, test.rests_on
    if not was:
        return (Moved("what it rested on", "not recorded", "; ".join(now)),)
    return tuple(Moved(key, was.get(key, ""), now.get(key, "")) for key in dict.fromkeys((*was, *now)) if was.get(key) != now.get(key))


def _short(text: str | None) -> str:
    """A digest by its first letters, anything else as it is."""
    return "not said" if not text else text[:12] if re.fullmatch(r"[0-9a-f]{64}", text) else text


def _without_blanks(data: Any) -> Any:
    """The record without what was left empty."""
    if isinstance(data, dict):
        return {
            key: _without_blanks(value) for key, value in data.items() if value is not None and not (isinstance(value, str) and not value.strip())
        }
    return data


_TURNING = frozenset({"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"})
"""Classes of characters that turn the direction of what is read."""


def _csv_tree(path: FilePath) -> Tree:
    """A record in CSV as the tree that its YAML would give, with the line of every row."""
    name = path.name
    text = _text(path)
    lines = text.split("\n")
    separator = ";" if lines[0].count(";") > lines[0].count(",") else ","
    reader = csv.reader(io.StringIO(text), delimiter=separator)
    problems: list[Problem] = []
    try:
        columns = [column.strip() for column in next(reader, [])]
        for column in columns:
            if column not in COLUMNS:
                near = difflib.get_close_matches(column, COLUMNS, n=1, cutoff=0.5)
                problems.append(
                    Problem(
                        Location(name, 1, 1),
                        f"the column {column[:60]!r} is not known here",
                        f"must be {near[0] if near else 'one of: ' + ', '.join(COLUMNS)}",
                    )
                )
        problems += [
            Problem(Location(name, 1, 1), f"the column {column} is missing", "must be there")
            for column in ("test", "digest")
            if column not in columns
        ]
        problems += [
            Problem(Location(name, 1, 1), f"the column {column} stands twice", "must stand once") for column in COLUMNS if columns.count(column) > 1
        ]
        if problems:
            raise Unreadable(problems, text)
        rows, start = [], reader.line_num
        for cells in reader:
            if any(cell.strip() for cell in cells):
                rows.append((start, dict(zip(columns, map(_unguarded, cells), strict=False))))
            start = reader.line_num
    except csv.Error as error:
        raise Unreadable([Problem(Location(name, reader.line_num, 1), f"this is no CSV: {error}", "must be saved as CSV, UTF-8")], text) from None
    return _tree_of(name, text, rows)


def _tree_of(name: str, text: str, rows: list[tuple[int, dict[str, str]]]) -> Tree:
    tests: dict[str, dict[str, object]] = {}
    places: dict[Path, tuple[int, int]] = {}
    problems: list[Problem] = []
    data: dict[str, object] = {"inspection_record": str(FORMAT), "tests": tests}
    for line, row in rows:
        here, slug = Location(name, line + 1, 1), row.pop("test", "").strip()
        for key in _HEAD:
            said = row.pop(key, "").strip()
            if data.setdefault(key, said) != said:
                problems.append(
                    Problem(here, f"{key} is {said[:60] or 'empty'} here and {str(data[key])[:60]} above", "must be the same in every row")
                )
            places.setdefault((key,), (line, 0))
        if not slug or slug in tests:
            problems.append(
                Problem(
                    here,
                    f"the test {slug[:80]} stands here a second time" if slug else "this row names no test",
                    "must stand once" if slug else "must name one in the column test",
                )
            )
            continue
        tests[slug] = {key: value for key, value in row.items() if key != "rests_on"}
        places |= {("tests", slug, *rest): (line, 0) for rest in ((), *((key,) for key in row))}
        try:
            rests_on = json.loads(row.get("rests_on") or "{}")
            if not isinstance(rests_on, dict) or not all(isinstance(value, str) for value in rests_on.values()):
                raise ValueError
            tests[slug]["rests_on"] = rests_on
        except (ValueError, RecursionError):
            problems.append(Problem(here, "rests_on was changed", "must stay as the sheet gave it, or be left empty"))
    if problems:
        raise Unreadable(problems, text)
    return Tree(name, text, data, places, places, (), ())


def _text(path: FilePath) -> str:
    """The text of a CSV file: UTF-8, not too large, without characters that act on a terminal."""
    name, must = path.name, "must be saved as CSV, UTF-8"
    try:
        if not path.is_file() or os.path.dirname(os.path.realpath(path)) != os.path.realpath(path.parent):
            raise Unreadable([Problem(Location(name, 1, 1), "this is no file, or a link to another folder", "must be a file of its own")])
        with path.open("rb") as stream:
            raw = stream.read(LARGEST_FILE + 1)
        text = raw.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    except OSError as error:
        raise Unreadable([Problem(Location(name, 1, 1), f"the file cannot be read: {error.strerror}", must)]) from None
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise Unreadable([Problem(Location(name, line, 1), f"the byte 0x{raw[error.start]:02X} is no UTF-8", must)]) from None
    if len(raw) > LARGEST_FILE:
        raise Unreadable([Problem(Location(name, 1, 1), f"the file is larger than {LARGEST_FILE / 1e6:.0f} MB", "must be smaller")])
    for index, letter in enumerate(text):
        if letter not in "\n\t" and (unicodedata.category(letter) in ("Cc", "Cs", "Zl", "Zp") or unicodedata.bidirectional(letter) in _TURNING):
            raise Unreadable(
                [
                    Problem(
                        Location(name, text.count("\n", 0, index) + 1, 1),
                        f"the control character U+{ord(letter):04X} stands here",
                        "must be taken out",
                    )
                ]
            )
    return text


def _unguarded(cell: str) -> str:
    """A cell without the mark that keeps a spreadsheet from taking it for a formula."""
    return re.sub(r"(^|[;\t])'(?=[=+\-@\t＝＋－＠])", r"\1", cell)


def counts(lines: tuple[Judged, ...]) -> Mapping[Standing, int]:
    """How many lines stand how, in the order of the standings."""
    return {standing: sum(line.standing is standing for line in lines) for standing in Standing}
