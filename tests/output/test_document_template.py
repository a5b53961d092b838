"""Documents written by templates: marks count where the template has them, and nowhere else."""

from pathlib import Path

import pytest

from panellint.output.document import Bar, Heading, Items, Paragraph, Printed, Table
from panellint.output.document_template import written


def document(folder: Path, template: str, **values: object) -> list[object]:
    (folder / "page.j2").write_text(template, encoding="utf-8")
    return list(written(folder / "page.j2", values))


def test_each_mark_gives_its_block(tmp_path):
    text = "# A\n## [b] B\n  words\n    further\n- one\n- two\n"
    table = "^ [facts] C\n| h | n |\n|---|---:|\n| x | 1 |\n"
    assert document(tmp_path, text + table) == [
        Heading(1, "A"),
        Heading(2, "B", "b"),
        Paragraph("words"),
        Paragraph("further", indent=4),
        Items(("one", "two")),
        Table(("h", "n"), (("x", "1"),), (1,), "C", "facts"),
    ]


@pytest.mark.parametrize(
    "words", ["# a", "- a", "| a | b |", "^ a", "[small] a", "a \\", "a\n- b", "{{ a }}", "|---:|"]
)
def test_what_comes_of_an_answer_is_text_whatever_it_holds(tmp_path, words):
    template = "  {{ words }}\n# {{ words }}\n| {{ words }} | b |\n|---|---|\n| {{ words }} | c |\n"
    assert document(tmp_path, template, words=words) == [
        Paragraph(words),
        Heading(1, words),
        Table((words, "b"), ((words, "c"),), kind="stack"),
    ]


def test_words_of_a_label_keep_their_language(tmp_path):
    name = Printed("Ente", "de")
    paragraph, table = document(tmp_path, "  a {{ n }}\n| h |\n|---|\n| {{ n }} |\n", n=name)
    assert [getattr(piece, "language", None) for piece in paragraph.words] == [None, "de"]
    assert table.rows[0][0].language == "de"


def test_a_macro_gives_lines_where_it_stands_alone_and_words_elsewhere(tmp_path):
    macro = "{% macro m() %}\n- a\n- b\n{% endmacro %}\n"
    assert document(tmp_path, f"{macro}{{{{ m() }}}}\n") == [Items(("a", "b"))]
    assert document(tmp_path, f"{macro}  of {{{{ m() }}}}.\n") == [Paragraph("of a b.")]


def test_a_line_goes_on_behind_a_backslash_and_is_none_without_words(tmp_path):
    assert document(tmp_path, "  a \\\n  b\n\n  [small] {{ n }}\n", n="") == [Paragraph("a b")]


def test_a_block_stands_as_it_is_and_a_caption_parts_two_tables(tmp_path):
    bar = Bar(0, 1)
    table = "| h |\n|---|\n| {{ bar }} |\n"
    parts = document(
        tmp_path, f"{{{{ block }}}}\n{table}^\n{table}", bar=bar, block=Heading(3, "x")
    )
    assert parts == [Heading(3, "x"), *[Table(("h",), ((bar,),), kind="stack")] * 2]


def test_a_name_that_is_not_given_is_an_error(tmp_path):
    with pytest.raises(Exception, match="'other' is undefined"):
        document(tmp_path, "  {{ other }}\n", words="")
