"""What is told of a rule."""

from __future__ import annotations

import json
from collections.abc import Iterable
from io import StringIO

import pytest

from panellint.core.errors import UnknownName
from panellint.core.findings import Certainty, Severity
from panellint.output import terminal
from panellint.output.document import Block
from panellint.output.document_template import view
from panellint.output.render_options import RenderOptions
from panellint.rulepacks import docs, packs
from panellint.rulepacks.model import Applies

RULES = packs.load()
RULE = RULES["waiver-expired"]


def text_of(blocks: Iterable[Block]) -> str:
    stream = StringIO()
    terminal.write(blocks, stream, RenderOptions())
    return stream.getvalue()


def test_a_rule_is_told_with_reason_source_and_examples() -> None:
    text = text_of(view("rule")(docs.to_dict(RULE)))
    assert text.startswith("waiver-expired\nA waiver holds until its date and no longer\n")
    for part in ("warning as practice", "every label", "common practice", "fault: expired"):
        assert part in text
    assert "Passes:\n    Ingredients: duck, millet\n" in text
    assert "Fails, marking `Waive waiver-unused until 2020-02-29" in text


@pytest.mark.parametrize("name", RULES)
def test_what_we_write_ourselves_fits_in_eighty_columns(name: str) -> None:
    for line in text_of(view("rule")(docs.to_dict(RULES[name]))).splitlines():
        assert len(line) <= 80 or line.startswith("    ") or " " not in line.strip()


def test_every_rule_is_listed_with_weight_and_place() -> None:
    rows = docs.listing(RULES.values())
    assert [row["rule"] for row in rows] == list(RULES)
    text = text_of(view("rules")(docs.listing(RULES.values())))
    assert "  waiver-expired (warning as practice)\n    A waiver holds" in text


def test_words_for_weight_and_place() -> None:
    mixed = {Certainty.PROVEN: Severity.ERROR, Certainty.POSSIBLE: None}
    assert docs.severity_words(RULE._replace(severity=mixed)) == "error where proven"
    assert docs.severity_words(RULE._replace(severity=dict.fromkeys(Certainty))) == "off"
    same = dict.fromkeys(Certainty, Severity.HINT)
    assert docs.severity_words(RULE._replace(severity=same)) == "hint"
    applies = Applies(market=("us", "ca"), species=("cat",))
    assert docs.where_words(RULE._replace(applies=applies)) == "us or ca; cat"


def test_an_unknown_rule_is_told_with_the_nearest() -> None:
    with pytest.raises(UnknownName, match=r"no rule `waiver-expird`; did you mean"):
        docs.rule_of(RULES, "waiver-expird")
    assert docs.rule_of(RULES, "waiver-expired") is RULE


def test_the_data_of_every_rule_is_json() -> None:
    for rule in RULES.values():
        data = docs.to_dict(rule)
        assert json.loads(json.dumps(data)) == data
