"""The order of the steps from a description to files; every file is replaced whole, or none is."""

import csv
import io
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path

from docgen.analysis.pictures import pictures
from docgen.chapters import Drawing, Drawings, DrawnPlot, submission
from docgen.check import Report, practice
from docgen.editions.topics import TOPICS
from docgen.finding import Result
from docgen.look import Look
from docgen.markdown import TemplateError
from docgen.nodes import Document, Source, Table, UnfitDocument, labels, plain
from docgen.printing import anchor
from docgen.prose import Words
from docgen.provenance import Location, spelled
from docgen.schematic import in_words, schematic
from docgen.writers.diagram import draw, engine
from docgen.writers.page import write_page
from docgen.writers.word import write_word


@dataclass(frozen=True, slots=True)
class Built:
    """The files of a submission by name, and which engine drew."""

    files: Mapping[str, bytes]
    engine: str


def shipped_templates() -> Path:
    """The folder of the words and styles that come with docgen."""
    inside = Path(str(files("docgen"))) / "templates"
    return inside if inside.is_dir() else Path(str(files("docgen"))).parent / "templates"


@dataclass(frozen=True, slots=True)
class Submission:
    """The document with its drawings, and the styles of its two writers."""

    document: Document
    drawings: Drawings
    plots: tuple[DrawnPlot, ...]
    style: bytes
    css: str


def submission_of(report: Report, own_templates: Path | None = None, with_comments: bool = False) -> Submission:
    """The submission for a report, in our words or in those of a folder laid over ours.

    Raises docgen.markdown.TemplateError for templates that cannot be used,
    docgen.writers.diagram.NoEngine where nothing can draw.
    """
    description = report.description
    look = Look(description, report.edition)
    wording = Words([*([own_templates] if own_templates else []), shipped_templates()])
    drawings = {
        name: tuple(Drawing(draw(sheet), in_words(graph, look.car, look.edition.term)) for sheet in schematic(graph, look.car, look.edition.term))
        for name, graph in look.networks.items()
        if graph.elements
    }
    carried = description.tree.text if with_comments else description.tree.without_comments()
    plots = tuple(DrawnPlot(plot.slug, plot.caption, Drawing(draw(plot.sheet), plot.alternative)) for plot in pictures(look))
    try:
        document = submission(report, look, drawings, plots, wording, Source(description.tree.file, carried, description.digest))
    except UnfitDocument as error:
        place = Location((own_templates or shipped_templates()).as_posix(), 1, 1)
        raise TemplateError(place, f"the templates make no document together: {error}") from error
    return Submission(document, drawings, plots, wording.file("style.docx"), wording.text("style.css"))


def built(report: Report, own_templates: Path | None = None, with_comments: bool = False) -> Built:
    """Everything that is written for a description.

    Raises what submission_of raises, and docgen.writers.UnfitStyle.
    """
    made = submission_of(report, own_templates, with_comments)
    written = {
        "submission.docx": write_word(made.document, made.style),
        "submission.html": write_page(made.document, made.css).encode(),
        "findings.json": (as_json(report) + "\n").encode(),
    }
    for name, sheets in made.drawings.items():
        for number, sheet in enumerate(sheets, 1):
            written[f"{anchor('loop', name)}-{number}.svg"] = sheet.picture.svg.encode()
            written[f"{anchor('loop', name)}-{number}.png"] = sheet.picture.png
    for plot in made.plots:
        written[f"number-{plot.slug}.svg"] = plot.drawing.picture.svg.encode()
        written[f"number-{plot.slug}.png"] = plot.drawing.picture.png
    tables = [block for block in made.document.blocks if isinstance(block, Table)]
    written |= {f"tables/{table.anchor.removeprefix('table-')}.csv": _csv(table, made.document) for table in tables}
    return Built(written, engine())


def _csv(table: Table, document: Document) -> bytes:
    found = labels(document.blocks)
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow(column.title for column in table.columns)
    writer.writerows([_harmless(plain(cell, found).replace("\n", " ")) for cell in row] for row in table.rows)
    return b"\xef\xbb\xbf" + stream.getvalue().encode()


def _harmless(text: str) -> str:
    """A cell that no spreadsheet takes for a formula, nor a part of it where it splits cells at semicolons."""
    return re.sub(r"(^|[;\t])(?=[=+\-@\t＝＋－＠])", r"\1'", text)


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
