"""A comparison as files: a page with both sides, and the newer submission as a Word file whose tracked changes lead back to the older."""

from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path
from typing import Any

from markupsafe import Markup

from docgen import comparison as say
from docgen.aligned import aligned, touched
from docgen.build import Submission, submission_of
from docgen.changes import UNSEEN, Change, Kind
from docgen.check import Report
from docgen.consequences import Comparison
from docgen.look import Look
from docgen.meaning import NOT_COMPARED, ORDER_MEANS_NOTHING
from docgen.network import Network
from docgen.nodes import Figure, Picture
from docgen.printing import anchor, mark_of, name_of
from docgen.provenance import spelled
from docgen.schematic import element_ids, in_words, schematic
from docgen.schematic_marks import marked
from docgen.writers.diagram import draw
from docgen.writers.page import drawing
from docgen.writers.views import view
from docgen.writers.word_tracked import write_tracked

_AUTHOR = "docgen"


def files(comparison: Comparison, own_templates: Path | None = None, notes: tuple[str, ...] = ()) -> dict[str, bytes]:
    """The page, the Word file and the JSON of a comparison, by name; `notes` stand at the head of the page.

    Raises what docgen.build.submission_of raises, and docgen.writers.UnfitStyle.
    """
    older, newer = (submission_of(report, own_templates) for report in (comparison.before, comparison.after))
    day = comparison.after.description.car.newest.date
    tracked = write_tracked(older.document, newer.document, newer.style, _AUTHOR, day if isinstance(day, date) else None)
    return {
        "comparison.html": _page(comparison, older, newer, notes).encode(),
        "comparison.docx": tracked,
        "comparison.json": (say.as_json(comparison) + "\n").encode(),
    }


def _page(comparison: Comparison, older: Submission, newer: Submission, notes: tuple[str, ...]) -> str:
    kinds = [kind for kind in Kind if any(change.kind is kind for change in comparison.changes)]
    return view(
        "comparison.html",
        title=say.headline(comparison),
        summary=say.in_short(comparison),
        before=_head(comparison.before),
        after=_head(comparison.after),
        notes=notes,
        kinds=kinds,
        changes=[_change(change) for change in comparison.changes],
        findings=list(_findings(comparison)),
        numbers=list(_numbers(comparison)),
        coverage=[
            {
                "clause": comparison.after.edition.topic(topic.slug).clause or "no clause",
                "about": topic.about,
                "before": say.verdicts(topic.before),
                "after": say.verdicts(topic.after),
            }
            for topic in comparison.coverage
        ],
        drawings=list(_drawings(comparison)),
        passages=touched(aligned(older.document, newer.document)),
        unseen=UNSEEN,
        not_compared=NOT_COMPARED,
        no_order=ORDER_MEANS_NOTHING,
    )


def _head(report: Report) -> dict[str, str]:
    description = report.description
    return {
        "name": name_of(description.car) or "a car without a name",
        "mark": mark_of(description.car) or "without a mark",
        "file": description.tree.file,
        "edition": report.edition.name,
        "digest": description.digest,
    }


def _change(change: Change) -> dict[str, str]:
    before, after = say.sides(change)
    return {"kind": change.kind, "place": say.place(change), "before": before, "after": after}


def _findings(comparison: Comparison) -> Iterator[dict[str, str]]:
    findings = comparison.findings
    for state, results in (("new", findings.new), ("gone", findings.gone), ("same", [after for _, after in findings.same])):
        for result in results:
            outcome = result.outcome
            yield {
                "state": state, "severity": result.severity or "", "check": result.rule.slug, "place": spelled(outcome.path), "was": outcome.was, "must": outcome.must,
            }  # fmt: skip


def _numbers(comparison: Comparison) -> Iterator[dict[str, str]]:
    for number in comparison.numbers:
        before, after, unit = number.before, number.after, number.unit
        yield {
            "title": number.title,
            "place": ".".join(number.about),
            "before": say.figure(before, unit),
            "after": say.figure(after, unit),
            "limit": say.bound(after or before, unit),
            "margin_before": say.margin(before, unit),
            "margin_after": say.margin(after, unit),
            "verdict": after.verdict if after else "",
        }


def _drawings(comparison: Comparison) -> Iterator[dict[str, Any]]:
    """Each loop that changed, before with what went and after with what came, as parts of a page."""
    looks = [Look(report.description, report.edition) for report in (comparison.before, comparison.after)]
    for loop in dict.fromkeys(name for look in looks for name in look.networks):
        words = [
            _words(comparison.changes, look.networks[loop], earlier=look is looks[0]) if loop in look.networks else {} for look in looks
        ]
        if any(words):
            before, after = (
                [*_sheets(look, loop, word, side)] if loop in look.networks else [] for look, word, side in zip(looks, words, ("before", "after"), strict=True)
            )
            yield {"loop": loop, "before": before, "after": after}


def _sheets(look: Look, loop: str, words: Mapping[str, str], side: str) -> Iterator[Markup]:
    network = look.networks[loop]
    for number, sheet in enumerate(schematic(network, look.car, look.edition.term), 1):
        picture: Picture = draw(marked(sheet, words))
        yield Markup(drawing(Figure(f"{side}-{anchor('loop', loop)}-{number}", loop, picture, in_words(network, look.car, look.edition.term))))


def _words(changes: tuple[Change, ...], network: Network, earlier: bool) -> dict[str, str]:
    """Id of an element in a drawing -> what became of it, on the earlier or the later side."""
    steps: dict[str, str] = {}
    parts: set[tuple[str, ...]] = set()
    renamed: set[str] = set()
    for change in changes:
        path = change.was if earlier else change.path
        if change.kind is Kind.FOLLOWS:
            continue
        if path[:2] == ("loops", network.loop) and (change.stood or change.stands):
            word = change.kind.value if change.kind in (Kind.ADDED, Kind.REMOVED, Kind.MOVED) else Kind.REMOVED.value if earlier else Kind.ADDED.value
            steps |= dict.fromkeys(_texts(change.before if earlier else change.after), word)
        elif change.kind is Kind.RENAMED and path[0] == "devices" and len(path) == 2:
            renamed.add(path[1])
        elif path[0] == "devices":
            parts.add(path[1:2])
        elif path[:2] == ("low_voltage", "fuses"):
            parts.add(path[2:3])
    found: dict[str, str] = {}
    for element, name in element_ids(network).items():
        if element.spelled in steps:
            found[name] = steps[element.spelled]
        elif (element.name,) in parts:
            found[name] = Kind.CHANGED.value
        elif element.name in renamed:
            found[name] = Kind.RENAMED.value
    return found


def _texts(data: Any) -> Iterator[str]:
    if isinstance(data, str):
        yield data
    elif isinstance(data, dict):
        for part in data.values():
            yield from _texts(part)
    elif isinstance(data, list):
        for part in data:
            yield from _texts(part)
