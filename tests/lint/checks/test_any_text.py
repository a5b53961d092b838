"""Laws of the checks on ingredients and claims, for any text: no exception, places inside the
text, the same findings whatever ends the lines."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from panellint.analysis.context import LabelContext
from panellint.analysis.overview import glance
from panellint.core.findings import Finding
from panellint.core.source import Source
from panellint.lint.engine import findings_of
from panellint.rulepacks import packs
from panellint.rulepacks.model import Rule
from panellint.rulepacks.registry import ours
from panellint.rulepacks.settings import Settings

MODULES = (
    "absence", "binders", "claims", "claim_words", "duplicates", "hazards", "ingredient", "starch",
)  # fmt: skip


def rules() -> list[Rule]:
    own = {f"lint.checks.{name}" for name in MODULES}
    return [r for r in packs.load().values() if ours()[r.check]["run"].rpartition(".")[0] in own]


RULES = rules()
PIECES = st.sampled_from(
    "chicken;duck meal;corn;BHA;xylitol;garlic powder;tapioca starch;guar gum;salt;PREMIUM;Larder®;"
    "grain free;no corn, wheat or soy;single protein;first ingredient;made with;raw;human grade;"
    "free;no;and;or;,;(;);:;%;½;é;🐟;-;12;\n;Claims: ;Ingredients: ;Product name: ;Species: cat;"
    "Form: kibble;in gravy;bone broth;preserved with;a preservative;potasium chloride;25 %".split(
        ";"
    )
)
TEXTS = st.one_of(st.lists(PIECES, max_size=40).map(" ".join), st.text(max_size=200))


def found(text: str) -> list[Finding]:
    context = LabelContext.of(Source(text, "any.panel"), Settings(), quick=True)
    glance(context)
    return findings_of(context, RULES)


@given(TEXTS)
@settings(max_examples=150)
def test_no_exception_and_places_inside(text: str) -> None:
    for finding in found(text):
        for span in (finding.span, *(one.span for one in finding.related)):
            assert 0 <= span.start <= span.end <= len(text)
        assert "{" not in finding.message


@given(st.lists(PIECES, max_size=30).map(" ".join))
@settings(max_examples=60)
def test_line_ends_change_nothing(text: str) -> None:
    def told(text: str) -> list[tuple[str, str]]:
        return [(f.rule, f.message) for f in found(text)]

    assert told(text.replace("\n", "\r\n")) == told(text)
