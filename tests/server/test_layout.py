"""Formatting moves no word and changes no finding; folds, tokens and mentions hold the text."""

from itertools import pairwise
from pathlib import Path

import pytest

from panellint.analysis.context import LabelContext
from panellint.core.source import Source, read
from panellint.lint.engine import lint_context
from panellint.lint.fix import applied
from panellint.rulepacks.settings import Settings
from panellint.server import layout

CORPUS = sorted((Path(__file__).parents[2] / "corpus").glob("*.panel"))


def context_of(text: str, path: str = "x.panel") -> LabelContext:
    return LabelContext.of(Source(text, path), Settings(), quick=True)


@pytest.mark.parametrize("path", CORPUS, ids=lambda path: path.stem)
def test_formatting_moves_no_word_and_changes_no_finding(path):
    before = context_of(read(path).text)
    after = context_of(applied(before.source.text, layout.formatted(before)))
    assert before.source.text.split() == after.source.text.split()
    told = [
        {
            (one.rule, one.message.split("line")[0])
            for one in lint_context(label, label.settings).findings
        }
        for label in (before, after)
    ]
    assert told[0] == told[1]
    assert layout.formatted(after) == []


def test_a_long_list_is_wrapped_and_guarantees_stand_under_each_other():
    text = (
        "Ingredients:   duck,  millet,\n" + "pumpkin, " * 12 + "salt.  \n"
        "Guaranteed analysis\nCrude protein (min)  26 %\n   Moisture (max)\t8 %\n"
    )
    context = context_of(text)
    lines = applied(text, layout.formatted(context)).splitlines()
    assert lines[0].startswith("Ingredients: duck, millet, pumpkin,")
    assert all(len(line) <= layout.WIDTH for line in lines)
    assert lines[-2:] == ["  Crude protein (min) 26 %", "  Moisture (max) 8 %"]


@pytest.mark.parametrize("path", CORPUS[::4], ids=lambda path: path.stem)
def test_tokens_stand_in_order_and_on_one_line(path):
    context = context_of(read(path).text)
    tokens = layout.tokens(context)
    assert tokens
    for token in tokens:
        assert "\n" not in context.source.slice(token.span)
    assert all(a.span.end <= b.span.start for a, b in pairwise(tokens))
    assert {token.kind for token in tokens} >= {0, 1}


def test_folds_are_sections_and_groups():
    text = "Ingredients: duck, minerals (zinc oxide,\n  salt),\n  millet\nMarket: US\n"
    assert sorted(layout.folds(context_of(text))) == [(0, 1), (0, 2)]


def test_mentions_of_an_ingredient():
    text = "Product name: Duck Dinner\nIngredients: millet, duck, salt, duck liver\n"
    context = context_of(text)
    found = layout.mentions(context, text.index("Duck"))
    assert [context.source.slice(one) for one in found] == ["duck", "duck liver", "Duck"]
    assert layout.mentions(context, text.index("Ingredients")) == []
