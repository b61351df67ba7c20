"""Many submissions at a glance: what each one is, what was found in it, and what is different since last time; worst first."""

import hashlib
import json
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from dataclasses import asdict, dataclass, field
from multiprocessing import get_context
from pathlib import Path

from docgen import VERSION
from docgen.asked import edition_for
from docgen.check import check
from docgen.files import NotWritten, write
from docgen.finding import SUBJECTS
from docgen.load import load_file
from docgen.printing import printed
from docgen.provenance import spelled
from docgen.reading import LARGEST_FILE, Unreadable
from docgen.rules.description import unknowns
from docgen.spreadsheet import as_csv
from docgen.stop import Stop

READ, LAST = "read", "overview.json"
"""In the folder of an overview: what was read of each submission, so that an interrupted run goes on where it was; and the last finished overview."""
_CONTEXT = "spawn"
"""How processes begin: the same way on every system, and none inherits what this one holds."""
_DOCUMENTS = (".docx", ".html")
_NAMES = ("car.yaml", "submission.docx", "submission.html")


@dataclass(frozen=True, slots=True)
class Summary:
    """What the overview says of one submission."""

    file: str
    """Its place in the folder of submissions, with ``/``."""
    digest: str
    """Of what the summary rests on: the file, docgen and the edition asked for."""
    problem: str = ""
    """Why it could not be read; then nothing else is known."""
    car: str = ""
    number: str = ""
    revision: str = ""
    status: str = ""
    edition: str = ""
    errors: int = 0
    warnings: int = 0
    open_points: int = 0
    not_evaluated: int = 0
    open_questions: int = 0
    subjects: Mapping[str, int] = field(default_factory=dict)
    """Subject of the checks -> findings."""
    findings: tuple[str, ...] = ()
    """Each finding as check and field, by which those of two runs are matched."""

    @property
    def goodness(self) -> tuple[bool, int, int, int, int, str]:
        """The smaller, the sooner it is told: what could not be read, then by errors, warnings, questions, open points."""
        return (not self.problem, -self.errors, -self.warnings, -self.open_questions, -self.open_points, self.file)


@dataclass(frozen=True, slots=True)
class Row:
    """A summary and what is different from the last finished overview; empty where there was none."""

    summary: Summary
    since: str = ""


def submissions(folder: Path) -> tuple[Path, ...]:
    """The submissions in a folder: descriptions and documents that stand in it, and from each folder in it the description, else a document.

    What is hidden or a link is left out. Raises Stop for a folder without submissions.
    """
    if not folder.is_dir():
        raise Stop(f"{folder.as_posix()} is no folder; must be a folder of submissions")
    entries = [path for path in sorted(folder.iterdir()) if not path.name.startswith(".") and not path.is_symlink()]
    found = [path for path in entries if path.is_file() and path.suffix.lower() in (".yaml", *_DOCUMENTS)]
    for inner in (path for path in entries if path.is_dir()):
        named = [inner / place / name for place in ("", "submission") for name in _NAMES]
        others = sorted(path for path in inner.iterdir() if path.suffix.lower() in _DOCUMENTS)
        found += [path for path in (*named, *others) if path.is_file() and not path.is_symlink()][:1]
    if not found:
        raise Stop(f"{folder.as_posix()} holds no submission; must hold folders with a car.yaml, or documents that carry a description")
    return tuple(found)


def overview(folder: Path, target: Path, edition: str | None, workers: int, told: Callable[[int, int], None]) -> tuple[Row, ...]:
    """Read every submission of a folder, `workers` at once, and compare with the last finished overview in `target`.

    `told` is called with how many are done and how many there are. What cannot be read is told as such; the others go on.
    """
    found = submissions(folder)
    done: list[Summary] = []
    for summary in _read(found, folder, target / READ, edition, workers):
        done.append(summary)
        told(len(done), len(found))
    last = _last(target / LAST)
    return tuple(Row(summary, _since(summary, last)) for summary in sorted(done, key=lambda summary: summary.goodness))


def _read(found: Sequence[Path], folder: Path, kept: Path, edition: str | None, workers: int) -> Iterator[Summary]:
    broken: list[Path] = []
    with ProcessPoolExecutor(workers, get_context(_CONTEXT)) as pool:
        running = {pool.submit(summary_of, path, folder, kept, edition): path for path in found}
        for future in as_completed(running):
            try:
                yield future.result()
            except BrokenProcessPool:
                broken.append(running[future])
    for path in sorted(broken):  # one of them ended the process that the others waited for
        with ProcessPoolExecutor(1, get_context(_CONTEXT)) as pool:
            try:
                yield pool.submit(summary_of, path, folder, kept, edition).result()
            except BrokenProcessPool:
                yield Summary(path.relative_to(folder).as_posix(), "", "reading it ended the process that read it")


