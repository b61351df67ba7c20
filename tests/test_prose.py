"""Templates of words become nodes; values never become markup; strangers' templates end in a clear error."""

import os
import string
import time
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from docgen.nodes import Block, Box, Break, Code, Emphasis, Heading, Listing, Paragraph, Reference, Strong, Text, Tone, outline
from docgen.prose import LARGEST_FILE, TemplateError, Words

Reader = Callable[..., tuple[Block, ...]]


@pytest.fixture
def read(tmp_path: Path) -> Reader:
    """Reads one template from its text."""

    def blocks(template: str, **values: object) -> tuple[Block, ...]:
        (tmp_path / "words.md").write_text(template, encoding="utf-8", newline="\n")
        return Words([tmp_path]).blocks("words.md", **values)

    return blocks


@pytest.fixture
def refuse(read: Reader) -> Callable[..., tuple[int, str]]:
    """Line and message of the error that a template ends in."""

    def error(template: str, **values: object) -> tuple[int, str]:
        with pytest.raises(TemplateError) as caught:
            read(template, **values)
        assert caught.value.location.file.endswith("/words.md")
        return caught.value.location.line, caught.value.message

    return error


@dataclass(frozen=True)
class Device:
    name: str
    wires: tuple[str, ...] = ()


def test_a_template_becomes_nodes(read: Reader) -> None:
    template = """
<# for the reader of templates #>
# Shutdown circuit {#shutdown}

The loop is {{ supply }} and **must not** be
*bridged*; its name is `{{ name }}`.\\
See [](#shutdown) and [the loop](#shutdown).

{% for device in devices %}
- {{ device.name }}
  {% if device.wires %}

  1. wired by {{ device.wires|join(" and ") }}
  {% endif %}
{% endfor %}

> **Danger: {{ name }} is live.**
> Keep away.
>
> - at all times

> **note: colours**
"""
    devices = (Device("A1", ("w1", "w2")), Device("B_2"))
    assert read(template, supply=Decimal("24.0"), name="X`3*", devices=devices) == (
        Heading(1, "Shutdown circuit", "shutdown"),
        Paragraph(
            (
                Text("The loop is 24.0 and "), Strong("must not"), Text(" be "), Emphasis("bridged"), Text("; its name is "), Code("X`3*"),
                Text("."), Break(), Text("See "), Reference("shutdown"), Text(" and "), Reference("shutdown", "the loop"), Text("."),
            )
        ),
        Listing(
            (
                (Paragraph((Text("A1"),)), Listing(((Paragraph((Text("wired by w1 and w2"),)),),), ordered=True)),
                (Paragraph((Text("B_2"),)),),
            )
        ),
        Box(
            Tone.DANGER,
            "X`3* is live.",
            (Paragraph((Text("Keep away."),)), Listing(((Paragraph((Text("at all times"),)),),))),
        ),
        Box(Tone.NOTE, "colours", ()),
    )  # fmt: skip


@given(value=st.text(alphabet=st.one_of(st.sampled_from(string.punctuation + " \nab1"), st.characters(exclude_categories=["C", "Z"]))))
def test_a_value_arrives_as_the_text_it_is(tmp_path_factory: pytest.TempPathFactory, value: str) -> None:
    folder = tmp_path_factory.mktemp("templates")
    (folder / "words.md").write_text("# a {{ v }} {#x}\n\na {{ v }} `{{ v }}` **{{ v }}**\n\n- {{ v }}.\n", encoding="utf-8")
    said = " ".join(f"|{value}|".split())[1:-1]
    assert Words([folder]).blocks("words.md", v=value) == (
        Heading(1, f"a {said}", "x"),
        Paragraph((Text(f"a {said} "), Code(said), Text(" "), Strong(said))),
        Listing(((Paragraph((Text(f"{said}.".lstrip(" ")),)),),)),
    )


