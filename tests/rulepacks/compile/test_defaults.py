"""The defaults of a pack: given where a rule has nothing of its own, refused where they err."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from panellint.core.errors import Fault
from panellint.core.findings import Certainty, Severity
from panellint.rulepacks import packs

Make = Callable[..., str]
Write = Callable[..., Path]
Find = Callable[..., list[Fault]]

DEFAULTS = """pack: brand
defaults:
  severity: {practice: hint}
  for: {market: us, species: dog}
  source: {document: The brand's own book}
  with: {fault: expired}
rules:
"""


def test_a_rule_takes_what_it_does_not_give(own_cache: Path, rule: Make, pack: Write) -> None:
    bare = rule("bare", severity="", source="", **{"with": ""})
    own = rule("own", **{"for": "for: {species: cat}", "with": "with: {fault: unused}"})
    rules = packs.load([pack(DEFAULTS + bare + own)])
    assert rules["bare"].severity == {Certainty.PRACTICE: Severity.HINT}
    assert rules["bare"].source.document == "The brand's own book"
    assert rules["bare"].applies.species == ("dog",)
    assert rules["bare"].parameters.text("fault") == "expired"
    assert rules["own"].applies.species == ("cat",)
    assert rules["own"].applies.market == ("us",)
    assert rules["own"].parameters.text("fault") == "unused"
    assert rules["own"].source.document != "The brand's own book"


def test_a_default_that_no_rule_takes_is_a_fault_at_its_place(
    rule: Make, pack: Write, faults: Find
) -> None:
    text = DEFAULTS.replace("{fault: expired}", "{fault: expired, falt: unused}") + rule()
    found = faults(pack(text))
    assert [(one.line, one.column) for one in found] == [(6, 26)]
    assert "no rule of this pack takes the parameter `falt`" in found[0].message


def test_a_faulty_default_is_told_once(rule: Make, pack: Write, faults: Find) -> None:
    text = DEFAULTS.replace("hint", "hnt") + rule("a", severity="") + rule("b", severity="")
    found = faults(pack(text))
    assert [(one.line, one.column) for one in found] == [(3, 24)]


def test_a_rule_without_severity_and_without_a_default_is_refused(
    rule: Make, pack: Write, faults: Find
) -> None:
    found = faults(pack(f"pack: brand\nrules:\n{rule(severity='')}"))
    assert "key `severity` is missing" in found[0].message
