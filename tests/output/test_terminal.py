"""Tables and bars: no figure is ever cut, whatever the width."""

import io
import re
from pathlib import Path

import pytest

from panellint import api
from panellint.core.source import read
from panellint.output import terminal
from panellint.output.document import Bar, Block, Heading, Paragraph, Table, Verbatim, figure
from panellint.output.document_template import view
from panellint.output.render_options import RenderOptions

LABEL = Path(__file__).parents[2] / "corpus" / "chicken-barley-kibble.panel"
NUTRITION = api.nutrition(read(LABEL).text, "kibble.panel")
SHARES = api.shares(read(LABEL).text, "kibble.panel")


def printed(*blocks: Block, width: int = 80) -> str:
    stream = io.StringIO()
    terminal.write(blocks, stream, RenderOptions(width=width))
    return stream.getvalue()


def table(headings, rows, right=None) -> Table:
    """A table whose columns but the first hold figures, unless said otherwise."""
    figures = tuple(range(1, len(headings))) if right is None else right
    return Table(tuple(headings), tuple(map(tuple, rows)), figures)


shares_view = view("shares", proofs=False, of=())


def written(view, data, width: int) -> str:
    return printed(*view(data), width=width)


@pytest.mark.parametrize("width", [40, 47, 60, 72, 80, 100])
@pytest.mark.parametrize(("view", "data"), [(view("nutrition"), NUTRITION), (shares_view, SHARES)])
def test_every_figure_is_whole_at_every_width(view, data, width):
    text = written(view, data, width)
    assert max(map(len, text.splitlines())) <= width

    def figures(told: str) -> list[str]:
        return sorted(re.findall(r"\d+\.\d\b", told))

    assert figures(text) == figures(written(view, data, 100))


def bar(*ends: float) -> str:
    """A bar of 22 cells, as a table of a wide terminal has it."""
    text = printed(table(("a", "b"), [("x", Bar(*ends))]), width=100)
    return text.splitlines()[-1].split()[-1]


def test_a_bar_stands_from_least_to_most():
    assert bar(0, 100, 100) == "━" * 22
    assert bar(50, 100, 100) == "·" * 11 + "━" * 11
    assert bar(0, 20, 100, 12) == "━━┃━━" + "·" * 17
    # A range thinner than a cell still shows.
    assert bar(33.3, 33.4, 100) == "·" * 7 + "━" + "·" * 14
    assert bar(100, 100, 100) == "·" * 21 + "━"
    assert bar(0, 0, 0) == "·" * 22


def test_words_that_would_command_the_terminal_are_pictures():
    text = printed(Heading(1, "a\x1b[2Jb"), table(["x\x07"], [["y\x1b]0;z"]], ()))
    assert "\x1b" not in text
    assert "\x07" not in text


def test_square_brackets_are_no_markup():
    text = printed(
        table(["", "n"], [["minerals [bold]zinc[/bold]", "1"]]),
        Paragraph("[red]x[/red]"),
        Verbatim("a  [b]\n  c"),
    )
    assert "minerals [bold]zinc[/bold]" in text
    assert "[red]x[/red]" in text
    assert text.endswith("    a  [b]\n      c\n")


def test_where_there_is_no_unicode_all_is_ascii():
    stream = io.TextIOWrapper(io.BytesIO(), encoding="ascii")
    blocks = [Paragraph("“a – b”"), table(["", "┃"], [["x", Bar(20, 40, 100, 30)]])]
    terminal.write(blocks, stream, RenderOptions())
    stream.seek(0)
    text = stream.read()
    assert '"a - b"' in text
    assert "=|=" in text


def test_columns_that_do_not_fit_become_paragraphs():
    rows = [("protein", "min 28.5 %", "26.98 to 33.62"), ("fat", "min 9 %", "")]
    text = printed(table(["nutrient", "label", "by the tables"], rows), width=32)
    assert "  nutrient protein; label min\n  28.5 %; by the tables 26.98 to\n  33.62\n" in text
    assert "  nutrient fat; label min 9 %\n" in text


def test_unknown_figures_are_a_dash():
    assert (figure(None), figure(2.25, 1), figure(3, 0)) == ("-", "2.3", "3")


def test_a_declared_share_is_told_where_the_proven_one_is_wider():
    label = (
        "Form: canned\nMarket: eu\nComposition: {}, rice, minerals\nAnalytical constituents: "
        "crude protein 9 %, crude fat 6 %, crude fibre 0.4 %, crude ash 2 %, moisture 79 %\n"
    )
    words = "As the label declares it, of the food: chicken 29.5 to 30.5 %."
    assert words in written(shares_view, api.shares(label.format("chicken 30 %, broth")), 200)
    text = written(shares_view, api.shares(label.format("chicken, broth")), 200)
    assert "As the label declares it" not in text
