"""The order of the steps from a description to files; every file is replaced whole, or none is."""

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from docgen import VERSION
from docgen.analysis.pictures import pictures
from docgen.carried import edition_digest
from docgen.chapters import Drawing, Drawings, DrawnPlot, submission
from docgen.check import Report, practice
from docgen.editions.topics import TOPICS
from docgen.finding import Result
from docgen.inputs import program_digest, shipped_templates, templates_digest
from docgen.look import Look
from docgen.markdown import TemplateError
from docgen.nodes import Document, Picture, Source, Table, UnfitDocument, labels, plain
from docgen.printing import anchor
from docgen.prose import Words
from docgen.provenance import Location, spelled
from docgen.question_chapter import comments, with_questions
from docgen.questions_file import ReviewFile
from docgen.rules.description import files_named
from docgen.schematic import in_words, schematic
from docgen.sheet import Sheet
from docgen.spreadsheet import as_csv
from docgen.writers.diagram import draw
from docgen.writers.page import write_page
from docgen.writers.word import write_word
from docgen.writers.word_comments import commented
from docgen.writers.word_package import NO_DAY


@dataclass(frozen=True, slots=True)
class Submission:
    """The document with its drawings, and the styles of its two writers."""

    document: Document
    drawings: Drawings
    plots: tuple[DrawnPlot, ...]
    style: bytes
    css: str


SUBMISSION = "submission"
"""The kind of document that is built here."""

Draw = Callable[[str, Sheet], Picture]
"""Draws the sheet whose files will have a name."""


def submission_of(report: Report, own_templates: Path | None = None, with_comments: bool = False, drawn: Draw | None = None, asked: ReviewFile | None = None) -> Submission:
    """The submission for a report, in our words or in those of a folder laid over ours, with the questions that a reviewer asked.

    Raises docgen.markdown.TemplateError for templates that cannot be used,
    docgen.writers.diagram.NoEngine where nothing can draw.
    """
    description = report.description
    look = Look(description, report.edition)
    picture = drawn or (lambda _, sheet: draw(sheet))
    wording = Words([*([own_templates] if own_templates else []), shipped_templates()])
    drawings = {
        name: tuple(
            Drawing(picture(f"{anchor('loop', name)}-{number}", sheet), in_words(graph, look.car, look.edition.term))
            for number, sheet in enumerate(schematic(graph, look.car, look.edition.term), 1)
        )
        for name, graph in look.networks.items()
        if graph.elements
    }
    plots = tuple(DrawnPlot(plot.slug, plot.caption, Drawing(picture(f"number-{plot.slug}", plot.sheet), plot.alternative)) for plot in pictures(look))
    try:
        document = submission(report, look, drawings, plots, wording, _source(report, own_templates, with_comments, asked))
        if asked:
            document = replace(document, blocks=with_questions(document.blocks, asked.review, report, wording))
    except UnfitDocument as error:
        place = Location((own_templates or shipped_templates()).as_posix(), 1, 1)
        raise TemplateError(place, f"the templates make no document together: {error}") from error
    return Submission(document, drawings, plots, wording.file("style.docx"), wording.text("style.css"))


def _source(report: Report, own_templates: Path | None, with_comments: bool, asked: ReviewFile | None) -> Source:
    description, edition = report.description, report.edition
    present = tuple(name for name, there in files_named(description).items() if there) if description.files else None
    text, questions = (tree and (tree.text if with_comments else tree.without_comments()) for tree in (description.tree, asked and asked.tree))
    return Source(
        description.tree.file, text or "", description.digest, present, edition.edition, edition_digest(edition), templates_digest(own_templates), VERSION,
        program_digest(), SUBMISSION, questions or "",
    )  # fmt: skip


def built(
    report: Report, own_templates: Path | None = None, with_comments: bool = False, drawn: Draw | None = None, asked: ReviewFile | None = None
) -> dict[str, bytes]:
    """Everything that is written for a description: files by name.

    Raises what submission_of raises, and docgen.writers.UnfitStyle.
    """
    made = submission_of(report, own_templates, with_comments, drawn, asked)
    word = write_word(made.document, made.style)
    written = {
        "submission.docx": commented(word, comments(asked.review, made.document.blocks, report.description, made.document.issued or NO_DAY)) if asked else word,
        "submission.html": write_page(made.document, made.css).encode(),
        "findings.json": (as_json(report) + "\n").encode(),
    }
    for name, sheets in made.drawings.items():
        for number, sheet in enumerate(sheets, 1):
            written |= _picture_files(f"{anchor('loop', name)}-{number}", sheet.picture)
    for plot in made.plots:
        written |= _picture_files(f"number-{plot.slug}", plot.drawing.picture)
    tables = [block for block in made.document.blocks if isinstance(block, Table)]
    return written | {f"tables/{table.anchor.removeprefix('table-')}.csv": as_csv(_rows(table, made.document)) for table in tables}


def _picture_files(name: str, picture: Picture) -> dict[str, bytes]:
    return {f"{name}.svg": picture.svg.encode(), f"{name}.png": picture.png}


def _rows(table: Table, document: Document) -> Iterator[list[str]]:
    """The table as texts, its head first."""
    found = labels(document.blocks)
    yield [column.title for column in table.columns]
    yield from ([plain(cell, found) for cell in row] for row in table.rows)


def as_json(report: Report) -> str:
    """The report for other programs."""
    edition = report.edition
    return json.dumps(
        {
            "description": {"file": report.description.tree.file, "digest": report.description.digest},
            "edition": {"id": edition.edition, "name": edition.name},
            "counts": {verdict.value: number for verdict, number in report.counts().items()}
            | {"errors": len(report.errors), "warnings": len(report.warnings)},
            "clauses": [_topic(slug, report) for slug in TOPICS],
            "results": [_result(result) for result in report.results],
        },
        ensure_ascii=False,
        indent=1,
    )


def _topic(slug: str, report: Report) -> dict[str, object]:
    topic = report.edition.topic(slug)
    results = [result for result in report.results if result.rule.topic == slug]
    return {
        "topic": slug,
        "about": TOPICS[slug].about,
        "clause": topic.clause,
        "known": topic.known,
        "outcomes": [
            {"verdict": result.outcome.verdict.value, "field": spelled(result.outcome.path), "line": result.location.line, "evidence": result.outcome.was}
            for result in results
        ],
    }


def _result(result: Result) -> dict[str, object]:
    return {
        "check": result.rule.slug,
        "verdict": result.outcome.verdict.value,
        "severity": result.severity,
        "file": result.location.file,
        "line": result.location.line,
        "column": result.location.column,
        "field": spelled(result.outcome.path),
        "is": result.outcome.was,
        "must_be": result.outcome.must,
        "clause": str(result.citation) if result.citation else "",
        "practice": practice(result),
    }
