"""Documents read back: the description that a Word file or a page of docgen's carries inside. They may come from anyone."""

import base64
import json
import re
from dataclasses import dataclass, replace
from hashlib import sha256
from html import unescape
from pathlib import Path

from docgen.editions import Edition
from docgen.folder import PAGES, content, description_file, is_document, on_screen
from docgen.load import Description, described, load_file
from docgen.reading import LARGEST_FILE, Problem, Unreadable, read_text
from docgen.word_file import MOST_TAGS, WordFile, refused, word_file
from docgen.writers.carrying import DESCRIPTION, Carried, read_about
from docgen.writers.visible import lines_of_page, lines_of_word

_SCRIPT = re.compile(rb'<script type="application/yaml" id="description\.yaml" data-about="([^"]{1,1000000})">([A-Za-z0-9+/=\s]*)</script>')
_MOST_WORDS = 10_000
"""In a page, between one tag and the next: a parser takes minutes over a tag of a hundred thousand attributes."""
_GIVE_ANOTHER = "must be a document that docgen wrote; if another program has dropped the description from it, ask for car.yaml or build the document again"


@dataclass(frozen=True, slots=True)
class Submitted:
    """A document as it was handed in."""

    name: str
    carried: Carried
    lines: tuple[str, ...]
    """The text that it shows now, as docgen.writers.visible counts lines."""

    @property
    def is_page(self) -> bool:
        return self.name.lower().endswith(PAGES)

    def description(self) -> Description:
        """The description inside, under its own name; raises Unreadable, also where it is not the one that its digest was made of."""
        source = self.carried.source
        try:
            if len(source.text) > LARGEST_FILE:
                raise refused(self.name, "the description inside is too long", _GIVE_ANOTHER)
            made = described(read_text(source.text, source.name), frozenset() if source.present is None else frozenset({source.name, *source.present}))
        except Unreadable as error:
            raise placed_in(self.name, error) from None
        if made.digest != source.digest:
            raise refused(self.name, "the description inside is not the one that docgen put there: its digest is another", _GIVE_ANOTHER)
        return made

    def other_edition(self, edition: Edition) -> str:
        """In words, that the document was made under another edition than this, or under other data of it; empty where it was not."""
        source = self.carried.source
        if source.edition != edition.edition:
            return f"it was made under {source.edition or 'an edition that it does not name'}, not under {edition.edition}"
        if source.edition_digest != edition_digest(edition):
            return f"it was made under other data of {edition.edition}; if its team had a file of corrections, give it with --edition"
        return ""


def described_in(path: Path) -> Description:
    """The description in a YAML file, in a folder (its car.yaml), or inside a Word file or page that docgen wrote.

    Raises Unreadable.
    """
    if is_document(path):
        return submitted(path).description()
    return load_file(description_file(path))


def submitted(path: Path) -> Submitted:
    """A document with what it carries; raises Unreadable, and then has read nothing else of it."""
    name = on_screen(path.name)
    try:
        data = content(path)
    except OSError as error:
        raise refused(name, f"the file cannot be read: {error.strerror or error}", "must be a readable document") from None
    return read_document(data, name)


def read_document(data: bytes, name: str) -> Submitted:
    """The document in `data`, which its name says to be a Word file or a page; raises Unreadable."""
    if name.lower().endswith(PAGES):
        return Submitted(name, _in_page(data, name), lines_of_page(data))
    word = word_file(data, name)
    return Submitted(name, _in_word(word), lines_of_word(word.xml(word.main)))


def _in_word(word: WordFile) -> Carried:
    items = (word.xml(part) for part in word.parts(r"customXml/item\d+\.xml"))  # one at a time: each may be large
    found = [(item.get("about", ""), "".join(item.itertext())) for item in items if item.tag == f"{{{DESCRIPTION}}}description"]
    return _only(found, word.name)


def _in_page(data: bytes, name: str) -> Carried:
    """A page is searched, not parsed, before it is known to be of docgen's making."""
    if data.startswith(b"PK"):
        raise refused(name, "this is no page, but a Word file or another packed file under its name", "must be named by what it is: .docx")
    if data.count(b"<") > MOST_TAGS:
        raise refused(name, f"the page holds more than {MOST_TAGS} tags", "must be the page that docgen wrote")
    if any(len(part.split(None, _MOST_WORDS)) > _MOST_WORDS for part in _SCRIPT.sub(b"", data).split(b"<")):
        raise refused(name, f"the page holds more than {_MOST_WORDS} words or attributes in one piece", "must be the page that docgen wrote")
    try:
        found = [(unescape(said.decode()), base64.b64decode(b"".join(coded.split()), validate=True).decode()) for said, coded in _SCRIPT.findall(data)]
    except ValueError:
        raise refused(name, "the description inside is damaged", _GIVE_ANOTHER) from None
    return _only(found, name)


def _only(found: list[tuple[str, str]], name: str) -> Carried:
    if len(found) != 1:
        raise refused(name, f"the document carries {'no description' if not found else f'{len(found)} descriptions'}", _GIVE_ANOTHER)
    try:
        return read_about(*found[0])
    except (ValueError, RecursionError):
        raise refused(name, "what the document says of the description inside is damaged", _GIVE_ANOTHER) from None


def placed_in(name: str, error: Unreadable) -> Unreadable:
    """The problems of a description inside a document, placed there: ``submission.docx/car.yaml:3:1``."""
    placed = (
        problem if problem.location.file == name else Problem(replace(problem.location, file=f"{name}/{problem.location.file}"), problem.was, problem.must)
        for problem in error.problems
    )
    return Unreadable(placed, error.text)


def edition_digest(edition: Edition) -> str:
    """SHA-256 of the data of an edition, corrections included, 64 hexadecimal digits."""
    return sha256(json.dumps(edition.model_dump(mode="json"), ensure_ascii=False, sort_keys=True).encode()).hexdigest()
