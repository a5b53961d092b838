"""Rules of the US and Canada on whole labels: three in order and three at fault for each.

`rules/bases.yaml` has whole labels by their parts. In the other files a case is a base with the
parts that are other words there; a case at fault says which words the rule marks.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest
import yaml

from panellint.analysis.context import LabelContext
from panellint.core.source import Source
from panellint.core.text import one_line
from panellint.lint.engine import findings_of
from panellint.rulepacks import packs
from panellint.rulepacks.settings import Settings

FOLDER = Path(__file__).parent / "rules"
BASES = yaml.safe_load((FOLDER / "bases.yaml").read_text("utf-8"))
RULES = packs.load()
EACH = 3


class Case(NamedTuple):
    """A whole label on which a rule is silent, or marks `marks`."""

    rule: str
    market: str
    edition: str | None
    text: str
    marks: str | None


def text_of(base: str, other: dict[str, str]) -> str:
    parts = {**BASES[base]["parts"], **other}
    return "\n\n".join(part for part in parts.values() if part) + "\n"


def cases() -> Iterator[Case]:
    for path in sorted(FOLDER.glob("*.yaml")):
        if path.stem == "bases":
            continue
        for rule, rows in yaml.safe_load(path.read_text("utf-8")).items():
            for base, other, *marks in (*rows["passes"], *rows["fails"]):
                market, text = BASES[base]["market"], text_of(base, other)
                yield Case(rule, market, rows.get("edition"), text, marks[0] if marks else None)


CASES = list(cases())


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.rule)
def test_a_rule_on_a_whole_label(case: Case) -> None:
    settings = Settings().with_market(case.market, case.edition)
    context = LabelContext.of(Source(case.text, "label.panel"), settings)
    found = findings_of(context, [RULES[case.rule]])
    marked = [one_line(context.source.slice(one.span)) for one in found]
    if case.marks is None:
        assert [one.message for one in found] == []
    else:
        assert case.marks in marked


def test_sixty_rules_have_three_labels_of_each_kind() -> None:
    good = Counter(case.rule for case in CASES if case.marks is None)
    bad = Counter(case.rule for case in CASES if case.marks is not None)
    assert set(good) == set(bad)
    assert min(good.values()) >= EACH
    assert min(bad.values()) >= EACH
    assert len(good) >= 60
    texts = {(case.rule, case.text) for case in CASES}
    assert len(texts) == len(CASES)