@pytest.mark.parametrize(
    "hostile",
    [
        "<script>alert(1)</script>",
        "{{ 7 * 7 }}",
        "{% for %}",
        "](#x)",
        "![](http://x)",
        "&amp;",
        "{#other}",
        "\ue0000\ue001",
        "\\",
        "```",
        "<# #>",
    ],
)
def test_no_value_becomes_markup(read: Reader, hostile: str) -> None:
    assert read("# {{ v }} {#x}\n\n{{ v }}\n", v=hostile) == (Heading(1, hostile, "x"), Paragraph((Text(hostile),)))


def test_white_space_in_a_value_is_folded_but_a_no_break_space_stays(read: Reader) -> None:
    assert read("{{ v }}", v="a\n\n# b\t 12\u00a0V") == (Paragraph((Text("a # b 12\u00a0V"),)),)


def test_an_inline_node_passes_through(read: Reader) -> None:
    assert read("See {{ v }}.", v=Reference("imd", "it")) == (Paragraph((Text("See "), Reference("imd", "it"), Text("."))),)


def test_an_anchor_is_made_from_the_title_or_given(read: Reader) -> None:
    template = "## 3. The Tractive System\n\n## Device {{ name }} {#device-{{ slug }}}\n\n### {{ name }}\n"
    assert read(template, name="K1 {#evil}", slug="k1") == (
        Heading(2, "3. The Tractive System", "the-tractive-system"),
        Heading(2, "Device K1 {#evil}", "device-k1"),
        Heading(3, "K1 {#evil}", "k1-evil"),
    )


def test_an_anchor_that_a_link_leads_to_may_hold_a_value(read: Reader) -> None:
    assert read("[](#device-{{ slug }})", slug="k1") == (Paragraph((Reference("device-k1"),)),)


def test_what_looks_like_a_link_definition_is_not_dropped(read: Reader) -> None:
    assert read("[a]: #b\n") == (Paragraph((Text("[a]: #b"),)),)


def test_a_line_ending_in_a_tag_is_not_glued_to_the_next(read: Reader) -> None:
    template = "The car{% if many %}s{% endif %}\nstand{% if not many %}s{% endif %}\n{% if many %}\nhere.\n{% endif %}\n"
    assert outline(read(template, many=True)) == "paragraph: 'The cars stand here.'"
    assert outline(read(template, many=False)) == "paragraph: 'The car stands'"


@pytest.mark.parametrize(
    ("template", "line", "said"),
    [
        ("a\n\n{{ missing }}\n", 3, "'missing' is undefined"),
        ("a\n{% if device.missing %}\n{% endif %}\n", 2, "missing"),
        ("a\n\n\n{{ device.name }\n", 4, "unexpected '}'"),
        ("{% for x in names %}\n{{ x }}\n{% endfor %}\n\n![drawing](x.png)\n", 5, "image is not for templates"),
        ("{% for x in names %}\n- {{ x }}\n- [y](http://example.org)\n{% endfor %}\n", 3, "#anchor"),
        ("a\nb <http://example.org>\n", 2, "#anchor"),
        ('a\nb [c](#d "e")\n', 2, "#anchor"),
        ("a\n\nb\nc <b>bold</b>\n", 4, "html inline is not for templates"),
        ("a\n\n<div>\n</div>\n", 3, "html block is not for templates"),
        ("a\n\n| a | b |\n|---|---|\n| 1 | 2 |\n", 3, "table is not for templates"),
        ("a\n\n```\ncode\n```\n", 3, "fence is not for templates"),
        ("a\n\n    code\n", 3, "code block is not for templates"),
        ("a\n\n***\n", 3, "hr is not for templates"),
        ("a\n\n2. b\n", 3, "counts from 1"),
        ("a\n\n##### b\n", 3, "heading level is 5"),
        ("a\n\n# 42\n", 3, "anchor ''"),
        ("a\n\n# b {#C}\n", 3, "anchor 'C'"),
        ("a\n\n# b `c`\n", 3, "only plain words"),
        ("a\n\n> b\n", 3, "a quotation begins with"),
        ("a\n\n> **Danger:** b\n", 3, "a quotation begins with"),
        ("a\n\n> **Note: b**\n>\n> # c\n", 5, "only paragraphs and lists"),
        ("a\n\n**b *c* d**\n", 3, "only plain words"),
        ("a\n\n`{{ node }}`\n", 3, "only plain words"),
        ("a\n\n{{ none }}\n", 3, "NoneType has no printed form"),
        ("a\n\n{{ truth }}\n", 3, "bool has no printed form"),
        ("a\n\n{{ names }}\n", 3, "list has no printed form"),
        ("a\n\n{{ device }}\n", 3, "Device has no printed form"),
        ("a\n\n{{ control }}\n", 3, "control character"),
        ("a\n\nb\x07\n", 3, "U+0007"),
        ("a\n\n\ue0000\ue001\n", 3, "U+E000"),
        ("a\n\nb &#xE000;7&#xE001;\n", 3, "index"),
        ("a\n\n" + "".join("  " * depth + "- b\n" for depth in range(6)), 8, "four others"),
    ],
)
def test_a_fault_is_told_with_its_line(refuse: Callable[..., tuple[int, str]], template: str, line: int, said: str) -> None:
    values: Mapping[str, object] = {
        "names": ["a", "b", "c"], "device": Device("K1"), "node": Reference("x"), "none": None, "truth": True, "control": "a\x00b",
    }  # fmt: skip
    found, message = refuse(template, **values)
    assert (found, said in message) == (line, True), message


