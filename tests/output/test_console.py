"""Tables and bars: no figure is ever cut, whatever the width."""

import io
import re
from pathlib import Path

import pytest

from panellint import api
from panellint.core.source import read
from panellint.output.console import Page, figure
from panellint.output.render_options import RenderOptions
from panellint.output.views import nutrition, shares

LABEL = Path(__file__).parents[2] / "corpus" / "chicken-barley-kibble.panel"
NUTRITION = api.nutrition(read(LABEL).text, "kibble.panel")
SHARES = api.shares(read(LABEL).text, "kibble.panel")


def page(width: int = 80) -> tuple[Page, io.StringIO]:
    stream = io.StringIO()
    return Page(stream, RenderOptions(width=width)), stream


def written(write, data, width: int) -> str:
    stream = io.StringIO()
    write(data, stream, RenderOptions(width=width))
    return stream.getvalue()


@pytest.mark.parametrize("width", [40, 47, 60, 72, 80, 100])
@pytest.mark.parametrize(("write", "data"), [(nutrition.write, NUTRITION), (shares.write, SHARES)])
def test_every_figure_is_whole_at_every_width(write, data, width):
    text = written(write, data, width)
    assert max(map(len, text.splitlines())) <= width

    def figures(told: str) -> list[str]:
        return sorted(re.findall(r"\d+\.\d\b", told))

    assert figures(text) == figures(written(write, data, 100))


def test_a_bar_stands_from_least_to_most():
    one, _ = page()
    assert one.stretch(0, 100, 100, 10) == "━" * 10
    assert one.stretch(50, 100, 100, 10) == "·" * 5 + "━" * 5
    assert one.stretch(0, 20, 100, 10, 12) == "━●" + "·" * 8
    # A range thinner than a cell still shows.
    assert one.stretch(33.3, 33.4, 100, 10) == "···━······"
    assert one.stretch(100, 100, 100, 10) == "·" * 9 + "━"
    assert one.stretch(0, 0, 0, 4) == "····"


def test_words_that_would_command_the_terminal_are_pictures():
    one, stream = page()
    one.title("a\x1b[2Jb")
    one.table(["x\x07"], [["y\x1b]0;z"]])
    assert "\x1b" not in stream.getvalue()
    assert "\x07" not in stream.getvalue()


def test_square_brackets_are_no_markup():
    one, stream = page()
    one.table(["", "n"], [["minerals [bold]zinc[/bold]", "1"]], right=(1,))
    one.line("[red]x[/red]")
    assert "minerals [bold]zinc[/bold]" in stream.getvalue()
    assert "[red]x[/red]" in stream.getvalue()


def test_unknown_figures_are_a_dash():
    assert (figure(None), figure(2.25, 1), figure(3, 0)) == ("-", "2.3", "3")
