"""A Word file of a stranger's: looked at from outside first, and refused as a whole where it holds more than a document needs."""

import io
import lzma
import re
import struct
import zipfile
import zlib
from collections import Counter
from dataclasses import dataclass
from typing import Any

from lxml import etree

from docgen.provenance import Location
from docgen.reading import Problem, Unreadable

LARGEST_PART, LARGEST_WHOLE, MOST_PARTS = 32_000_000, 128_000_000, 2000
"""Bytes of a part and of all parts together when unpacked; parts."""
MOST_TAGS = 1_000_000
"""Tags of a part or a page; a parsed tag takes a hundred times the room of a written one."""
_BROKEN = (
    zipfile.BadZipFile, zlib.error, lzma.LZMAError, struct.error, EOFError, OSError, RuntimeError, NotImplementedError, ValueError, OverflowError,
)  # fmt: skip
"""What unpacking a damaged file may raise."""
_ZIP, _ZIP_ENTRY, _OLD_WORD = b"PK\x03\x04", b"PK\x01\x02", b"\xd0\xcf\x11\xe0"
_LEADS_OUT = re.compile(r"^[/\\]|^\w:|\\|(^|/)\.\.(/|$)|[\x00-\x1f]")
_RUNS = re.compile(r"vbaProject|vbaData|macrosheet|activeX|oleObject", re.IGNORECASE)
_RELATIONS = "{http://schemas.openxmlformats.org/package/2006/relationships}Relationship"
_MAIN, _LINK = "/officeDocument", "/hyperlink"
_SAVE_AGAIN = "must be the file that docgen wrote, or that Word or LibreOffice saved as .docx"


def refused(name: str, was: str, must: str) -> Unreadable:
    """Why a document as a whole is not read."""
    return Unreadable([Problem(Location(name, 1, 1), was, must)])


@dataclass(frozen=True, slots=True)
class WordFile:
    """A Word file in which nothing was found that could run, lead out or blow up. All methods raise Unreadable."""

    name: str
    archive: zipfile.ZipFile
    main: str
    """The part that holds the text."""

    def parts(self, pattern: str) -> tuple[str, ...]:
        """The names of the parts that the pattern matches as a whole."""
        return tuple(part for part in self.archive.namelist() if re.fullmatch(pattern, part))

    def xml(self, part: str) -> Any:
        """The root element of a part."""
        return _xml(self.name, self.archive, part)


def word_file(data: bytes, name: str) -> WordFile:
    """The Word file in `data`, called `name` where it is refused; raises Unreadable before any of its text is read."""
    if not data.startswith(_ZIP):
        raise refused(name, f"this is no Word file{_what_else(data)}", _SAVE_AGAIN)
    if data.count(_ZIP_ENTRY) > MOST_PARTS:
        raise refused(name, f"the file holds more than {MOST_PARTS} parts", _SAVE_AGAIN)
    try:
        archive = zipfile.ZipFile(io.BytesIO(data))
    except _BROKEN:
        raise refused(name, "the file is cut off or damaged", "must be whole: have it sent again") from None
    entries = archive.infolist()
    if objection := _objection(archive, entries):
        raise refused(name, objection, _SAVE_AGAIN)
    main = ""
    for relations in (entry.filename for entry in entries if entry.filename.endswith(".rels")):
        for relation in _xml(name, archive, relations).iter(_RELATIONS):
            kind, target = relation.get("Type", ""), relation.get("Target", "")
            if relation.get("TargetMode", "").casefold() == "external" and not kind.endswith(_LINK):
                raise refused(name, f"{relations} holds a relation that leads out of the file ({kind.rpartition('/')[2][:40]})", _SAVE_AGAIN)
            if relations == "_rels/.rels" and kind.endswith(_MAIN):
                main = target.removeprefix("/")
    if main not in archive.namelist():
        raise refused(name, "this is no Word file: it holds no text", _SAVE_AGAIN)
    return WordFile(name, archive, main)


def _what_else(data: bytes) -> str:
    if data.startswith(_OLD_WORD):
        return ", but one of an old kind or one that is locked with a password"
    return ", but a page or other text under its name" if data.lstrip()[:1] == b"<" else ""


def _objection(archive: zipfile.ZipFile, entries: list[zipfile.ZipInfo]) -> str:
    """Why the package is not opened any further, or nothing."""
    if sum(entry.file_size for entry in entries) > LARGEST_WHOLE or any(entry.file_size > LARGEST_PART for entry in entries):
        return f"the file unpacks to more than {LARGEST_PART // 1_000_000} MB in a part or {LARGEST_WHOLE // 1_000_000} MB in all"
    name, most = Counter(entry.filename.casefold() for entry in entries).most_common(1)[0] if entries else ("", 0)
    if most > 1:
        return f"the part {name[:80]!r} stands in the file {most} times"
    for entry in entries:
        if _LEADS_OUT.search(entry.filename):
            return f"the part {entry.filename[:80]!r} has a name that leads out of the file"
        if entry.flag_bits & 1:
            return f"the part {entry.filename[:80]!r} is locked with a password"
        if _RUNS.search(entry.filename):
            return f"the part {entry.filename[:80]!r} could run: macros and embedded programs are not taken"
        if entry.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
            return f"the part {entry.filename[:80]!r} is packed in a way that Word does not use"
        try:
            with archive.open(entry) as stream:
                begins = stream.read(4)
        except _BROKEN:
            return f"the part {entry.filename[:80]!r} is damaged"
        if begins in (_ZIP, _OLD_WORD):
            return f"the part {entry.filename[:80]!r} is a packed file inside the file"
    return ""


def _xml(name: str, archive: zipfile.ZipFile, part: str) -> Any:
    try:
        with archive.open(part) as stream:
            data = stream.read(LARGEST_PART + 1)
    except (*_BROKEN, KeyError):
        raise refused(name, f"the part {part[:80]!r} is damaged", _SAVE_AGAIN) from None
    declared = re.match(rb"""\s*<\?xml[^>]*?encoding\s*=\s*["']([^"']*)""", data.removeprefix(b"\xef\xbb\xbf"))
    plain = data.removeprefix(b"\xef\xbb\xbf").lstrip().startswith(b"<") and b"\0" not in data and (not declared or declared[1].upper() in (b"UTF-8", b"US-ASCII"))
    if not plain or b"<!DOCTYPE" in data or b"<!ENTITY" in data:
        raise refused(name, f"the part {part[:80]!r} is not plain XML in UTF-8, or declares entities", _SAVE_AGAIN)
    if data.count(b"<") > MOST_TAGS:
        raise refused(name, f"the part {part[:80]!r} holds more than {MOST_TAGS} tags", _SAVE_AGAIN)
    try:
        return etree.fromstring(data, etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False, huge_tree=False))
    except (etree.XMLSyntaxError, ValueError):
        raise refused(name, f"the part {part[:80]!r} is no XML", _SAVE_AGAIN) from None
