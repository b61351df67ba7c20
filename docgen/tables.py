"""Tables of the submission: functions from values to Table nodes."""

from collections.abc import Iterable, Iterator
from typing import Any

from pydantic import BaseModel

from docgen.analysis.loop_profile import Step
from docgen.calculation import Calculation
from docgen.car.contact import PHASES, Contact
from docgen.car.demand import Demand, PedalVsBrakeCheck
from docgen.car.device import Device, Latch, Reset, Stage, WhenLost
from docgen.car.values import Unknown
from docgen.check import Report, clause
from docgen.editions.topics import TOPICS
from docgen.finding import Result, Verdict
from docgen.look import PROTECTIVE, Look
from docgen.network import Element, Kind, Network, contact_at, healthy, modes
from docgen.nodes import Break, Cell, Code, Column, Inline, Inlines, Reference, Strong, Table, Text, cell, words
from docgen.printing import anchor, band, measure, named, printed, rows_of, shown, spelled_out
from docgen.provenance import Path, spelled
from docgen.reading import leaves
from docgen.rules import CATALOGUE


def counts(report: Report, open_points: int) -> Table:
    """How many findings of each kind, what was not evaluated, what is open."""
    counted = report.counts()
    rows = [
        ("Errors", len(report.errors), "must be put right, or cleared with the event"),
        ("Warnings", len(report.warnings), "common practice, or a clause that we know only second-hand; open points among them"),
        ("Open points", open_points, "values that the description calls unknown"),
        ("Not evaluated", counted[Verdict.NOT_EVALUATED], "something needed is unknown, or the clause was not read by us"),
        ("Computed, holds", counted[Verdict.HOLDS], "follows from the description by computation"),
        ("Stated, consistent", counted[Verdict.STATED], "claimed; paper cannot show more"),
        ("To be seen at the car", counted[Verdict.AT_CAR], "only the car can show it"),
        ("Not applicable", counted[Verdict.NOT_APPLICABLE], "does not concern this car"),
        ("Subjects without a check", len(report.unread_topics), "the edition speaks of them and docgen does not look at them: read them in the rulebook"),
    ]
    columns = (Column("Outcome", 3), Column("Count", 1), Column("Meaning", 6))
    return Table("table-outcomes", "What the checks of docgen said", columns, tuple((cell(Strong(head)), cell(str(number)), cell(meaning)) for head, number, meaning in rows))


def first_findings(report: Report, most: int) -> Table:
    """The findings in short for the first page: errors first, in the order of the catalogue, but what must never be missed before all others."""
    rank = {rule.slug: (not rule.never_quiet, number) for number, rule in enumerate(CATALOGUE)}
    ordered = [result for found in (report.errors, report.warnings) for result in sorted(found, key=lambda result: rank[result.rule.slug])]
    rows = [
        (cell(Strong(str(result.severity))), (*where(result.outcome.path), Break(), Code(f"line {result.location.line}")), cell(f"{result.outcome.was}; {result.outcome.must}"))
        for result in ordered[:most]
    ]
    caption = "The findings in short" if len(ordered) <= most else f"{most} of {len(ordered)} findings in short, the weightiest first"
    return Table("table-findings-in-short", caption, (Column("Severity", 1.2), Column("Place", 3.6), Column("What is, and what must be", 6)), tuple(rows))


def facts(part: BaseModel, own_anchor: str, caption: str) -> Table:
    """Every field that a part gives, one a row."""
    rows = tuple((cell(label), value) for label, value in rows_of(part))
    return Table(own_anchor, caption, (Column("Field", 2), Column("Value", 7)), rows)


_MOST_COLUMNS = 5


def named_parts(parts: dict[str, Any], own_anchor: str, caption: str, head: str) -> Table:
    """Named parts of one kind: a row each, and a column for every field that one of them gives where those are few."""
    fields = list(dict.fromkeys(label for part in parts.values() for label, _ in rows_of(part)))
    if len(fields) > _MOST_COLUMNS:
        rows = tuple((cell(Code(name)), spelled_out(part)) for name, part in parts.items())
        return Table(own_anchor, caption, (Column(head, 2), Column("What is said of it", 9)), rows)
    wide = tuple((cell(Code(name)), *(dict(rows_of(part)).get(field, cell("")) for field in fields)) for name, part in parts.items())
    return Table(own_anchor, caption, (Column(head, 2.6), *(Column(field.capitalize(), 2) for field in fields)), wide)


