"""Many submissions at a glance: what each one is, what was found in it, and what is different since last time; worst first."""

import hashlib
import json
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from contextlib import suppress
from dataclasses import asdict, dataclass, field
from multiprocessing import get_context
from pathlib import Path

from pydantic import TypeAdapter

from docgen import VERSION
from docgen.asked import edition_for
from docgen.carried import described_in
from docgen.changes import changes
from docgen.check import check
from docgen.files import write
from docgen.finding import SUBJECTS
from docgen.folder import content, on_screen
from docgen.load import load_text
from docgen.meaning import meaning, named
from docgen.printing import counted, mark_of, name_of, printed
from docgen.questions import State, by_state
from docgen.questions_file import read_questions
from docgen.reading import Unreadable
from docgen.rules.description import unknowns
from docgen.spreadsheet import as_csv
from docgen.stop import Stop

READ, LAST = "read", "overview.json"
"""In the folder of an overview: what was read of each submission, so that an interrupted run goes on where it was; and the last finished overview."""
_CONTEXT = "spawn"
"""How processes begin: the same way on every system, and none inherits what this one holds."""
_DOCUMENTS = (".docx", ".html")
_NAMES = ("car.yaml", "submission.docx", "submission.html")
_QUESTIONS = "questions.yaml"
_MOST_AT_ONCE = 61
"""Processes that Windows lets one wait for."""


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
    """Each finding as check and place by names, by which those of two runs are matched."""

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
        try:
            named = [inner / place / name for place in ("", "submission") for name in _NAMES]
            others = sorted(path for path in inner.iterdir() if path.suffix.lower() in _DOCUMENTS)
            found += [path for path in (*named, *others) if path.is_file() and not path.is_symlink()][:1]
        except OSError:  # a folder that cannot be listed is told like a description that cannot be read
            found.append(inner / _NAMES[0])
    if not found:
        raise Stop(f"{folder.as_posix()} holds no submission; must hold folders with a car.yaml, or documents that carry a description")
    return tuple(found)


def overview(folder: Path, target: Path, edition: str | None, workers: int, told: Callable[[int, int], None]) -> tuple[Row, ...]:
    """Read every submission of a folder, `workers` at once, and compare with the last finished overview in `target`.

    `told` is called with how many are done and how many there are. What cannot be read is told as such; the others go on.
    """
    last = _summaries(target / LAST)
    then = {summary.file: summary for summary in last or ()}
    tasks = [_Task(path, on_screen(path.relative_to(folder).as_posix()), target, edition, last is None) for path in submissions(folder)]
    done: list[Row] = []
    for row in _rows([(task, then.get(task.file)) for task in tasks], workers):
        done.append(row)
        told(len(done), len(tasks))
    return tuple(sorted(done, key=lambda row: row.summary.goodness))


@dataclass(frozen=True, slots=True)
class _Task:
    """A submission to read."""

    path: Path
    file: str
    target: Path
    edition: str | None
    is_first_run: bool

    @property
    def place(self) -> str:
        """The file of what is kept of it, in the folder of the overview."""
        return f"{READ}/{hashlib.sha256(self.file.encode()).hexdigest()[:24]}.json"


def _rows(tasks: Sequence[tuple[_Task, Summary | None]], workers: int) -> Iterator[Row]:
    broken: list[tuple[_Task, Summary | None]] = []
    with ProcessPoolExecutor(min(workers, _MOST_AT_ONCE), get_context(_CONTEXT)) as pool:
        running = {pool.submit(_row, *task): task for task in tasks}
        for future in as_completed(running):
            try:
                yield future.result()
            except BrokenProcessPool:
                broken.append(running[future])
    for task in broken:  # one of them ended the process that the others waited for
        with ProcessPoolExecutor(1, get_context(_CONTEXT)) as pool:
            try:
                yield pool.submit(_row, *task).result()
            except BrokenProcessPool:
                yield Row(Summary(task[0].file, "", "reading it ended the process that read it"))


def _row(task: _Task, before: Summary | None) -> Row:
    """The summary of a submission, from what is kept of it where nothing has changed, and what is different since last time."""
    digest = _digest(task)
    known = _kept(task.target / task.place)
    if known and known[0].digest == digest:
        summary, text = known
    else:
        summary, text = _read(task, digest)
        write(task.target, {task.place: json.dumps([asdict(summary), text], ensure_ascii=False).encode()})
    return Row(summary, "" if task.is_first_run else _since(before, summary, known[1] if known else "", text))


