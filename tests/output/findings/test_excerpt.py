import tracemalloc

from hypothesis import given
from hypothesis import strategies as st

from panellint.core.source import Source, Span
from panellint.output.cells import cell_width, width
from panellint.output.findings.excerpt import ELLIPSIS, excerpt


def of(text: str, words: str, columns: int = 60) -> list[tuple[str, str]]:
    start = text.index(words)
    span = Span(start, start + len(words))
    return [pair[:2] for pair in excerpt(Source(text), span, columns)]


def test_words_are_underlined():
    assert of("Ingredients: duck, millet\n", "duck") == [
        ("1 | Ingredients: duck, millet", "  |              ^^^^")
    ]


def test_wide_and_combining_characters_and_tabs_move_the_carets():
    assert of("米e\u0301\tduck", "duck") == [("1 | 米e\u0301 duck", "  |     ^^^^")]
    assert of("a, 米米, b", "米米") == [("1 | a, 米米, b", "  |    ^^^^")]


def test_a_long_line_shows_a_window_around_the_words():
    text = "Ingredients: " + "pea fibre, " * 50 + "duck meal, " + "rice bran, " * 50
    [(line, marks)] = of(text, "duck meal", 60)
    assert width(line) <= 60
    assert line.startswith(f"1 | {ELLIPSIS}")
    assert line.endswith(ELLIPSIS)
    assert line[marks.index("^") : marks.rindex("^") + 1] == "duck meal"


def test_a_span_over_lines_marks_each_and_says_how_many_more():
    shown = of("one\n  two\n\n three\nfour", "one\n  two\n\n three\nfour")
    assert shown == [
        ("1 | one", "  | ^^^"),
        ("2 |   two", "  |   ^^^"),
        (f"  | {ELLIPSIS} 2 more lines", ""),
    ]


def test_an_empty_span_has_one_caret():
    assert [pair[:2] for pair in excerpt(Source("duck"), Span(4, 4), 60)] == [
        ("1 | duck", "  |     ^")
    ]
    assert [pair[:2] for pair in excerpt(Source("duck\n"), Span(5, 5), 60)] == [("2 |", "  | ^")]
    assert [pair[:2] for pair in excerpt(Source(""), Span(0, 0), 60)] == [("1 |", "  | ^")]


def test_an_invisible_character_has_a_caret():
    assert of("a\u200bb", "\u200b") == [("1 | a\u200bb", "  |  ^")]


def test_control_characters_are_shown_and_not_sent():
    [(line, marks)] = of("a\x1b[31mduck", "duck")
    assert "\x1b" not in line
    assert line[marks.index("^") :] == "duck"


def test_the_cost_does_not_grow_with_the_line():
    source = Source("x" * 5_000_000)
    source.position(0)
    tracemalloc.start()
    try:
        list(excerpt(source, Span(2_500_000, 2_500_005), 80))
        _, most = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    # Whatever copies the line takes megabytes.
    assert most < 100_000


@given(st.text(max_size=300), st.data(), st.integers(30, 100))
def test_every_excerpt_fits_and_marks_something(text, data, columns):
    start = data.draw(st.integers(0, len(text)))
    end = data.draw(st.integers(start, len(text)))
    shown = list(excerpt(Source(text), Span(start, end), columns))
    assert all(width(line) <= columns and width(marks) <= columns for line, marks, _ in shown)
    assert any("^" in marks for _, marks, _ in shown)
    assert all(cell_width(char) for line, _, _ in shown for char in line if char.isascii())