def current_order(look: Look, graph: Network) -> Table:
    """A loop in the order in which the current meets it."""
    several_modes = len(modes(look.car)) > 1
    states = [(phase, mode) for mode in modes(look.car) for phase in PHASES]
    heads = [f"Healthy, {phase}{f' ({mode})' if several_modes else ''}" for phase, mode in states]
    rows = []
    for number, element in enumerate(graph.elements, 1):
        contact = contact_at(look.car, element)
        device = look.car.devices.get(element.name)
        cells = [cell(str(number)), element_name(look, element), cell(_what(look, element)), cell(element.side.value), shown(contact.at_rest) if contact else cell("")]
        for phase, mode in states:
            if contact and device:
                cells.append(cell(healthy(device, contact, phase, mode) or Strong("not known")))
            elif element.kind is Kind.COIL:
                cells.append(cell("energised" if element in look.energised[graph.loop, phase, mode] else "without current"))
            else:
                cells.append(cell(""))
        rows.append(tuple(cells))
    columns = (Column("No.", 0.6), Column("Element", 3), Column("What it is", 3), Column("Side", 1.6), Column("At rest", 1.3), *(Column(head, 1.6) for head in heads))
    return Table(anchor("table-order", graph.loop), f"The loop “{graph.loop}” in current order", columns, tuple(rows), wide=True)


def element_name(look: Look, element: Element) -> Cell:
    if element.kind in (Kind.CONTACT, Kind.COIL) and element.name in look.car.devices:
        return cell(Reference(anchor("device", element.name), element.spelled))
    return cell(Code(element.spelled)) if element.spelled else cell("plain conductor")


def _what(look: Look, element: Element) -> str:
    device = look.car.devices.get(element.name)
    function = look.edition.term(device.function) if device and isinstance(device.function, str) else "not described"
    match element.kind:
        case Kind.CONTACT:
            return function
        case Kind.COIL:
            return f"coil of {function}"
        case Kind.CROSSING:
            return "connector crossing"
        case _:
            return element.kind.value


def in_order(look: Look) -> tuple[str, ...]:
    """Device names in the car's own current order: the loops as described, then what stands in none."""
    placed = [element.name for graph in look.networks.values() for element in graph.elements if element.name in look.car.devices]
    return tuple(dict.fromkeys([*placed, *look.car.devices]))


def devices(look: Look) -> Table:
    """The device table: one row a contact, in current order."""
    rows = []
    for name in in_order(look):
        device = look.car.devices[name]
        function = look.edition.term(device.function) if isinstance(device.function, str) else "function not said"
        if not device.every_contact() and name not in look.places_in_loops:
            head = cell(Reference(anchor("device", name), name), Break(), function)
            rows.append((head, cell("no contact"), *(cell("") for _ in range(7)), cell(printed(device.feed) if device.feed is not None else "not fed"), place(device)))
            continue
        for contact_name, contact in device.every_contact().items() or {"": Contact()}.items():
            suffix = "" if contact_name in ("", "contact") else f".{contact_name}"
            rows.append((
                cell(Reference(anchor("device", name), f"{name}{suffix}"), Break(), function),
                shown(contact.at_rest), shown(contact.when_healthy), tripped(device, contact), cell(opened_by(device, contact)), cell(on_loss_of_feed(device, contact)),
                latch(device), reset(device), stage(device), cell(printed(device.feed) if device.feed is not None else "not fed"), place(device),
            ))  # fmt: skip
    heads = (("Device", 3.8), ("At rest", 1.3), ("When healthy", 2), ("Tripped", 1.3), ("What opens it", 2.6), ("On loss of feed", 1.7), ("Latch", 1.9), ("Reset", 2.4),
             ("Stage", 1.5), ("Feed", 2.4), ("Place", 2.4))  # fmt: skip
    return Table("table-devices", "The contacts of the devices, those of the loops in current order", tuple(Column(head, share) for head, share in heads), tuple(rows), wide=True)


def tripped(device: Device, contact: Contact) -> Cell:
    """The tripped state: as stated, or as it follows for a protective device."""
    if contact.tripped is not None:
        return shown(contact.tripped)
    if device.function in PROTECTIVE and contact.when_healthy == "closed":
        return cell("open (follows)")
    return cell("")


