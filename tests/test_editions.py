"""The shipped editions: whole, within their topics, and honest about what was not read."""

import re
from collections.abc import Iterator
from decimal import Decimal

import pytest

from docgen.car.device import FUNCTIONS
from docgen.editions import Edition, Limit, Topic, edition, edition_of, known_editions
from docgen.editions.topics import TOPICS
from docgen.provenance import Known
from docgen.quantity import DIMENSIONS, read_quantity
from docgen.reading import Unreadable, read_text

SHIPPED = ("fs-2020", "fs-2025", "fsae-2024", "fsae-2026", "fsuk-2026")
SILENT = (Known.ABSENT, Known.UNREAD)

each_edition = pytest.mark.parametrize("identifier", SHIPPED)


def topics(identifier: str) -> Iterator[tuple[str, Topic]]:
    yield from edition(identifier).topics.items()


def magnitude(limit: Limit, dimension: str) -> Decimal:
    """The limit in the base unit of its dimension; raises where it is no such quantity."""
    if dimension == "count":
        assert re.fullmatch(r"[0-9]+", limit.value), limit.value
        return Decimal(limit.value)
    return read_quantity(limit.value, dimension).value


def limit_of(identifier: str, slug: str, name: str) -> tuple[str, Decimal]:
    limit = edition(identifier).topic(slug).limits[name]
    return limit.compare, magnitude(limit, TOPICS[slug].limits[name])


def test_the_five_editions_are_shipped() -> None:
    assert known_editions() == SHIPPED


def test_an_unknown_edition_is_refused() -> None:
    with pytest.raises(KeyError):
        edition("fs-1998")


@each_edition
def test_an_edition_is_named_like_its_file(identifier: str) -> None:
    assert edition(identifier).edition == identifier
    assert edition(identifier).year == identifier[-4:]


@each_edition
def test_every_topic_stands_in_the_file_in_the_order_of_the_index(identifier: str) -> None:
    assert list(edition(identifier).topics) == list(TOPICS)


def test_every_topic_names_dimensions_that_quantities_know() -> None:
    assert {dimension for subject in TOPICS.values() for dimension in subject.limits.values()} <= {*DIMENSIONS, "count"}


@each_edition
def test_limits_carry_the_names_of_their_topic(identifier: str) -> None:
    assert {slug: set(topic.limits) - set(TOPICS[slug].limits) for slug, topic in topics(identifier) if set(topic.limits) - set(TOPICS[slug].limits)} == {}


@each_edition
def test_every_limit_is_a_quantity_of_its_dimension(identifier: str) -> None:
    for slug, topic in topics(identifier):
        for name, limit in topic.limits.items():
            assert magnitude(limit, TOPICS[slug].limits[name]) >= 0, f"{slug}, {name}"


@each_edition
def test_words_are_among_those_of_their_topic(identifier: str) -> None:
    for slug, topic in topics(identifier):
        for name, word in topic.words.items():
            assert word in TOPICS[slug].words[name], f"{slug}, {name}"


@each_edition
def test_what_was_read_in_a_text_has_its_clause_and_says_what_it_demands(identifier: str) -> None:
    assert [slug for slug, topic in topics(identifier) if topic.known == Known.READ and not (topic.clause and topic.says)] == []


@each_edition
def test_what_is_second_hand_or_from_memory_says_what_it_demands(identifier: str) -> None:
    assert [slug for slug, topic in topics(identifier) if topic.known in (Known.SECOND_HAND, Known.MEMORY) and not topic.says] == []


@each_edition
def test_a_topic_that_is_absent_or_unread_sets_no_limit_and_cites_nothing(identifier: str) -> None:
    silent = [topic for _, topic in topics(identifier) if topic.known in SILENT]
    assert [topic for topic in silent if topic.limits or topic.words or topic.clause] == []


@each_edition
def test_an_absent_topic_says_what_is_not_there(identifier: str) -> None:
    assert [slug for slug, topic in topics(identifier) if topic.known == Known.ABSENT and not topic.says] == []


@each_edition
def test_no_edition_is_said_to_rule_the_wording_of_contacts(identifier: str) -> None:
    assert edition(identifier).topic("contact-wording") == Topic(known=Known.UNREAD.value)


@each_edition
def test_clauses_are_written_like_those_of_their_book(identifier: str) -> None:
    number = r"[A-Z]{1,2}\.\d+(\.\d+){0,2}" if identifier.startswith("fsae") else r"[A-Z]{1,2}\d+(\.\d+){0,2}"
    several = re.compile(rf"{number}( to {number})?(, {number}( to {number})?)*")
    assert [topic.clause for _, topic in topics(identifier) if topic.clause and not several.fullmatch(topic.clause)] == []


@each_edition
def test_a_demand_is_told_in_one_or_two_sentences_of_our_own(identifier: str) -> None:
    for slug, topic in topics(identifier):
        if topic.says:
            assert len(re.findall(r"[.](?: |$)", topic.says)) in (1, 2), slug
            assert topic.says.endswith("."), slug
            assert '"' not in topic.says, slug


@each_edition
def test_an_edition_approves_nothing_and_leaves_no_contact_wording_open(identifier: str) -> None:
    told = " ".join(f"{topic.says} {topic.clause}" for _, topic in topics(identifier)) + edition(identifier).read_in + edition(identifier).not_covered
    assert re.findall(r"(?i)\bpassed\b|\bcompliant\b|\bOK\b|normally[ -](?:open|closed)|https?:|www\.", told) == []


