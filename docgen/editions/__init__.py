"""Rulebook editions as data: one file each, and their reader."""

from functools import cache
from importlib.resources import files
from typing import Annotated

from pydantic import Field

from docgen.car.device import FUNCTIONS
from docgen.car.values import Day, Name, Part, Prose, Word
from docgen.editions.topics import TOPICS
from docgen.load import read_part
from docgen.provenance import Citation, Known
from docgen.reading import Problem, Tree, Unreadable, read_text

KnownWord = Annotated[str, Word(*(known.value for known in Known))]


class Limit(Part):
    """A limit of a clause: ``at most 500 ms``."""

    compare: Annotated[str, Word("at most", "below", "at least", "above", "exactly")] = Field(description="Comparison.", examples=["at most"])
    value: Prose = Field(description="Value with unit.", examples=["500 ms"])


class Topic(Part):
    """What an edition says on one topic."""

    clause: Prose = Field(default="", description="Clause number.", examples=["EV6.1.2"])
    known: KnownWord = Field(description="How this is known to us.", examples=["read in a text"])
    says: Prose = Field(default="", description="The demand, paraphrased.", examples=["The loop has three shutdown buttons."])
    limits: dict[Name, Limit] = Field(default_factory=dict, description="Limits by name.", examples=[{"time": {"compare": "at most", "value": "500 ms"}}])
    words: dict[Name, Prose] = Field(default_factory=dict, description="Choices that are words.", examples=[{"basis": "highest"}])


class Edition(Part):
    """One edition of a rulebook, as far as it was read."""

    edition: Name = Field(description="Identifier.", examples=["fsuk-2026"])
    title: Prose = Field(description="Title of the rulebook.", examples=["Formula Student UK rules"])
    year: Prose = Field(description="Edition.", examples=["2026"])
    issued: Day | None = Field(default=None, description="Date of issue.", examples=["2025-10-01"])
    read_in: Prose = Field(description="What was read, and how far to trust it.", examples=["a complete third-party rendering"])
    not_covered: Prose = Field(description="What was not covered.", examples=["bodywork, aerodynamics"])
    terms: dict[Prose, Prose] = Field(default_factory=dict, description="The edition's own words.", examples=[{"insulation monitor": "IMD"}])
    topics: dict[Name, Topic] = Field(description="Topics.", examples=[{"loop-members": {"clause": "EV6.1.2", "known": "read in a text"}}])

    @property
    def name(self) -> str:
        """Title and edition as they are cited."""
        return f"{self.title} {self.year}"

    def term(self, function: str) -> str:
        """The edition's own word for a function; the plain one where it has none."""
        return self.terms.get(function, function)

    def topic(self, slug: str) -> Topic:
        """What the edition says on a topic; *not read by us* where the file is silent."""
        return self.topics.get(slug) or Topic(known=Known.UNREAD.value)

    def citation(self, slug: str) -> Citation | None:
        """The clause for a topic, or None where no clause is known."""
        topic = self.topic(slug)
        return Citation(self.name, topic.clause, Known(topic.known)) if topic.clause else None


def known_editions() -> tuple[str, ...]:
    """Identifiers of the shipped editions."""
    return tuple(sorted(file.name.removesuffix(".yaml") for file in files("docgen.editions").iterdir() if file.name.endswith(".yaml")))


@cache
def edition(identifier: str) -> Edition:
    """The shipped edition with this identifier.

    Raises KeyError for an unknown one, Unreadable for a broken file.
    """
    if identifier not in known_editions():
        raise KeyError(identifier)
    name = f"{identifier}.yaml"
    return edition_of(read_text((files("docgen.editions") / name).read_text(encoding="utf-8"), name))


def edition_of(tree: Tree) -> Edition:
    """The edition that a tree describes; raises Unreadable for an unknown topic or term."""
    made = read_part(tree, Edition)
    problems = [
        Problem(tree.location(("topics", slug)), f"the topic {slug} is not known", "must be a topic of docgen.editions.topics")
        for slug in made.topics
        if slug not in TOPICS
    ]
    problems += [
        Problem(tree.location(("terms", word)), f"the function {word} is not known", "must be one of: " + ", ".join(FUNCTIONS))
        for word in made.terms
        if word not in FUNCTIONS
    ]
    if problems:
        raise Unreadable(problems, tree.text)
    return made


__all__ = ["Edition", "Limit", "Topic", "edition", "edition_of", "known_editions"]