def opened_by(device: Device, contact: Contact) -> str:
    """What opens the contact, in a few words."""
    match device.worked_by:
        case "hand":
            return "letting go" if (contact.at_rest, contact.when_healthy) == ("open", "open") else "a hand"
        case "machine":
            return {"inertia switch": "a deceleration", "brake over-travel switch": "over-travel of the brake pedal"}.get(str(device.function), "the machine")
        case "plug":
            return "pulling the plug apart"
        case "coil":
            return "its coil current" if contact.at_rest == "closed" else "loss of its coil current"
        case "power":
            return f"its own trip, or loss of {device.feed}" if isinstance(device.feed, str) else "its own trip"
        case Unknown():
            return str(device.worked_by)
        case _:
            return "not said"


def on_loss_of_feed(device: Device, contact: Contact) -> str:
    """What the contact does when its coil has no current, or the loop when the device's feed is lost."""
    if device.worked_by == "coil":
        return {"open": "opens", "closed": "closes"}.get(str(contact.at_rest), printed(contact.at_rest))
    if device.worked_by != "power":
        return "needs no feed"
    return printed(device.when_lost.feed) if isinstance(device.when_lost, WhenLost) else printed(device.when_lost)


def latch(device: Device) -> Cell:
    if isinstance(device.latch, Latch):
        logic = f" ({device.latch.logic})" if isinstance(device.latch.logic, str) and device.latch.logic != "mechanism" else ""
        return cell(f"{printed(device.latch.by)}{logic}" if device.latch.by else "described")
    return shown(device.latch) if isinstance(device.latch, Unknown) else cell("")


def reset(device: Device) -> Cell:
    if not isinstance(device.reset, Reset):
        return shown(device.reset) if isinstance(device.reset, Unknown) else cell("")
    parts = [printed(value) for value in (device.reset.act, device.reset.where) if value is not None]
    if device.reset.who is not None:
        parts.append(f"by {'the driver' if device.reset.who == 'driver' else printed(device.reset.who)}")
    if device.reset.self_after is not None:
        parts.append(f"by itself after {printed(device.reset.self_after)}")
    elif device.reset.timing is not None:
        parts.append("by itself after a time")
    return cell(", ".join(parts))


def stage(device: Device) -> Cell:
    if not isinstance(device.stage, Stage):
        return shown(device.stage) if isinstance(device.stage, Unknown) else cell("none")
    return cell(", ".join(printed(value) for value in (device.stage.own, device.stage.logic) if value is not None))


def place(device: Device) -> Cell:
    if isinstance(device.place, Unknown):
        return shown(device.place)
    return cell(", ".join(printed(value) for value in (device.place.where, device.place.by, device.place.height) if value is not None) if device.place else "")


def check_against_device(demand: Demand, look: Look) -> Table:
    """The pedal-vs-brake check beside the brake plausibility device."""
    check = demand.pedal_vs_brake_check
    known = check if isinstance(check, PedalVsBrakeCheck) else PedalVsBrakeCheck()
    name, device = next(((name, device) for _, name, device in look.devices("brake plausibility device")), ("", Device()))
    term = look.edition.term("brake plausibility device")
    thresholds = "; ".join(f"{key} {printed(value)}" for key, value in device.thresholds.items()) or "not said"
    delay = printed(device.delay)
    rows = (
        ("What it is", printed(known.kind) if check is not None else "not described", f"hardware of its own, {printed(device.stage.logic) if isinstance(device.stage, Stage) else 'stage not described'}"),
        ("Where", printed(known.runs_in), name or "not described"),
        ("What it compares", "the driver's demand with the brakes", "power drawn from the accumulator with hard braking"),
        ("When it acts", printed(known.trips), f"{thresholds}; delay {delay}"),
        ("What it does", printed(known.does), "opens the loop, so that the contactors open"),
        ("What ends it", printed(known.releases), printed(device.reset)),
        ("What it guards against", "a pedal that sticks, or two feet", "an inverter that no longer obeys"),
    )
    columns = (Column("", 2), Column("Pedal-vs-brake check", 4), Column(f"Brake plausibility device ({term})", 4))
    return Table("table-check-and-device", f"The pedal-vs-brake check is not the {term}", columns, tuple((cell(Strong(a)), cell(b), cell(c)) for a, b, c in rows))


