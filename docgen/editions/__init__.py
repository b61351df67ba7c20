"""Rulebook editions as data: one file each, and their reader."""

import difflib
from collections.abc import Iterator
from functools import cache
from importlib.resources import files
from typing import Annotated

from pydantic import Field
from pydantic_core import PydanticCustomError

from docgen.car.device import FUNCTIONS
from docgen.car.values import Day, Name, Part, Prose, Word
from docgen.editions.topics import TOPICS
from docgen.load import read_part
from docgen.provenance import Citation, Known, Path
from docgen.quantity import read_quantity
from docgen.reading import Problem, Tree, Unreadable

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


class Overlay(Part):
    """A corrected or private edition, laid over a shipped one: what it does not say stays as it is there."""

    extends: Name = Field(description="Edition that it lies over.", examples=["fsuk-2026"])
    edition: Name | None = Field(default=None, description="Identifier.", examples=["our-event-2027"])
    title: Prose | None = Field(default=None, description="Title of the rulebook.", examples=["Rules of our event"])
    year: Prose | None = Field(default=None, description="Edition.", examples=["2027"])
    issued: Day | None = Field(default=None, description="Date of issue.", examples=["2026-10-01"])
    read_in: Prose | None = Field(default=None, description="What was read.", examples=["the event's own document"])
    not_covered: Prose | None = Field(default=None, description="What was not covered.", examples=["bodywork"])
    terms: dict[Prose, Prose] = Field(default_factory=dict, description="Words that differ.", examples=[{"insulation monitor": "IMD"}])
    topics: dict[Name, Topic] = Field(default_factory=dict, description="Topics that differ; each is replaced as a whole.", examples=[{"precharge-level": {"clause": "X1"}}])


def known_editions() -> tuple[str, ...]:
    """Identifiers of the shipped editions."""
    return tuple(sorted(file.name.removesuffix(".json") for file in files("docgen.editions").iterdir() if file.name.endswith(".json")))


@cache
def edition(identifier: str) -> Edition:
    """The shipped edition with this identifier; raises KeyError for an unknown one.

    Shipped files are JSON, which is read at once; JSON is YAML too, and the tests read them as strictly as an edition of a user's own.
    """
    if identifier not in known_editions():
        raise KeyError(identifier)
    return Edition.model_validate_json((files("docgen.editions") / f"{identifier}.json").read_bytes())


def edition_of(tree: Tree) -> Edition:
    """The edition that a tree describes, or lays over a shipped one.

    Raises Unreadable for an unknown topic, term, limit, choice or edition, and for a limit in the wrong unit.
    """
    overlay = isinstance(tree.data, dict) and "extends" in tree.data
    made = read_part(tree, Overlay) if overlay else read_part(tree, Edition)
    problems = [*_wrong_terms(made, tree), *(problem for slug in made.topics for problem in _wrong_topic(slug, made.topics[slug], tree))]
    if isinstance(made, Overlay) and made.extends not in known_editions():
        problems.append(Problem(tree.location(("extends",)), f"the edition {made.extends} is not known", "must be one of: " + ", ".join(known_editions())))
    if problems:
        raise Unreadable(problems, tree.text)
    return _laid_over(made) if isinstance(made, Overlay) else made


def _laid_over(overlay: Overlay) -> Edition:
    base = edition(overlay.extends)
    said = {name: value for name, value in overlay if value is not None and name not in ("extends", "terms", "topics")}
    return base.model_copy(update=said | {"terms": base.terms | overlay.terms, "topics": base.topics | overlay.topics})


def _wrong_terms(made: Edition | Overlay, tree: Tree) -> list[Problem]:
    return [
        Problem(tree.location(("terms", word)), f"the function {word} is not known", "must be one of: " + ", ".join(FUNCTIONS))
        for word in made.terms
        if word not in FUNCTIONS
    ]


def _wrong_topic(slug: str, topic: Topic, tree: Tree) -> Iterator[Problem]:
    place: Path = ("topics", slug)
    subject = TOPICS.get(slug)
    if subject is None:
        near = difflib.get_close_matches(slug, TOPICS, n=1)
        yield Problem(tree.location(place), f"the topic {slug} is not known", f"must be {near[0]}" if near else "must be one of: " + ", ".join(TOPICS))
        return
    for name, limit in topic.limits.items():
        here = (*place, "limits", name)
        if name not in subject.limits:
            yield Problem(tree.location(here), f"the limit {name} is not known", "must be one of: " + (", ".join(subject.limits) or "none for this topic"))
        elif subject.limits[name] == "count":
            if not limit.value.isdigit():
                yield Problem(tree.value_location((*here, "value")), f"value: {limit.value} stands here", "must be a whole number")
        else:
            try:
                read_quantity(limit.value, subject.limits[name])
            except PydanticCustomError as error:
                yield Problem(tree.value_location((*here, "value")), *_parted(error))
    for name, word in topic.words.items():
        here = (*place, "words", name)
        if name not in subject.words:
            yield Problem(tree.location(here), f"the choice {name} is not known", "must be one of: " + (", ".join(subject.words) or "none for this topic"))
        elif word not in subject.words[name]:
            yield Problem(tree.value_location(here), f"{name}: {word} stands here", "must be one of: " + ", ".join(subject.words[name]))


def _parted(error: PydanticCustomError) -> tuple[str, str]:
    """What is wrong with a quantity, and how it is written."""
    was, _, must = error.message().partition("; ")
    return f"value: {was}", must


__all__ = ["Edition", "Limit", "Overlay", "Topic", "edition", "edition_of", "known_editions"]
