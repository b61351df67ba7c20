"""The questions of a reviewer: drafted, checked, carried on, collected from Word, joined."""

import argparse
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from docgen.asked import DESCRIPTION, described_by, report_for
from docgen.stop import Stop
from docgen.terminal import FOUND_ERRORS, FOUND_NOTHING, print_at

if TYPE_CHECKING:
    from docgen.load import Description
    from docgen.questions import Review
    from docgen.questions_file import ReviewFile

WHAT = "keep a reviewer's questions: draft, check, carry on, collect from Word, join"
EXAMPLES = """\
docgen questions draft car.yaml --to questions.yaml
docgen questions check car.yaml questions.yaml --before revision_b.yaml
docgen questions carry car.yaml questions.yaml --since HEAD~1
docgen questions collect submission.docx --to questions.yaml
docgen questions join first.yaml second.yaml --to questions.yaml
docgen build car.yaml --questions questions.yaml
"""

_REVIEWER = "electrical reviewer"


def arguments(parser: argparse.ArgumentParser) -> None:
    acts = parser.add_subparsers(title="what to do", required=True, metavar="WHAT")

    def act(name: str, run: Callable[[argparse.Namespace], int], what: str) -> argparse.ArgumentParser:
        one = acts.add_parser(name, help=what, description=what, formatter_class=parser.formatter_class)
        one.set_defaults(act=run)
        return one

    draft = act("draft", _draft, "ask a question for every finding of which the file has not asked")
    draft.add_argument("description", type=described_by, help=DESCRIPTION)
    draft.add_argument("--edition", help="rulebook edition to check against (default: the one that the description names)")
    _written_by(draft)

    check = act("check", _check, "say which questions have come loose from the description")
    _both(check)
    check.add_argument("--edition", help="rulebook edition to check against (default: the one that the description names)")
    _earlier(check, required=False)
    check.add_argument("--warnings-count", action="store_true", help="let second looks decide over the exit code too")

    carry = act("carry", _carry, "carry the questions on to the next revision: follow new names, note what changed")
    _both(carry)
    _earlier(carry, required=True)
    carry.add_argument("--to", type=Path, metavar="FILE", help="file to write (default: the file of questions itself)")
    _dated(carry)

    collect = act("collect", _collect, "take the comments of a Word document that docgen built into the file of questions")
    collect.add_argument("document", type=Path, help="the commented document, submission.docx")
    _written_by(collect)

    join = act("join", _join, "make one file of the questions of two reviewers")
    join.add_argument("first", type=Path, help="a file of questions; its comments and its order are kept")
    join.add_argument("second", type=Path, help="another one about the same car")
    join.add_argument("--to", type=Path, metavar="FILE", required=True, help="file to write")