def findings(report: Report) -> Table:
    """Every finding with its place, what is, what must be, the clause and how to put it right."""
    rows = tuple(
        (
            cell(Strong((result.severity or "").upper()), Break(), Code(result.rule.slug)),
            cell(Code(f"{result.location.file}:{result.location.line}"), Break(), *where(result.outcome.path)),
            cell(f"{result.outcome.was}; {result.outcome.must}."),
            cell(clause(result)),
            cell(result.rule.texts.mend),
        )
        for result in report.findings
    )
    columns = (Column("Severity, check", 2.6), Column("Place", 2.6), Column("What is, and what must be", 4.4), Column("Clause", 2.2), Column("How to put it right", 4.2))
    return Table("table-findings", "Findings", columns, rows, wide=True)


SECTIONS = {
    "loops": "loops", "tractive_system": "tractive-system", "low_voltage": "low-voltage", "demand": "driver-demand", "signals": "signals", "wiring": "wiring",
    "connectors": "low-voltage", "boards": "low-voltage", "housings": "low-voltage", "charger": "tractive-system", "evidence": "evidence", "revisions": "revision-record", "car": "the-car",
    "notes": "the-car", "docgen": "the-car",
}  # fmt: skip
"""Top-level field -> anchor of the chapter that prints it."""


def where(path: Path) -> tuple[Inline, ...]:
    """A cross-reference to the chapter where a field is printed."""
    if len(path) > 1 and path[0] == "devices":
        return (Reference(anchor("device", str(path[1])), spelled(path)),)
    return (Reference(SECTIONS[str(path[0])], spelled(path)),) if path and path[0] in SECTIONS else (Text("the description as a whole"),)


def numbers_in_short(subjects: Iterable[tuple[str, tuple[Calculation, ...]]], look: Look) -> Table:
    """Every value that has a bound to keep, with its worst end and its margin, one a row."""
    rows = tuple(
        (
            cell(Reference(workings_anchor(subject), one.title)),
            cell(_result(one)),
            cell(_bound(one, look)),
            cell(measure(one.margin, one.card.unit) if one.margin is not None else ""),
            _verdict(one),
        )
        for subject, group in subjects
        for one in group
        if one.is_judged
    )
    columns = (Column("Computed value", 4), Column("Nominal, and the worst ends", 3), Column("Bound", 3), Column("Margin of the worst end", 1.6), Column("Outcome", 1.6))
    return Table("table-numbers", "The computed values that have a bound to keep", columns, rows, wide=True)


def _verdict(one: Calculation) -> Cell:
    """Without a bound there is nothing that holds."""
    if one.verdict is Verdict.HOLDS and one.bound is None:
        return cell("computed")
    return cell(Strong(one.verdict.value)) if one.verdict is Verdict.FINDING else cell(one.verdict.value)


def _result(one: Calculation) -> str:
    if one.missing:
        return "not evaluated: " + ", ".join(missing.name for missing in one.missing)
    return band(one.result.low, one.result.nominal, one.result.high, one.card.unit) if one.result else f"impossible: {one.impossible}"


def _bound(one: Calculation, look: Look) -> str:
    if one.bound is None:
        return ""
    source = look.edition.topic(one.bound.topic).clause if one.bound.topic else one.bound.words
    return f"{one.bound.compare} {measure(one.bound.value, one.card.unit)}" + (f", {source}" if source else "")


def marked_situations(steps: Iterable[Step]) -> dict[str, str]:
    """The situations in which the parts of a loop stand, in words, with the mark of each in the table."""
    titles = dict.fromkeys(step.situation.title for step in steps if step.situation)
    return {title: f"S{number}" for number, title in enumerate(titles, 1)}