@each_edition
def test_the_words_of_an_edition_stand_for_functions(identifier: str) -> None:
    assert set(edition(identifier).terms) <= set(FUNCTIONS)


def test_the_words_of_the_family_moved_with_its_2026_edition() -> None:
    words = {name: [edition(name).term(function) for function in FUNCTIONS] for name in ("fsae-2024", "fsae-2026")}
    moved = {(old, new) for old, new in zip(*words.values(), strict=True) if old != new}
    assert moved == {("AMS", "BMS"), ("AIR", "IR"), ("HVD interlock", "MSD interlock")}


def test_a_function_without_a_word_of_the_edition_keeps_its_plain_one() -> None:
    assert edition("fsuk-2026").term("shutdown button") == "shutdown button"


@pytest.mark.parametrize(
    ("slug", "name", "fs20", "fs25", "uk26", "sae24", "sae26"),
    [
        ("precharge-level", "level", "0.95", "0.95", "0.95", "0.90", "0.90"),
        ("contactor-opening-delay", "delay", "0.25", "0.25", "0.25", "0.25", "0.25"),
        ("loop-opening-result", "voltage", "60", "60", "60", "60", "60"),
        ("grounding", "near", "0.3", "0.1", "0.1", "0.3", "0.3"),
        ("grounding", "possibly", "5", "100", "100", "5", "5"),
        ("cells-watched", "share", "0.30", "0.30", "0.30", "0.20", "0.20"),
        ("plausibility-power", "power", "5000", "5000", "5000", "5000", "5000"),
        ("plausibility-time", "time", "0.5", "0.5", "0.5", "0.5", "0.5"),
        ("monitor-response", "ratio", "500", "500", "500", "500", "500"),
        ("pedal-deviation", "time", "0.1", "0.1", "0.1", "0.1", "0.1"),
    ],
)
def test_limits_move_between_editions_as_the_books_do(slug: str, name: str, fs20: str, fs25: str, uk26: str, sae24: str, sae26: str) -> None:
    found = [limit_of(identifier, slug, name)[1] for identifier in ("fs-2020", "fs-2025", "fsuk-2026", "fsae-2024", "fsae-2026")]
    assert found == [Decimal(text) for text in (fs20, fs25, uk26, sae24, sae26)]


@pytest.mark.parametrize(
    ("slug", "name", "compare", "value"),
    [
        ("loop-opening-result", "time", "below", "5"),
        ("critical-signals", "delay", "at most", "0.5"),
        ("ready-to-drive-sound", "level", "at least", "90"),
        ("lv-source-protection", "distance", "at most", "0.1"),
        ("service-disconnect", "height", "above", "0.35"),
        ("inertia-switch", "short_pulse", "at most", "127.48645"),
        ("contactor-count", "each", "at least", "2"),
        ("power-limit", "current", "at most", "500"),
        ("segments", "energy", "at most", "6000000"),
        ("measuring-points", "up_to_600", "exactly", "15000"),
        ("active-light-runtime", "time", "at least", "900"),
        ("cell-delays", "temperature", "at most", "1"),
        ("plausibility-brake", "pressure", "at most", "3000000"),
        ("plausibility-reset", "self_after", "above", "10"),
        ("pedal-vs-brake", "torque", "at most", "0.25"),
        ("pedal-vs-brake-release", "pedal", "at most", "0.05"),
    ],
)
def test_the_uk_edition_of_2026_sets_these_limits(slug: str, name: str, compare: str, value: str) -> None:
    assert limit_of("fsuk-2026", slug, name) == (compare, Decimal(value))


def test_the_power_of_the_brake_plausibility_device_is_counted_at_another_voltage_in_each_family() -> None:
    basis = {identifier: edition(identifier).topic("plausibility-power").words.get("basis") for identifier in SHIPPED}
    assert basis == {"fs-2020": "highest", "fs-2025": None, "fsuk-2026": "highest", "fsae-2024": "nominal", "fsae-2026": "nominal"}


def test_only_the_older_book_bounds_the_main_fuse_by_the_contactors() -> None:
    assert edition("fs-2020").topic("fuse-vs-contactor").clause == "EV5.6.4"
    assert edition("fsuk-2026").topic("fuse-vs-contactor").known == Known.ABSENT


def test_what_is_from_memory_asks_to_be_looked_up() -> None:
    assert str(edition("fs-2020").citation("monitor-test")) == "Formula Student Rules 2020, IN4.1.2 (from memory: look the clause up)"


def test_what_was_read_is_cited_plainly() -> None:
    assert str(edition("fsuk-2026").citation("monitor-test")) == "Formula Student UK rules 2026, IN4.1.2"


def broken(topic: str, term: str) -> Edition:
    lines = ["edition: x", "title: X", "year: '2026'", "read_in: a", "not_covered: b", "terms:", f"  {term}: W", "topics:", f"  {topic}:", "    known: not read by us"]
    return edition_of(read_text("\n".join(lines) + "\n", "x.yaml"))


def test_a_topic_outside_the_closed_set_is_refused_at_its_line() -> None:
    with pytest.raises(Unreadable, match=r"x\.yaml:9:3: the topic tyres is not known"):
        broken("tyres", "insulation monitor")


def test_a_word_for_an_unknown_function_is_refused_at_its_line() -> None:
    with pytest.raises(Unreadable, match=r"x\.yaml:7:3: the function flux capacitor is not known"):
        broken("discharge", "flux capacitor")