def _digest(task: _Task) -> str:
    found = hashlib.sha256(repr((VERSION, task.edition, task.file)).encode())
    for path in (task.path, task.path.with_name(_QUESTIONS)):
        try:
            found.update(content(path))
        except OSError as error:
            found.update(f"{error.strerror or error}".encode())
    return found.hexdigest()


def _read(task: _Task, digest: str) -> tuple[Summary, str]:
    """The summary of a submission and its description as text."""
    try:
        description = described_in(task.path)
        report = check(description, edition_for(task.edition, description))
        asked = read_questions(task.path.with_name(_QUESTIONS)).review if task.path.with_name(_QUESTIONS).is_file() else None
    except Unreadable as error:
        more = f" (and {len(error.problems) - 1} more)" if len(error.problems) > 1 else ""
        return Summary(task.file, digest, f"{error.problems[0]}{more}"), ""
    except Stop as stop:
        return Summary(task.file, digest, str(stop)), ""
    except Exception as error:  # whatever a stranger's file brings about
        return Summary(task.file, digest, f"docgen stopped on it: {type(error).__name__}"), ""
    car = description.car
    root = meaning(car, description.tree.data)
    summary = Summary(
        task.file,
        digest,
        car=name_of(car),
        number=_said(getattr(car.car, "number", None)),
        revision=mark_of(car),
        status=_said(car.newest.status),
        edition=report.edition.edition,
        errors=len(report.errors),
        warnings=len(report.warnings),
        open_points=sum(1 for _ in unknowns(car)),
        not_evaluated=len(report.not_evaluated),
        open_questions=by_state(asked)[State.OPEN] if asked else 0,
        subjects=dict(Counter(result.rule.subject for result in report.findings)),
        findings=tuple(" ".join((result.rule.slug, *named(root, result.outcome.path))) for result in report.findings),
    )
    return summary, description.tree.text


def _said(value: object) -> str:
    return printed(value) if value is not None else ""


def _summaries(path: Path) -> tuple[Summary, ...] | None:
    """The summaries in a file of ours; None where there is none, or one of another docgen."""
    with suppress(OSError, ValueError):
        return TypeAdapter(tuple[Summary, ...]).validate_json(content(path), strict=True)
    return None


def _kept(path: Path) -> tuple[Summary, str] | None:
    with suppress(OSError, ValueError):
        return TypeAdapter(tuple[Summary, str]).validate_json(content(path), strict=True)
    return None


def _since(before: Summary | None, now: Summary, old: str, new: str) -> str:
    """What is different from last time, in words."""
    if before is None:
        return "not there last time"
    if before.digest == now.digest:
        return "nothing"
    if before.problem or now.problem:
        return "could be read last time" if not before.problem else "could not be read last time" if not now.problem else "still cannot be read"
    come, gone = Counter(now.findings) - Counter(before.findings), Counter(before.findings) - Counter(now.findings)
    told = [f"was revision {before.revision}"] if before.revision != now.revision else []
    told += [counted(number, "change")] if (number := _changes(old, new)) else []
    told += [f"findings: {come.total()} new, {gone.total()} gone"] if come or gone else []
    told += [f"{before.open_questions} open questions before"] if before.open_questions != now.open_questions else []
    return "; ".join(told) or "nothing that counts"


def _changes(old: str, new: str) -> int:
    """How many changes there are between two descriptions; 0 where one cannot be read any more."""
    try:
        return len(changes(load_text(old), load_text(new)))
    except Unreadable:
        return 0


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


def _cell(row: Row, value: object) -> str:
    """A cell; of what could not be read there are no numbers."""
    return "" if row.summary.problem and isinstance(value, int) else str(value)


def files(rows: Sequence[Row], view: Callable[..., str]) -> dict[str, bytes]:
    """The overview as page, CSV and JSON, by file name; `view` renders the page."""
    subjects = [subject for subject in SUBJECTS if any(subject in row.summary.subjects for row in rows)]
    head = [*(title for title, _ in _COLUMNS), *subjects]
    cells = [[*(_cell(row, value(row)) for _, value in _COLUMNS), *(_cell(row, row.summary.subjects.get(subject, 0)) for subject in subjects)] for row in rows]
    return {
        "overview.html": view("overview.html", rows=rows, subjects=subjects).encode(),
        "overview.csv": as_csv([head, *cells]),
        LAST: (json.dumps([{**asdict(row.summary)} for row in rows], ensure_ascii=False, indent=1) + "\n").encode(),
    }
