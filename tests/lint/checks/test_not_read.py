"""A text of which nothing was read is no label in order."""

from __future__ import annotations

import pytest

from panellint.core.findings import Severity
from panellint.core.source import Source
from panellint.lint.engine import lint
from panellint.rulepacks.settings import Settings


def _weighty(text: str, market: str = "eu") -> list[tuple[str, str]]:
    found = lint(Source(text), Settings().with_market(market)).findings
    return [
        (one.rule, one.message)
        for one in found
        if one.severity in (Severity.ERROR, Severity.WARNING)
    ]


@pytest.mark.parametrize("text", ["", " \n\t\n", "The meeting is at noon.\n", "market: us\n"])
def test_nothing_read_is_one_warning(text: str) -> None:
    assert [rule for rule, _ in _weighty(text)] == ["label-not-read"]


@pytest.mark.parametrize(
    ("text", "language"),
    [
        ("Teljes értékű állateledel\nÖsszetétel: kacsa, rizs\nNyersfehérje", "Hungarian"),
        ("Hrană completă\nCompoziție: rață, orez\nProteină brută 30 %", "Romanian"),
        ("Πλήρης τροφή για γάτες\nΣύνθεση: πάπια", "Greek"),
    ],
)
def test_a_language_that_is_not_read_is_said_once(text: str, language: str) -> None:
    (found,) = _weighty(text)
    assert found[0] == "label-not-read"
    assert language in found[1]


def test_a_label_that_holds_a_language_that_is_read_is_judged_by_it() -> None:
    text = "Composition: duck, rice\nÖsszetétel: kacsa, rizs\nNyersfehérje 30 %\nNyersrost 2 %\n"
    assert "label-not-read" not in [rule for rule, _ in _weighty(text)]


@pytest.mark.parametrize("text", ["duck, millet\n", "Ingredients: zorblat\n"])
def test_a_list_alone_is_something(text: str) -> None:
    assert "label-not-read" not in [rule for rule, _ in _weighty(text, "us")]
