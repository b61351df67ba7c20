"""The sheet to take to the car: as Word, to be written on, and as a page, to be filled in without a network."""

import json
from base64 import b64encode
from collections.abc import Iterable, Sequence
from datetime import date
from hashlib import sha256
from html import escape

from docgen import VERSION
from docgen.carried import edition_digest
from docgen.inputs import shipped_templates
from docgen.inspection import Inspection
from docgen.inspection.test import Caution, Group, Test
from docgen.inspection_record import COLUMNS, FILLED, FORMAT, empty_csv, empty_yaml, expected, head_of
from docgen.nodes import (
    Block,
    Break,
    Cell,
    Code,
    Column,
    Document,
    Emphasis,
    Heading,
    Inline,
    Listing,
    Paragraph,
    Reference,
    Source,
    Strong,
    Table,
    Text,
    words,
)
from docgen.printing import anchor, counted, listed, printed
from docgen.prose import Words
from docgen.writers.page import write_page
from docgen.writers.word import write_word

_COLUMNS = (Column("Test and what to do", 1.15), Column("Expected", 1.15), Column("Seen and measured"))
_LINE = "_" * 19
_ROLES = ("electrical safety officer", "electrical lead", "official of the event")


def sheets(inspection: Inspection) -> dict[str, bytes]:
    """The sheet and its empty records, by file name."""
    wording = Words([shipped_templates()])
    made = document(inspection, wording)
    return {
        "inspection.docx": write_word(made, wording.file("style.docx")),
        "inspection.html": page(inspection, made, wording).encode(),
        "inspection-record.yaml": empty_yaml(inspection).encode(),
        "inspection-record.csv": empty_csv(inspection),
    }


def document(inspection: Inspection, wording: Words) -> Document:
    """The sheet as nodes: cautions, then a table for each group, with room to write."""
    description, edition, head = inspection.report.description, inspection.report.edition, head_of(inspection)
    blocks: list[Block] = [
        Heading(1, "Before you begin", "begin"),
        *_front(inspection, wording),
        Heading(2, "Cautions", "cautions"),
        Listing(tuple((Paragraph((Strong(f"{caution.short.capitalize()}. "), Text(caution.value))),) for caution in Caution), ordered=True),
    ]
    for number, section in enumerate(inspection.sections, 1):
        blocks.append(Heading(1, section.title, f"section-{number}"))
        for group in section.groups:
            blocks += [Heading(2, group.title, anchor(f"group-{number}", group.head)), _table(group, anchor(f"tests-{number}", group.head))]
    newest, team = description.car.newest, getattr(description.car.car, "team", None)
    mark = head["revision"] or "without a mark"
    return Document(
        title=f"{_name(head)}: inspection sheet",
        subject=f"Tests at the car with the values expected of {_name(head)}, revision {mark}",
        author="" if team is None else printed(team),
        revision=mark,
        issued=newest.date if isinstance(newest.date, date) else None,
        generator=f"docgen {VERSION}",
        source=Source(
            description.tree.file,
            description.tree.without_comments(),
            description.digest,
            edition=edition.edition,
            edition_digest=edition_digest(edition),
            version=VERSION,
        ),
        footer=f"{_name(head)}, revision {mark}, description {description.digest[:12]}. High voltage kills. docgen approves nothing.",
        blocks=tuple(blocks),
    )


def _name(head: dict[str, str]) -> str:
    return head["car"] or "A car without a name"


def _front(inspection: Inspection, wording: Words) -> tuple[Block, ...]:
    report, head = inspection.report, head_of(inspection)
    voltage = getattr(getattr(report.description.car.tractive_system, "voltage", None), "highest", None)
    return wording.blocks(
        "inspection.md",
        highest="a voltage that is not said" if voltage is None else printed(voltage),
        name=_name(head),
        mark=head["revision"] or "without a mark",
        digest=Code(head["description"][:12]),
        edition=report.edition.name,
        tests=counted(len(inspection.tests), "test"),
    )