def margins(loop: str, steps: tuple[Step, ...], look: Look) -> Table:
    """A loop from part to part in current order: what is lost on the way, and what is left for each coil beyond its need."""
    marks = marked_situations(steps)
    columns = (
        Column("No.", 0.8), Column("Part", 3.1), Column("When", 1.0), Column("Wires [V]", 1.2), Column("Across [V]", 1.3), Column("Worst across [V]", 1.3),
        Column("Behind [V]", 1.3), Column("Worst behind [V]", 1.3), Column("Needs [V]", 1.3), Column("Margin [V]", 1.3),
    )  # fmt: skip
    rows = []
    for number, step in enumerate(steps, 1):
        head = (cell(str(number)), (*(words("coil ") if step.element.kind is Kind.COIL else ()), *element_name(look, step.element)))
        if step.situation is None:
            rows.append((*head, cell("never"), *(cell("") for _ in range(7))))
            continue
        flowing = [_volts(value) for value in (step.wires, *step.across, *step.behind)]
        needed = _volts(step.needed) if step.needed is not None else "not known" if step.element.kind is Kind.COIL else ""
        margin = cell("") if step.margin is None else cell(_volts(step.margin) if step.margin >= 0 else Strong(_volts(step.margin)))
        rows.append((*head, cell(marks[step.situation.title]), *(cell(value) for value in flowing), cell(needed), margin))
    return Table(anchor("table-margins", loop), f"Where the voltage of the loop “{loop}” goes, from part to part", columns, tuple(rows))


def _volts(value: float) -> str:
    """To the millivolt, without a sign at nothing."""
    return f"{round(value, 3) + 0.0:.3f}"


def workings_anchor(subject: str) -> str:
    """The anchor of the chapter that shows how the values of a subject were computed."""
    return anchor("workings", subject.casefold().replace(" ", "_").replace("-", "_").replace(",", ""))


def workings(subject: str, group: Iterable[Calculation], look: Look) -> Table:
    """Each value of a subject with formula, publisher, inputs and the place that each comes from."""
    rows = tuple(
        (
            cell(Strong(one.title), *((Break(), one.prose) if one.prose else ())),
            cell(Code(one.card.expression), Break(), one.card.source),
            tuple(_inputs(one, look)) or cell(""),
            cell(_result(one), *((Break(), _bound(one, look)) if one.bound else ())),
        )
        for one in group
    )
    columns = (Column("Value", 3.4), Column("Formula and its publisher", 3.4), Column("Inputs, and where they come from", 5.6), Column("Result, and the bound", 2.6))
    return Table(f"table-{workings_anchor(subject)}", f"How the values were computed: {subject}", columns, rows, wide=True)


def _inputs(one: Calculation, look: Look) -> Iterator[Inline]:
    lines = [(f"{given.symbol}: {given.name}, {band(given.band.low, given.band.nominal, given.band.high, given.unit)}, from ", given.origin) for given in one.given]
    lines += [(f"{missing.name}, not known, ", missing.origin) for missing in one.missing]
    for number, (said, origin) in enumerate(lines):
        if number:
            yield Break()
        yield Text(said)
        yield from _origin(origin, look)


def _origin(origin: Path | str, look: Look) -> Cell:
    if isinstance(origin, str):
        return cell(origin)
    return cell(*where(origin), f", line {look.description.location(origin).line}")


def not_evaluated(report: Report) -> Table:
    """What could not be judged, and for want of what."""
    grouped: dict[tuple[str, str], list[str]] = {}
    for result in report.not_evaluated:
        grouped.setdefault((result.outcome.was, clause(result)), []).append(result.rule.slug)
    rows = tuple((cell(was), cell(said), tuple(_codes(dict.fromkeys(slugs)))) for (was, said), slugs in grouped.items())
    return Table("table-not-evaluated", "Not evaluated", (Column("What is missing", 6), Column("Clause", 2), Column("Checks", 4)), rows)


def _codes(names: Iterable[str]) -> Iterator[Inline]:
    for number, name in enumerate(names):
        if number:
            yield Break()
        yield Code(name)


def open_points(points: Iterable[tuple[Path, Unknown]], look: Look) -> Table:
    """Every value that the description calls unknown, by place."""
    rows = tuple(
        (cell(Code(str(look.description.location(path).line))), cell(*where(path)), cell(point.because or "nobody named")) for path, point in points
    )
    return Table("table-open-points", "Open points", (Column("Line", 1), Column("Field", 6), Column("Waits for", 4)), rows)


_ORDER = (Verdict.FINDING, Verdict.NOT_EVALUATED, Verdict.AT_CAR, Verdict.STATED, Verdict.HOLDS, Verdict.NOT_APPLICABLE)


