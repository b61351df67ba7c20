"""What a check demands, why, and how to put it right."""

import argparse
import difflib
import re
import textwrap
from itertools import groupby
from typing import TYPE_CHECKING

from docgen.stop import Stop
from docgen.terminal import FOUND_NOTHING

if TYPE_CHECKING:
    from docgen.editions import Edition
    from docgen.finding import Rule

WHAT = "say what a check demands, why, and how to put it right"
EXAMPLES = """\
docgen explain
docgen explain latch
docgen explain contact-wording-ambiguous
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("words", nargs="*", help="a check by name, or words to look for; without any, all checks are listed")
    parser.add_argument("--edition", default="fsuk-2026", help="edition whose clause to print (default: fsuk-2026)")
    parser.add_argument("--as", dest="form", choices=("text", "markdown"), default="text", help="how to print a list (default: text)")


def run(asked: argparse.Namespace) -> int:
    from docgen.asked import edition_asked
    from docgen.rules import CATALOGUE

    exact = [rule for rule in CATALOGUE if asked.words == [rule.slug]]
    book = edition_asked(asked.edition)
    found = exact or [rule for rule in CATALOGUE if all(re.search(rf"\b{re.escape(word)}", _all_words(rule, book), re.IGNORECASE) for word in asked.words)]
    if not found:
        near = difflib.get_close_matches(" ".join(asked.words), [rule.slug for rule in CATALOGUE], n=3)
        raise Stop(f"error: no check has these words; nearest: {', '.join(near) or 'none; docgen explain lists all'}")
    if len(found) == 1:
        _print_rule(found[0], book)
        return FOUND_NOTHING
    head, line = ("\n**{}**\n\n| check | demand |\n|---|---|", "| `{}` | {} |") if asked.form == "markdown" else ("\n{}", f"  {{:<{max(len(rule.slug) for rule in found)}}}  {{}}")
    for subject, rules in groupby(found, key=lambda rule: rule.subject):
        print(head.format(subject))
        for rule in rules:
            print(line.format(rule.slug, rule.texts.demand))
    return FOUND_NOTHING


_COMMON = frozenset({"brake", "switch", "interlock"})
"""Words of a function that a text on it may leave out."""


def _all_words(rule: "Rule", book: "Edition") -> str:
    """What is written about a rule, with the edition's own words for the functions that it speaks of."""
    text = " ".join((rule.slug, rule.subject, rule.texts.demand, rule.texts.why, rule.texts.mend, rule.topic))
    terms = (term for function, term in book.terms.items() if " ".join(word for word in function.split() if word not in _COMMON) in text)
    return " ".join((text, *terms))


def _print_rule(rule: "Rule", book: "Edition") -> None:
    topic = book.topic(rule.topic) if rule.topic else None
    clause = f"{book.name}, {topic.clause or 'no clause'} ({topic.known})" if topic else "the description itself; no clause"
    print(f"{rule.slug}\n\n{textwrap.fill(rule.texts.demand, 96)}\n")
    for head, text in (("why", rule.texts.why), ("clause", clause), ("how to put it right", rule.texts.mend)):
        print(textwrap.fill(f"{head}: {text}", 96, subsequent_indent="  "))
    print(f"\nwrong, as a change to a small sound car:\n{textwrap.indent(rule.texts.wrong, '  ')}")
    print(f"\nright:\n{textwrap.indent(rule.texts.right, '  ')}")