def _table(group: Group, name: str) -> Table:
    """The tests of a group under its cautions, which no page break can part from them."""
    rows = [(_named(test), _expectation(test), _room(test)) for test in group.tests]
    if group.cautions:
        numbers = listed(str(list(Caution).index(caution) + 1) for caution in group.cautions)
        said = words(Strong("Danger: " + ", ".join(caution.short for caution in group.cautions)))
        rows.insert(
            0,
            (
                said,
                words(f"Caution{'s' * (len(group.cautions) > 1)} {numbers} of ", Reference("cautions"), " before anything else"),
                words(f"read, role {_LINE}"),
            ),
        )
    return Table(name, f"Tests of {group.title}", _COLUMNS, tuple(rows))


def _named(test: Test) -> Cell:
    steps = [f"{number}. {step}" for number, step in enumerate(test.steps, 1)] if len(test.steps) > 1 else list(test.steps)
    return _lines([[Strong(test.title)], [Code(test.slug)], *([Text(step)] for step in steps), [Emphasis(f"digest {test.digest}")]])


def _expectation(test: Test) -> Cell:
    lines: list[list[Inline]] = [[Text(f"• {sight}")] for sight in test.sights]
    if test.figure:
        lines.append([Text(f"• {test.figure.what}: "), Strong(test.figure.expected)])
    return _lines([*lines, [Emphasis("from " + "; ".join(test.sources))]] if test.sources else lines)


def _room(test: Test) -> Cell:
    """Lines far enough apart for a pen."""
    lines: list[list[Inline]] = [[Text("☐ as expected   ☐ otherwise")]] if test.sights else []
    for words_before in ("measured", "day, time", "role", "remark"):
        lines += [[Text("")], [Text(f"{words_before} {_LINE}")]]
    return _lines(lines)


def _lines(lines: Iterable[Sequence[Inline]]) -> Cell:
    cell: list[Inline] = []
    for line in lines:
        cell += [*([Break()] if cell else []), *line]
    return tuple(cell) or (Text("–"),)


def page(inspection: Inspection, made: Document, wording: Words) -> str:
    """The sheet as one file to be filled in without a network; only our own script runs in it."""
    script, data = wording.text("inspection.js").strip() + "\n", _data(inspection)
    allowed = b64encode(sha256(f"\n{script}".encode()).digest()).decode()
    front = write_page(
        Document(made.title, made.subject, made.author, made.revision, made.issued, made.generator, made.source, "", _front(inspection, wording)), ""
    )
    told = front.partition("<main>")[2].partition("</main>")[0]
    head = head_of(inspection)
    roles = dict.fromkeys([*_roles(inspection), *_ROLES])
    return f"""\
<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; script-src 'sha256-{allowed}'; base-uri 'none'; form-action 'none'">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="generator" content="{escape(made.generator)}">
<title>{escape(made.title)}</title>
<style>
{wording.text("style.css").strip()}

{wording.text("inspection.css").strip()}
</style>
</head>
<body>
<header>
<h1>{escape(made.title)}</h1>
<p>{escape(made.subject)}</p>
</header>
<div class="bar" role="toolbar" aria-label="Record">
<p id="state" role="status" aria-live="polite">This page needs its script to save; without it, print it or fill in inspection-record.yaml.</p>
<label class="who">Role <input id="who" list="roles" autocomplete="off" placeholder="role, never a name"></label>
<button type="button" id="save-yaml">Save YAML</button>
<button type="button" id="save-csv">Save CSV</button>
<label class="button">Load <input id="load" type="file" accept=".yaml,.yml,.csv"></label>
<button type="button" id="next">Next open</button>
</div>
<main>
{told}
<details class="box danger" open><summary class="title">What endangers people in these tests</summary>{_cautions(Caution)}</details>
{"".join(_section(number, section.title, section.groups) for number, section in enumerate(inspection.sections, 1))}</main>
<footer>
<p>{escape(made.footer)}</p>
<p>Generated by {escape(made.generator)} from <code>{escape(made.source.name)}</code>. SHA-256 of the description: <code>{escape(head["description"])}</code></p>
</footer>
<datalist id="roles">{"".join(f"<option>{escape(role)}</option>" for role in roles)}</datalist>
<script type="application/json" id="sheet">{data}</script>
<script>
{script}</script>
</body>
</html>
"""


