"""Two documents side by side. What is expected is read off the two documents by hand."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from conftest import edited
from hypothesis import given
from hypothesis import strategies as st

from docgen.aligned import (
    Aligned,
    Altered,
    Deleted,
    Inserted,
    Kept,
    Touch,
    aligned,
    aligned_contents,
    aligned_items,
    aligned_rows,
    aligned_words,
    newer,
    older,
    touched,
)
from docgen.build import submission_of
from docgen.check import check
from docgen.editions import edition
from docgen.nodes import (
    Block,
    Box,
    Break,
    Code,
    Column,
    Contents,
    Document,
    Figure,
    Heading,
    Inline,
    Listing,
    PageBreak,
    Paragraph,
    Picture,
    Reference,
    Source,
    Strong,
    Table,
    Text,
    Tone,
    cell,
    plain,
    words,
)


def _document(*blocks: Block) -> Document:
    return Document("Heron", "Devices", "Team", "B", date(2026, 11, 2), "docgen", Source("car.yaml", "", "0" * 64), "", blocks)


def _text(*parts: Any) -> Paragraph:
    return Paragraph(words(*parts))


def _table(*rows: tuple[str, ...], anchor: str = "fuses", heads: Sequence[str] = ("Fuse", "Rated"), caption: str = "The fuses") -> Table:
    return Table(anchor, caption, tuple(map(Column, heads)), tuple(tuple(map(cell, row)) for row in rows))


def _figure(svg: str = "<svg/>", png: bytes = b"", alternative: str = "Two contacts in series") -> Figure:
    return Figure("loop", "The loop", Picture(svg, png, 80, 40), alternative)


def _blocks(before: Sequence[Block], after: Sequence[Block]) -> list[Aligned[Block]]:
    return list(aligned(_document(*before), _document(*after)))


A, B = Heading(1, "Fuses", "fuses-chapter"), Heading(1, "Relays", "relays-chapter")


# ---- blocks


def test_a_document_beside_itself_is_kept_whole() -> None:
    blocks = (Contents(), A, _text("x"), _table(("F1", "5 A")), _figure(), PageBreak(), Box(Tone.NOTE, "n", (_text("y"),)))
    assert _blocks(blocks, blocks) == [Kept(block) for block in blocks]


def test_a_heading_table_or_figure_is_the_same_by_its_anchor() -> None:
    named = Heading(1, "All fuses", "fuses-chapter")
    fuller = _table(("F1", "5 A"), ("F2", "7 A"), caption="Every fuse")
    redrawn = _figure("<svg><path/></svg>")
    assert _blocks((A, _table(("F1", "5 A")), _figure()), (named, fuller, redrawn)) == [
        Altered(A, named), Altered(_table(("F1", "5 A")), fuller), Altered(_figure(), redrawn),
    ]  # fmt: skip


def test_another_raster_of_the_same_drawing_and_another_width_are_no_difference() -> None:
    wide = replace(_table(("F1", "5 A")), wide=True, columns=(Column("Fuse", 3), Column("Rated", 1)))
    again = _figure(png=b"other")
    assert _blocks((_table(("F1", "5 A")), _figure()), (wide, again)) == [Kept(wide), Kept(again)]


def test_a_label_that_counts_on_is_no_difference() -> None:
    first, second, pointing = _table(anchor="first"), _table(anchor="second"), _text("See ", Reference("second"))
    assert _blocks((second, pointing), (first, second, pointing)) == [Inserted(first), Kept(second), Kept(pointing)]


def test_a_reference_to_another_table_is_a_difference() -> None:
    first, second = _table(anchor="first"), _table(anchor="second")
    before, after = _text("See ", Reference("first")), _text("See ", Reference("second"))
    assert _blocks((first, second, before), (first, second, after)) == [Kept(first), Kept(second), Altered(before, after)]


def test_text_cut_otherwise_into_pieces_is_the_same_text() -> None:
    whole = _text("The relay opens")
    assert _blocks([Paragraph((Text("The "), Text("relay opens")))], [whole]) == [Kept(whole)]


def test_a_paragraph_with_most_words_in_common_is_altered_and_another_is_replaced() -> None:
    before, after, strange = _text("The relay opens at 5 V"), _text("The relay opens at 6 V"), _text("Nothing is known")
    assert _blocks([before], [after]) == [Altered(before, after)]
    assert _blocks([before], [strange]) == [Deleted(before), Inserted(strange)]
    assert _blocks([before], [strange, after]) == [Inserted(strange), Altered(before, after)]


def test_what_has_moved_is_gone_here_and_new_there() -> None:
    moved = _table(("F1", "5 A"))
    assert _blocks((moved, A, B), (A, B, moved)) == [Deleted(moved), Kept(A), Kept(B), Inserted(moved)]


def test_a_heading_of_another_level_is_gone_and_new() -> None:
    deeper = replace(B, level=2)
    assert _blocks((A, B), (A, deeper)) == [Kept(A), Deleted(B), Inserted(deeper)]


def test_boxes_are_versions_by_tone_and_title() -> None:
    before, after = Box(Tone.DANGER, "Wait", (_text("a b c"),)), Box(Tone.DANGER, "Wait", (_text("d e f"),))
    note = Box(Tone.NOTE, "Wait", (_text("a b c"),))
    assert _blocks([before], [after]) == [Altered(before, after)]
    assert _blocks([before], [note]) == [Deleted(before), Inserted(note)]


# ---- rows, items, contents


def test_a_row_is_known_by_its_first_cell_even_where_all_else_differs() -> None:
    before, after = _table(("F1", "5 A", "box"), heads="abc"), _table(("F0", "1", "x"), ("F1", "7 A", "pack"), heads="abc")
    assert aligned_rows(before, after) == (Inserted(after.rows[0]), Altered(before.rows[0], after.rows[1]))


def test_the_number_in_front_does_not_name_a_row() -> None:
    before = _table(("1", "fuse"), ("2", "relay"))
    after = _table(("1", "plug"), ("2", "fuse"), ("3", "relay"))
    assert aligned_rows(before, after) == (
        Inserted(after.rows[0]), Altered(before.rows[0], after.rows[1]), Altered(before.rows[1], after.rows[2]),
    )  # fmt: skip


def test_rows_of_one_name_are_told_apart_by_their_content() -> None:
    before = _table(("error", "a", "1"), ("error", "b", "2"), heads="xyz")
    after = _table(("error", "b", "2"), ("error", "c", "3"), heads="xyz")
    assert aligned_rows(before, after) == (Deleted(before.rows[0]), Kept(after.rows[0]), Inserted(after.rows[1]))


def test_under_other_columns_every_row_is_gone_and_new() -> None:
    before, after = _table(("F1", "5 A")), _table(("F1", "5 A"), heads=("Fuse", "Fuse rating"))
    assert aligned_rows(before, after) == (Deleted(before.rows[0]), Inserted(after.rows[0]))


def test_items_are_kept_altered_gone_and_new() -> None:
    one, two, other, three = ((_text(text),) for text in ("Wait ten minutes", "Measure the voltage", "Wait five minutes", "Lock out"))
    before, after = Listing((one, two)), Listing((other, two, three))
    assert aligned_items(before, after) == (Altered(one, other), Kept(two), Inserted(three))


def test_a_line_of_the_contents_is_altered_by_its_number() -> None:
    assert aligned_contents([("1", A)], [("1", B), ("2", A)]) == (Inserted(("1", B)), Altered(("1", A), ("2", A)))


# ---- words


@pytest.mark.parametrize(
    ("before", "after", "told"),
    [
        ("The relay opens.", "The fuse opens.", [Kept("The "), Deleted("relay"), Inserted("fuse"), Kept(" opens.")]),
        ("600 V", "588 V", [Deleted("600"), Inserted("588"), Kept(" V")]),
        ("car.yaml", "cart.yaml", [Deleted("car.yaml"), Inserted("cart.yaml")]),
        ("0.75 mm²", "1.5 mm²", [Deleted("0.75"), Inserted("1.5"), Kept(" mm²")]),
        ("at rest", "at rest, open", [Kept("at rest"), Inserted(", open")]),
        ("", "new", [Inserted("new")]),
        ("old", "", [Deleted("old")]),
        ("", "", []),
        ("one two three four a", "six seven eight nine a", [Deleted("one two three four a"), Inserted("six seven eight nine a")]),
        ("the old long wire ends here", "the new short wire ends here", [Kept("the "), Deleted("old long"), Inserted("new short"), Kept(" wire ends here")]),
    ],
)  # fmt: skip
def test_words_are_kept_deleted_and_inserted(before: str, after: str, told: list[Aligned[str]]) -> None:
    found = aligned_words((Text(before),) if before else (), (Text(after),) if after else ())
    assert [type(item)(plain(item.value)) for item in found if not isinstance(item, Altered)] == told


def test_another_weight_of_a_word_is_a_difference() -> None:
    assert aligned_words(words("docgen approves nothing"), words("docgen approves ", Strong("nothing"))) == (
        Kept(words("docgen approves ")), Deleted(words("nothing")), Inserted((Strong("nothing"),)),
    )  # fmt: skip


INLINES = st.lists(
    st.one_of(
        st.builds(lambda kind, text: kind(text), st.sampled_from([Text, Strong, Code]), st.text(alphabet="ab ,.\u0308", max_size=8)),
        st.builds(Reference, st.sampled_from("ab")),
        st.just(Break()),
    ),
    max_size=6,
).map(tuple)


def _spelled(inlines: Sequence[Inline]) -> list[object]:
    """The letters one by one, each with its weight."""
    return [
        part if isinstance(part, Reference | Break) else (type(part), letter)
        for part in inlines
        for letter in ([""] if isinstance(part, Reference | Break) else part.text)
    ]


@given(INLINES, INLINES)
def test_no_letter_of_either_text_is_lost(before: tuple[Inline, ...], after: tuple[Inline, ...]) -> None:
    told = aligned_words(before, after)
    assert [letter for item in told for letter in _spelled(older(item) or ())] == _spelled(before)
    assert [letter for item in told for letter in _spelled(newer(item) or ())] == _spelled(after)


CELLS = st.sampled_from(["F1", "F2", "F3", "1", "2", "–"])
ROWS = st.lists(st.tuples(CELLS, CELLS), max_size=12)


@given(ROWS, ROWS)
def test_no_row_of_either_table_is_lost(before: list[tuple[str, str]], after: list[tuple[str, str]]) -> None:
    old, new = _table(*before), _table(*after)
    told = aligned_rows(old, new)
    assert tuple(row for item in told if (row := older(item)) is not None) == old.rows
    assert tuple(row for item in told if (row := newer(item)) is not None) == new.rows
    assert all((item.before != item.after) for item in told if isinstance(item, Altered))


def test_long_texts_without_a_word_of_their_own_are_compared_in_bounded_steps() -> None:
    before, after = "a b " * 20_000, "b a " * 20_000
    told = aligned_words(words(before), words(after))
    assert "".join(plain(part) for item in told if (part := older(item))) == before


# ---- what a reader is told


def test_a_touch_names_the_heading_the_block_and_both_texts() -> None:
    before = (A, _text("The fuse melts at 5 A."), B, _table(("R1", "1")))
    after = (A, Heading(2, "All", "all"), _text("The fuse melts at 7 A."), B, _table(("R1", "2"), ("R2", "4")))
    assert touched(aligned(_document(*before), _document(*after))) == (
        Touch("1.1 All", "heading", "", "All"),
        Touch("1.1 All", "paragraph", "The fuse melts at 5 A.", "The fuse melts at 7 A."),
        Touch("2 Relays", "Table 1, The fuses", "R1, Rated: 1", "R1, Rated: 2\nR2 | 4"),
    )


def test_what_is_gone_stands_under_the_heading_it_stood_under() -> None:
    before, after = (A, _text("x"), B, _text("y z"), _figure()), (A, _text("x"), _figure())
    assert touched(aligned(_document(*before), _document(*after))) == (
        Touch("2 Relays", "heading", "Relays", ""),
        Touch("2 Relays", "paragraph", "y z", ""),
    )


def test_a_redrawn_figure_is_told_by_what_it_shows() -> None:
    told = touched(aligned(_document(_figure()), _document(_figure("<svg><g/></svg>", alternative="Three contacts in series"))))
    assert told == (Touch("", "Figure 1, The loop", "Two contacts in series", "Three contacts in series"),)


def test_long_texts_are_told_by_what_differs_in_them() -> None:
    lead, tail = "So it is. " * 30, " Nothing else. " * 30
    (touch,) = touched(aligned(_document(_text(lead, "Five volts.", tail)), _document(_text(lead, "Six volts.", tail))))
    assert "Five" in touch.before and "Six" in touch.after
    assert touch.before.startswith("…") and touch.before.endswith("…") and len(touch.before) < 120


def test_many_rows_are_counted() -> None:
    before, after = (_table(*((f"F{number}", f"{number + more} A") for number in range(30))) for more in (0, 100))
    (touch,) = touched(aligned(_document(before), _document(after)))
    assert touch.before.splitlines()[-1] == "and 27 more rows"
    assert touch.after.splitlines()[0] == "F0, Rated: 100 A"


def test_a_changed_field_of_the_car_touches_only_the_places_that_say_it() -> None:
    first, second = (submission_of(check(edited(patch), edition("fsuk-2026"))).document for patch in ("{}", "{car: {team: The other team}}"))
    touches = touched(aligned(first, second))
    assert touches and all("The other team" in touch.after for touch in touches)