def _both(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("description", type=described_by, help=DESCRIPTION)
    parser.add_argument("questions", type=Path, help="the questions, questions.yaml")


def _earlier(parser: argparse.ArgumentParser, required: bool) -> None:
    one = parser.add_mutually_exclusive_group(required=required)
    one.add_argument("--before", type=described_by, metavar="DESCRIPTION", help="the earlier revision, about which they were asked: what changed since is judged by it")
    one.add_argument("--since", metavar="REVISION", help="the same, as a git revision of the description")


def _earlier_of(asked: argparse.Namespace) -> "Description | None":
    """The earlier description that is asked for."""
    from docgen.carried import described_in
    from docgen.versioned import described_at

    if asked.since:
        return described_at(asked.description, asked.since)
    return described_in(asked.before) if asked.before else None


def _dated(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--date", metavar="DAY", help="day of what is added, as 2026-11-14 (default: the day of the newest revision)")


def _written_by(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--to", type=Path, metavar="FILE", required=True, help="file of questions; what it says is kept")
    parser.add_argument("--role", help=f"role that asks, never a person's name (default: the reviewer of the file, or “{_REVIEWER}”)")
    _dated(parser)


def run(asked: argparse.Namespace) -> int:
    return int(asked.act(asked))


def _draft(asked: argparse.Namespace) -> int:
    report = report_for(asked)
    from docgen.questions import drafted

    file, review = _begun(asked, report.description)
    new = drafted(report, review, _day(asked.date, report.description))
    _write(asked.to, file, new)
    added = len(new.questions) - len(review.questions)
    print(f"{_counted(added, 'question')} drafted, {len(review.questions)} kept, in {asked.to.as_posix()}; read each before it is sent")
    return FOUND_NOTHING


def _check(asked: argparse.Namespace) -> int:
    from docgen.finding import Severity
    from docgen.questions import loose_ends
    from docgen.questions_file import read_questions

    report = report_for(asked)
    file = read_questions(asked.questions).about(report.description)
    if not file.review.questions:
        raise Stop(f"{file.tree.location(('questions',))}: error: there are no questions; must be at least one, or there is nothing to check")
    before = _earlier_of(asked)
    found = loose_ends(file.review, report, before)
    lines = file.tree.text.split("\n")
    for end in found:
        name = str(end.path[1])
        print_at(file.tree.value_location(end.path), end.severity, f"{end.was}; {end.must}", lines, f"{name} · {end.kind}", sys.stdout)
    errors = sum(end.severity is Severity.ERROR for end in found)
    unjudged = "" if before else "; what changed was not judged (--before or --since names the earlier revision)"
    print(f"{_counted(len(file.review.questions), 'question')}: {_counted(errors, 'broken tie')}, {_counted(len(found) - errors, 'second look')}{unjudged}")
    return FOUND_ERRORS if errors or (asked.warnings_count and found) else FOUND_NOTHING


def _carry(asked: argparse.Namespace) -> int:
    from docgen.carried import described_in
    from docgen.questions import Step, carried_on
    from docgen.questions_file import read_questions

    after = described_in(asked.description)
    before = _earlier_of(asked) or after
    file = read_questions(asked.questions).about(before)
    new = carried_on(file.review, Step(before, after), _day(asked.date, after))
    _write(asked.to or asked.questions, file, new)
    changed = sum(one != other for one, other in zip(file.review.questions, new.questions, strict=True))
    print(f"{_counted(len(new.questions), 'question')}, {changed} with something new, in {(asked.to or asked.questions).as_posix()}")
    return FOUND_NOTHING


def _collect(asked: argparse.Namespace) -> int:
    from docgen.carried import read_document
    from docgen.folder import content, on_screen
    from docgen.question_chapter import bookmarked, notes
    from docgen.questions import collected, mark_of
    from docgen.questions_file import questions_in
    from docgen.word_file import refused, word_file
    from docgen.writers.word_comments import read_comments

    name = on_screen(asked.document.name)
    try:
        data = content(asked.document)
    except OSError as error:
        raise refused(name, f"the file cannot be read: {error.strerror or error}", "must be a readable document") from None
    word = word_file(data, name)
    document = read_document(data, name)
    description = document.description()
    carried = questions_in(document.carried.source)
    printed = carried.review if carried else None
    file, review = _begun(asked, description, printed)
    found = notes(read_comments(word, bookmarked(description)), printed or review, description)
    new = collected(review, found, asked.role or review.reviewer, _day(asked.date, description), mark_of(description))
    _write(asked.to, file, new)
    added = len(new.questions) - len(review.questions)
    more = sum(question != new.question(question.name) for question in review.questions)
    print(f"{_counted(len(found), 'comment')}: {_counted(added, 'question')} added, {more} with a new entry, in {asked.to.as_posix()}; no name of a person was taken over")
    return FOUND_NOTHING


def _join(asked: argparse.Namespace) -> int:
    from docgen.questions import joined
    from docgen.questions_file import read_questions

    first, second = read_questions(asked.first), read_questions(asked.second)
    one = joined(first.review, second.review)
    _write(asked.to, first, one.review)
    for said in one.told:
        print(said)
    print(f"{_counted(len(one.review.questions), 'question')} in {asked.to.as_posix()}")
    return FOUND_NOTHING


def _begun(asked: argparse.Namespace, description: "Description", printed: "Review | None" = None) -> "tuple[ReviewFile | None, Review]":
    """The file to add to, if it is there, and the questions to begin with: those in it, otherwise those with which a document was built."""
    from docgen.questions import Review, name_of
    from docgen.questions_file import read_questions

    if asked.to.exists():
        file = read_questions(asked.to).about(description)
        return file, file.review
    name = name_of(description)
    if not name:
        raise Stop(f"{description.location(('car',))}: error: the car has no name; must have one, so that questions can be told from those about another car")
    return None, printed or Review(name, asked.role or _REVIEWER)


def _write(path: Path, file: "ReviewFile | None", review: "Review") -> None:
    from docgen.files import write
    from docgen.questions_file import edited_text, new_text

    text = new_text(review) if file is None else edited_text(file, review)
    write(path.parent, {path.name: text.encode()})


def _day(asked: str | None, description: "Description") -> date:
    """The day that is asked for, or that of the newest revision; no clock is read."""
    if asked is not None:
        try:
            return date.fromisoformat(asked)
        except ValueError:
            raise Stop(f"error: --date {asked} is no day; must be written as 2026-11-14") from None
    day = description.car.newest.date
    if not isinstance(day, date):
        raise Stop(f"{description.location(('revisions',))}: error: the newest revision gives no day; must give one, or name one with --date")
    return day


def _counted(number: int, one: str) -> str:
    from docgen.printing import counted

    return counted(number, one)