def _roles(inspection: Inspection) -> list[str]:
    newest = inspection.report.description.car.newest
    return [role for role in (newest.checked_by, newest.prepared_by) if isinstance(role, str)]


def _data(inspection: Inspection) -> str:
    """What the script writes into a record, as JSON that ends no element."""
    tests = [
        {"test": test.slug, "title": f"{group.title}: {test.title}", "expected": expected(test), "digest": test.digest, "rests_on": test.rests_on}
        for group in inspection.groups
        for test in group.tests
    ]
    data = {"format": FORMAT, "head": head_of(inspection), "columns": COLUMNS, "filled": FILLED, "tests": tests}
    return json.dumps(data, ensure_ascii=False).replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def _section(number: int, title: str, groups: tuple[Group, ...]) -> str:
    return f'<section>\n<h2 id="section-{number}">{escape(title)}</h2>\n{"".join(_group(group, anchor(f"group-{number}", group.head)) for group in groups)}</section>\n'


def _cautions(cautions: Iterable[Caution]) -> str:
    return f"<ul>{''.join(f'<li><strong>{escape(caution.short.capitalize())}.</strong> {escape(caution.value)}</li>' for caution in cautions)}</ul>"


def _group(group: Group, name: str) -> str:
    short = escape(", ".join(caution.short for caution in group.cautions))
    box = f'<details class="box danger"><summary class="title">Danger: {short}</summary>{_cautions(group.cautions)}</details>\n' if short else ""
    return f'<section aria-labelledby="{name}">\n<h3 id="{name}">{escape(group.title)}</h3>\n{box}{"".join(map(_card, group.tests))}</section>\n'


def _card(test: Test) -> str:
    steps = "".join(f"<li>{escape(step)}</li>" for step in test.steps)
    sights = "".join(f"<li{'' if sight.is_known else ' class=open'}>{escape(str(sight))}</li>" for sight in test.sights)
    figure = ""
    if test.figure:
        kind = "" if test.figure.has_band else " class=open"
        figure = f"<li{kind}>{escape(test.figure.what)}: <strong>{escape(test.figure.expected)}</strong></li>"
    source = f'<p class="source">from {escape("; ".join(test.sources))}</p>' if test.sources else ""
    slug = escape(test.slug)
    seen = (
        "".join(
            f'<label class="choice"><input type="radio" name="{slug} seen" value="{word}" data-field="seen"><span>{word}</span></label>'
            for word in ("as expected", "otherwise")
        )
        if test.sights
        else ""
    )
    return f"""\
<article class="test" data-test="{slug}" data-figure="{"yes" if test.figure else ""}" aria-label="{slug}">
<h4>{escape(test.title)} <code>{slug}</code></h4>
<div class="told"><ol>{steps}</ol><div><ul class="expected">{sights}{figure}</ul>{source}</div></div>
<div class="record">{f'<fieldset><legend>seen</legend>{seen}<button type="button" data-clear>clear</button></fieldset>' if seen else ""}
<label class="measured">measured <input data-field="measured" autocomplete="off" spellcheck="false" placeholder="{"value and unit" if test.figure else ""}"><span class="hint"></span></label>
<label>day <input type="date" data-field="date"></label>
<label>time <input type="time" data-field="time"></label>
<label class="role">role <input data-field="role" list="roles" autocomplete="off"></label>
<label class="remark">remark <textarea data-field="remark" rows="1"></textarea></label></div>
</article>
"""