@pytest.mark.parametrize(
    "template",
    [
        "{{ ''.__class__ }}", "{{ name.upper() }}", "{{ range(9) }}", "{{ 'a' * 9 }}", "{{ 9 ** 9 }}", "{{ name ~ name }}", "{{ 1 + 1 }}",
        "{% include 'words.md' %}", "{% import 'words.md' as w %}", "{% extends 'words.md' %}", "{% macro m() %}{% endmacro %}",
        "{% block b %}{% endblock %}", "{% set x %}a{% endset %}", "{{ name|replace('a', 'b') }}", "{{ name|center(999999999) }}",
        "{{ name|safe }}", "{{ name|attr('x') }}", "{{ name|join }}", "{{ names|join(long) }}", "{{ [name] }}", "{{ (name, name) }}",
        "{% set long = 1 %}{% for x in names %}{{ x.__init__ }}{% endfor %}", "{{ 'a%9d'|format(1) }}", "{{ self }}", "{{ name[0:1] }}",
        "{% filter upper %}a{% endfilter %}", "{% call name() %}{% endcall %}", "{% with x = 1 %}{% endwith %}", "{{ " + "(" * 9999 + " }}",
        "{% for a in names %}" * 30 + "{% endfor %}" * 30, "{{ " + "9" * 9999 + " }}",
    ],
)  # fmt: skip
def test_a_template_neither_calculates_nor_calls(refuse: Callable[..., tuple[int, str]], template: str) -> None:
    line, _ = refuse(f"a\n{template}\n", name="a", names=["a"], long="-" * 99)
    assert line in (1, 2)


@pytest.mark.parametrize("inside", ["", "{{ x }}", "a", "{{ long }}"])
def test_a_bomb_of_loops_ends_soon(refuse: Callable[..., tuple[int, str]], inside: str) -> None:
    start = time.monotonic()
    template = "{% for x in many %}" * 6 + inside + "{% endfor %}" * 6
    assert refuse(template, many=range(1000), long="y" * 50_000) == (1, "renders to more than 100000 characters or rounds of loops")
    assert time.monotonic() - start < 5


def test_a_long_template_is_refused_like_a_bomb(refuse: Callable[..., tuple[int, str]]) -> None:
    assert refuse("word " * 30_000) == (1, "renders to more than 100000 characters or rounds of loops")