def clause_index(report: Report) -> Table:
    """Every topic of the edition: its clause, how it is known, the outcomes, and where it is answered."""
    by_topic: dict[str, list[Result]] = {}
    for result in report.results:
        by_topic.setdefault(result.rule.topic, []).append(result)
    rows = []
    for slug, subject in TOPICS.items():
        topic, results = report.edition.topic(slug), by_topic.get(slug, [])
        counted = [(verdict, sum(result.outcome.verdict is verdict for result in results)) for verdict in _ORDER]
        said = "; ".join(f"{verdict.value}: {number}" for verdict, number in counted if number) or "docgen has no check for this"
        rows.append((cell(topic.clause), cell(subject.about), cell(topic.known), cell(said), tuple(_answers(results)) or cell("")))
    columns = (Column("Clause", 2), Column("About", 4), Column("How known", 2), Column("Outcomes", 4), Column("Where answered", 4))
    return Table("table-clauses", f"Clauses of {report.edition.name}", columns, tuple(rows), wide=True)


_MOST_ANSWERS = 6


def _answers(results: list[Result]) -> Iterator[Inline]:
    places = list(dict.fromkeys(_chapter(result.outcome.path) for result in results if result.outcome.path))
    for number, reference in enumerate(places[:_MOST_ANSWERS]):
        if number:
            yield Text(", ")
        yield from reference
    if len(places) > _MOST_ANSWERS:
        yield Text(f" and {len(places) - _MOST_ANSWERS} more")


def _chapter(path: Path) -> Inlines:
    if path[0] == "devices" and len(path) > 1:
        return words(Reference(anchor("device", str(path[1])), str(path[1])))
    return words("chapter ", Reference(SECTIONS[str(path[0])])) if path[0] in SECTIONS else words(spelled(path))


def signals(look: Look) -> Table:
    """Every signal: what it is, from where to where, and what it influences."""
    rows = tuple(
        (cell(Code(name)), shown(signal.kind), cell(f"{printed(signal.start)} → {printed(signal.end)}"), shown(signal.influences),
         *(shown(value) if value is not None else cell("") for value in (signal.value, signal.delay)))
        for name, signal in look.car.signals.items()
    )  # fmt: skip
    columns = (Column("Signal", 2.2), Column("Kind", 1.4), Column("Way", 4), Column("Influences", 2.4), Column("Normal value", 1.3), Column("Longest delay", 1.3))
    return Table("table-signals", "Signals that can influence a loop or the torque", columns, rows, wide=True)


def failures(look: Look) -> Table:
    """How each signal can fail, one failure a row."""
    rows = []
    for name, signal in look.car.signals.items():
        if not isinstance(signal.failure_modes, tuple):
            rows.append((cell(Code(name)), shown(signal.failure_modes), *(cell("") for _ in range(4))))
            continue
        rows += [(cell(Code(name)), *(shown(value) for value in (mode.mode, mode.detected_by, mode.within, mode.does, mode.tested))) for mode in signal.failure_modes]
    columns = (Column("Signal", 2.2), Column("Failure", 2.4), Column("Noticed by", 3), Column("Within", 1), Column("What follows", 1.6), Column("Tested", 3))
    return Table("table-failures", "How the signals can fail", columns, tuple(rows), wide=True)


def revisions(look: Look) -> Table:
    """The revision record, newest first."""
    fields = ("mark", "date", "status", "because", "prepared_by", "checked_by")
    rows = tuple(tuple(shown(getattr(revision, field)) for field in fields) for revision in look.car.revisions)
    shares = (0.8, 1.6, 1.7, 4.7, 2, 2)
    return Table("table-revisions", "Revisions, newest first", tuple(Column(named(field).capitalize(), share) for field, share in zip(fields, shares, strict=True)), rows)


def evidence(look: Look) -> Table:
    """Evidence and what rests on it."""
    used: dict[str, dict[str, None]] = {}
    for path, text in leaves(look.description.tree.data):
        if text in look.car.evidence and path[-1] in ("datasheet", "linked_to_main", "direct_opening"):
            used.setdefault(text, {})[spelled(path[:-1])] = None
    rows = tuple(
        (cell(Code(name)), (*shown(item.title), *((Break(), Code(printed(item.file))) if item.file is not None else ())), shown(item.page) if item.page is not None else cell(""), cell(printed(item.says) if item.says is not None else ""),
         tuple(_codes(used.get(name, ()))) or cell("nothing"))
        for name, item in look.car.evidence.items()
    )  # fmt: skip
    columns = (Column("Name", 2.4), Column("Title and file", 4), Column("Page", 1), Column("What it says", 4), Column("What rests on it", 4))
    return Table("table-evidence", "Evidence", columns, rows, wide=True)