def summary_of(path: Path, folder: Path, kept: Path, edition: str | None) -> Summary:
    """The summary of a submission; taken from the folder `kept` where nothing has changed since it was put there."""
    file = path.relative_to(folder).as_posix()
    try:
        with path.open("rb") as stream:
            digest = hashlib.sha256(repr((VERSION, edition, file)).encode() + stream.read(16 * LARGEST_FILE)).hexdigest()
    except OSError as error:
        return Summary(file, "", f"cannot be read: {error.strerror}")
    place = f"{hashlib.sha256(file.encode()).hexdigest()[:24]}.json"
    known = _summaries(kept / place)
    if known and known[0].digest == digest:
        return known[0]
    summary = _summary(path, file, digest, edition)
    write(kept, {place: json.dumps([asdict(summary)], ensure_ascii=False).encode()})
    return summary


def _summary(path: Path, file: str, digest: str, edition: str | None) -> Summary:
    try:
        description = load_file(path)
        report = check(description, edition_for(edition, description))
    except Unreadable as error:
        more = f" (and {len(error.problems) - 1} more)" if len(error.problems) > 1 else ""
        return Summary(file, digest, f"{error.problems[0]}{more}")
    except Stop as stop:
        return Summary(file, digest, str(stop))
    except NotWritten:
        raise
    except Exception as error:  # whatever a stranger's file brings about
        return Summary(file, digest, f"docgen stopped on it: {type(error).__name__}")
    car = description.car
    said = {name: printed(value) for name in ("name", "number") if (value := getattr(car.car, name, None)) is not None}
    return Summary(
        file,
        digest,
        car=said.get("name", ""),
        number=said.get("number", ""),
        revision=printed(car.newest.mark) if car.newest.mark is not None else "",
        status=printed(car.newest.status) if car.newest.status is not None else "",
        edition=report.edition.edition,
        errors=len(report.errors),
        warnings=len(report.warnings),
        open_points=sum(1 for _ in unknowns(car)),
        not_evaluated=len(report.not_evaluated),
        subjects=dict(Counter(result.rule.subject for result in report.findings)),
        findings=tuple(f"{result.rule.slug} {spelled(result.outcome.path)}" for result in report.findings),
    )


def _summaries(path: Path) -> tuple[Summary, ...] | None:
    """The summaries in a file of ours; None where there is none, or one of another docgen."""
    try:
        entries = json.loads(path.read_bytes())
        return tuple(Summary(**{**entry, "findings": tuple(entry["findings"])}) for entry in entries)
    except (OSError, ValueError, TypeError, KeyError):
        return None


def _last(path: Path) -> Mapping[str, Summary] | None:
    summaries = _summaries(path)
    return {summary.file: summary for summary in summaries} if summaries is not None else None


def _since(summary: Summary, last: Mapping[str, Summary] | None) -> str:
    """What is different from last time, in words."""
    if last is None:
        return ""
    before = last.get(summary.file)
    if before is None:
        return "not there last time"
    if before.problem or summary.problem:
        return "as last time" if before.problem == summary.problem else "could not be read last time" if before.problem else "could be read last time"
    now, then = Counter(summary.findings), Counter(before.findings)
    come, gone = (now - then).total(), (then - now).total()
    told = [f"was revision {before.revision}"] if before.revision != summary.revision else []
    told += [f"{come} findings new, {gone} gone"] if come or gone else []
    told += ["other questions open"] if before.open_questions != summary.open_questions else []
    return "; ".join(told) or ("same findings" if before.digest != summary.digest else "nothing")


_COLUMNS: tuple[tuple[str, Callable[[Row], object]], ...] = (
    ("Submission", lambda row: row.summary.file),
    ("Car", lambda row: row.summary.car),
    ("Number", lambda row: row.summary.number),
    ("Revision", lambda row: row.summary.revision),
    ("Status", lambda row: row.summary.status),
    ("Edition", lambda row: row.summary.edition),
    ("Errors", lambda row: row.summary.errors),
    ("Warnings", lambda row: row.summary.warnings),
    ("Open points", lambda row: row.summary.open_points),
    ("Not evaluated", lambda row: row.summary.not_evaluated),
    ("Open questions", lambda row: row.summary.open_questions),
    ("Since last time", lambda row: row.since),
    ("Could not be read", lambda row: row.summary.problem),
)


def files(rows: Sequence[Row], view: Callable[..., str]) -> dict[str, bytes]:
    """The overview as page, CSV and JSON, by file name; `view` renders the page."""
    subjects = [subject for subject in SUBJECTS if any(subject in row.summary.subjects for row in rows)]
    head = [*(title for title, _ in _COLUMNS), *subjects]
    cells = [[*(str(value(row)) for _, value in _COLUMNS), *(str(row.summary.subjects.get(subject, 0)) for subject in subjects)] for row in rows]
    return {
        "overview.html": view("overview.html", rows=rows, subjects=subjects).encode(),
        "overview.csv": as_csv([head, *cells]),
        LAST: (json.dumps([{**asdict(row.summary)} for row in rows], ensure_ascii=False, indent=1) + "\n").encode(),
    }