def test_a_teams_own_folder_comes_first_file_by_file(tmp_path: Path) -> None:
    for place, name in (("ours", "a.md"), ("ours", "b.md"), ("team", "b.md")):
        (tmp_path / place).mkdir(exist_ok=True)
        (tmp_path / place / name).write_text(f"{place} {name}", encoding="utf-8")
    words = Words([tmp_path / "team", tmp_path / "ours"])
    assert (words.text("a.md"), words.text("b.md")) == ("ours a.md", "team b.md")
    assert outline(words.blocks("b.md")) == "paragraph: 'team b.md'"
    assert words.file("a.md") == b"ours a.md"


def test_nothing_outside_the_folders_is_read(tmp_path: Path) -> None:
    folder = tmp_path / "templates"
    (folder / "inner").mkdir(parents=True)
    (tmp_path / "secret.md").write_text("secret", encoding="utf-8")
    (folder / "inner" / "a.md").write_text("a", encoding="utf-8")
    words = Words([folder])
    assert words.text("inner/a.md") == "a"
    for name in ("../secret.md", str(tmp_path / "secret.md"), "inner/../../secret.md"):
        with pytest.raises(TemplateError, match="leads out of the folder"):
            words.blocks(name)
    with pytest.raises(TemplateError, match="stands in none of the folders"):
        words.text("missing.md")


@pytest.mark.skipif(os.name == "nt", reason="making a link needs rights on Windows")
@pytest.mark.parametrize("template", ["## a" + " " * 90_000 + "b\n", "# " + "{#" * 40_000 + "\n", "**a *b " * 7000 + "c* d** " * 7000])
def test_a_long_template_is_read_or_refused_without_delay(read: Reader, template: str) -> None:
    began = time.perf_counter()
    with suppress(TemplateError):
        read(template)
    assert time.perf_counter() - began < 20


def test_a_link_in_a_circle_is_refused(tmp_path: Path) -> None:
    try:
        (tmp_path / "words.md").symlink_to(tmp_path / "words.md")
    except OSError:
        pytest.skip("no links on this system")
    with pytest.raises(TemplateError):
        Words([tmp_path]).blocks("words.md")


@pytest.mark.parametrize("name", ["words.md", "style.css"])
def test_what_is_no_file_is_not_passed_over(tmp_path: Path, name: str) -> None:
    (tmp_path / name).mkdir()
    with pytest.raises(TemplateError, match="is no file"):
        Words([tmp_path]).text(name)


def test_a_link_that_leaves_the_folder_is_refused(tmp_path: Path) -> None:
    folder = tmp_path / "templates"
    folder.mkdir()
    (tmp_path / "secret.md").write_text("secret", encoding="utf-8")
    (folder / "link.md").symlink_to(tmp_path / "secret.md")
    with pytest.raises(TemplateError, match="leads out of the folder"):
        Words([folder]).text("link.md")


def test_a_file_of_the_wrong_size_or_coding_is_refused(tmp_path: Path) -> None:
    (tmp_path / "large.md").write_bytes(b"a" * (LARGEST_FILE + 1))
    (tmp_path / "latin.md").write_bytes("a\n\nµ".encode("latin-1"))
    with pytest.raises(TemplateError, match="is larger than 1000000 bytes"):
        Words([tmp_path]).file("large.md")
    with pytest.raises(TemplateError, match=r"latin\.md:3:1: is not UTF-8 text"):
        Words([tmp_path]).blocks("latin.md")


def test_a_file_saved_on_windows_reads_the_same(tmp_path: Path) -> None:
    text = "# A {#a}\n\n{% if yes %}\nb{% if yes %} c{% endif %}\n\nd\n{% endif %}\n"
    (tmp_path / "unix.md").write_bytes(text.encode())
    (tmp_path / "windows.md").write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())
    words = Words([tmp_path])
    assert words.blocks("windows.md", yes=True) == words.blocks("unix.md", yes=True)
    assert outline(words.blocks("unix.md", yes=True)) == "heading 1: A\nparagraph: 'b c'\nparagraph: 'd'"
