"""A context answers once, keyed by what is asked, and nothing it keeps holds it in return."""

from __future__ import annotations

import gc
import weakref
from pathlib import Path
from typing import Any

import pytest

from panellint import api
from panellint.analysis.context import LabelContext
from panellint.analysis.nutrition_input import statement_of
from panellint.core.source import Source, read
from panellint.label.model import Label
from panellint.label.reader import read_label
from panellint.lint.engine import lint, lint_context
from panellint.rulepacks.data import data
from panellint.rulepacks.settings import Settings

CORPUS = Path(__file__).parents[2] / "corpus"


def test_once_is_keyed_by_what_is_asked():
    context = LabelContext.of(Source("Ingredients: duck\n", "x.panel"))
    asked: list[tuple[str, int]] = []

    def answer(_: LabelContext, word: str, number: int) -> list[int]:
        asked.append((word, number))
        return [number]

    first = context.once(answer, "a", 1)
    assert context.once(answer, "a", 1) is first
    assert context.once(answer, "b", 1) == [1]
    assert context.once(answer, "a", 2) == [2]
    assert asked == [("a", 1), ("b", 1), ("a", 2)]


@pytest.mark.parametrize("name", ["duck-millet-freeze-dried", "lamb-kibble-eu"])
def test_a_context_goes_with_its_last_reader(name):
    gc.disable()
    try:
        context = LabelContext.of(read(CORPUS / f"{name}.panel"))
        lint_context(context, context.settings)
        assert statement_of(context).notes is not None
        kept = weakref.ref(context)
        del context
        assert kept() is None
    finally:
        gc.enable()


@pytest.mark.parametrize(
    ("text", "market"),
    [
        ("Ingredients: duck, millet\n", "us"),
        ("Ingredients: duck\nAnalytical constituents: protein 10 %\n", "uk"),
        ("Ingredients: duck\nAnalytical constituents: protein 10 %\n12 Quay, Ireland\n", "eu"),
        ("Zusammensetzung: Ente, Hirse\n", "eu"),
        ("Zusammensetzung: Ente\nIngredients: duck\nGuaranteed Analysis: protein 10 %\n", "us"),
        ("Ingredients: duck\nGuaranteed Analysis: 9 %\nAnalyse garantie : 9 %\n", "ca"),
        ("Market: uk\nZusammensetzung: Ente, Hirse\n", "uk"),
        ("Einzelfuttermittel für Hunde\n• 100 % Kaninchen\n", "eu"),
        ("100 % konijn\nruw eiwit 61 %\n", "eu"),
        ("What is it made of? Trout, peas\nEstablishment GB113E0412\n", "uk"),
        ("Ingredients: tuna\nPort Ellery NS B0K 1A0\n", "ca"),
        ("Guaranteed analysis: 9 %\nPort Ellery NS B0K 1A0\n", "ca"),
        ("AAFCO Cat Food\nGuaranteed analysis: 9 %\nPort Ellery NS B0K 1A0\n", "us"),
        ("Market: moon\nZusammensetzung: Ente, Hirse\n", "us"),
    ],
)
def test_where_no_market_is_named_the_words_of_the_label_tell_it(text: str, market: str) -> None:
    assert LabelContext.of(Source(text, "x.panel")).market == market


def test_the_market_of_a_command_goes_before_the_words_of_the_label() -> None:
    settings = Settings().with_market("us")
    context = LabelContext.of(Source("Zusammensetzung: Ente\n", "x.panel"), settings)
    assert (context.market, context.market_sign) == ("us", None)


@pytest.mark.parametrize("language", data("words/statutory")["languages"])
def test_the_statutory_words_of_a_language_tell_the_market(language: str) -> None:
    """Where nobody names a market, the headings of a list and of constituents and the type of feed
    do, in every language of the Union; "Composition" alone is English too."""
    words = data("words/statutory")["languages"][language]
    for printed in (words["composition"], words["constituents"], *words["types"].values()):
        context = LabelContext.of(Source(f"{printed}: x 20 %\n"))
        assert (context.market == "eu") is (printed != "Composition"), printed


def test_a_text_is_read_once_for_all_that_is_asked_of_it(monkeypatch: pytest.MonkeyPatch) -> None:
    texts: list[str] = []

    def counted(source: Source, *asked: Any) -> Label:
        texts.append(source.text)
        return read_label(source, *asked)

    monkeypatch.setattr("panellint.analysis.read_once.read_label", counted)
    asked = {
        name: f"Product name: Supper\nIngredients: {name}, oats\n" for name in ("duck", "trout")
    }
    for name, text in asked.items():
        lint(Source(text))
        assert api.outline(text)["declaration"][0]["name"] == name
    assert texts == [*asked.values()]
