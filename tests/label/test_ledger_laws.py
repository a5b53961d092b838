"""The laws of the ledger: read is earned, what is missing is proven missing, and neutral words
change nothing."""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Iterable, Sequence
from functools import cache

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from panellint.analysis.context import LabelContext
from panellint.core.findings import Certainty, Finding, Severity
from panellint.core.source import Source
from panellint.label.ledger import Fate
from panellint.label.model import Entry, Label
from panellint.label.reader import read_label
from panellint.lint.engine import lint
from panellint.rulepacks.settings import Settings
from tests.labels.labels import faultless, planted

_LINES = (
    "Quail Bowl for cats",
    "Ingredients: quail, millet (whole), salt. *from the field",
    "Guaranteed analysis",
    "Crude protein (min) 24%, Crude fqt (min) 1O%",
    "Calorie content (calculated): 3,500 kcal/kg",
    "<b>Net Wt</b> 4 oz | 113 g",
    "Complete pet food for adult cats.",
    "## Feeding: 3 spoons a day.",
    "Batch: see base\r\nQuail Row 4, VT 05099",
    "xqz wvut",
    "",
)
_WORD = re.compile(r"[^\W_]+")


@settings(max_examples=40)
@given(st.lists(st.one_of(st.sampled_from(_LINES), st.text(max_size=12)), max_size=9))
def test_the_stretches_are_disjoint_and_stand_in_order_and_cover_the_text(lines: list[str]) -> None:
    text = "\n".join(lines)
    at = 0
    for stretch in read_label(Source(text)).ledger.stretches:
        assert stretch.span.start == at < stretch.span.end
        at = stretch.span.end
        words = text[stretch.span.start : stretch.span.end]
        assert (stretch.fate is Fate.READ) == bool(stretch.kind)
        assert not stretch.maybe or stretch.fate is Fate.UNREAD
        if stretch.fate is Fate.SET_ASIDE and "<" not in words and "&" not in words:
            assert not any(map(str.isalnum, words))
    assert at == len(text)


# ---- 1: read is earned ---------------------------------------------------------------------------

#: Sections whose words are names that nothing else tells: the words themselves are what is read.
_FREE = ("maker", "brand", "form", "market", "language", "preparation", "contact")


def entries(found: Iterable[Entry]) -> Sequence[object]:
    return [
        (
            one.name,
            one.at_most,
            one.any_of,
            [(percent.value, percent.bound) for percent in one.percents],
            [entries(bracket.entries) for bracket in one.brackets],
        )
        for one in found
    ]


def meaning(label: Label) -> Sequence[object]:
    """What is known of a label, without the text of its sections."""
    energy = label.energy
    return [
        label.product_name,
        entries(label.declaration),
        [entries(one.declaration) for one in label.translations[1:]],
        [(note.mark, note.text) for note in label.footnotes],
        [(one.nutrient, one.value, one.unit, one.bound, one.basis) for one in label.guarantees],
        [
            (one.printed, one.number, one.value, one.unit)
            for one in (*label.additives, *label.actives)
        ],
        energy and ([(one.value, one.unit, one.per) for one in energy.figures], energy.method),
        [(one.route, one.species, one.stages, one.large_size) for one in label.adequacy],
        [words for words, _ in label.claims],
        [section.kind for section in label.sections],
        [section.text for section in label.sections if section.kind in _FREE],
    ]


def nonsense(words: str, chance: random.Random) -> str:
    """Words of equal length that mean nothing, with small letters where the words have them: a line
    that begins with one goes on with the line above it."""

    def unlike(word: re.Match[str]) -> str:
        letters = "".join(chance.choices("qxzwvk", k=len(word.group())))
        return letters if word.group()[0].islower() else letters.capitalize()

    return _WORD.sub(unlike, words)


def read_is_earned(number: int, seed: int) -> None:
    one = faultless()[number]
    chance = random.Random(seed)
    label = read_label(Source(one.text))
    read = [stretch for stretch in label.ledger.stretches if stretch.fate is Fate.READ]
    stretch = chance.choice(read)
    start, end = stretch.span
    text = one.text[:start] + nonsense(one.text[start:end], chance) + one.text[end:]
    after = read_label(Source(text))
    still = [
        other
        for other in after.ledger.stretches
        if other.kind == stretch.kind and other.span.start < end and start < other.span.end
    ]
    assert meaning(after) != meaning(label) or not still, one.text[start:end]


_labels = st.integers(0, len(faultless()) - 1)
_seeds = st.integers(0, 10**6)


@settings(max_examples=40, derandomize=True)
@given(_labels, _seeds)
def test_nonsense_in_place_of_what_was_read_changes_the_label_or_is_not_read(
    number: int, seed: int
) -> None:
    read_is_earned(number, seed)


@pytest.mark.parametrize(
    ("heading", "words", "senseless"),
    [
        ("Précautions", "ne convient pas aux chiots de moins de 6 mois.", "xz qvwx kzq wv zzq K."),
        ("Cautions", "Supervise chewing.", "Xqzwvkxqz wvqxzkq."),
        ("Wichtiger Hinweis", "Frisches Wasser bereitstellen.", "Xqzwvkxq Zwvqxz wvkqzxwvkqzxw."),
        ("Country of origin", "Thailand", "Qxzvwkqx"),
        ("Kraj pochodzenia", "Chiny", "Kxvzx"),
        ("Price", "€3.50 (€35.00/kg)", "€V.Qk (€Qq.Xq/qk)"),
    ],
)
def test_words_below_a_heading_of_the_small_print_are_read_for_what_they_say(
    heading: str, words: str, senseless: str
) -> None:
    for printed, is_read in ((words, True), (senseless, False)):
        text = f"Duck Dinner for dogs\nIngredients: duck, rice\n{heading}: {printed}\n"
        stretches = read_label(Source(text)).ledger.stretches
        fates = {one.fate for one in stretches if one.span.start >= text.index(printed)}
        assert (Fate.READ in fates) is is_read, stretches


@pytest.mark.long
@settings(max_examples=3000, derandomize=True)
@given(_labels, _seeds)
def test_read_is_earned_at_length(number: int, seed: int) -> None:
    read_is_earned(number, seed)


# ---- 2: what is missing is proven missing --------------------------------------------------------

#: Sentences without a name, a figure, a unit or a statutory word.
_NEUTRAL = (
    "Our kitchen looks out over the river.",
    "Thank you for reading this far.",
    "Somebody sings while the pots are stirred.",
    "The windows are painted blue.",
    "Come and see us when the fair is in town.",
    "It all began with a letter from a friend.",
    "We have been at it for as long as we can remember.",
    "Nobody remembers who planted the old tree at the gate.",
)
#: The numbers of lines, which a line more moves.
_LINES = re.compile(r"\blines? \d+(?:, \d+)*(?:,? and \d+)?")
#: All texts that are labels.
_texts = [
    *faultless(),
    *(label for label in planted() if label.text.strip() and "label-not-read" not in label.rules),
]


@cache
def findings(market: str, text: str) -> Sequence[Finding]:
    found: Sequence[Finding] = lint(
        Source(text, "label"), Settings().with_market(market), quick=True
    ).findings
    return found


def said(market: str, text: str) -> Sequence[tuple[str, str, str]]:
    return sorted(
        (one.rule, re.sub(_LINES, "line", one.message), text[one.span.start : one.span.end])
        for one in findings(market, text)
    )


def between(text: str, chance: random.Random) -> str:
    """The text with a neutral sentence between two of its blocks."""
    starts = [0]
    for section in LabelContext.of(Source(text), Settings()).label.sections[1:]:
        start = text.rfind("\n", 0, min(section.heading.start, section.body.start)) + 1
        if not text[start : min(section.heading.start, section.body.start)].strip(" *#-•✓|"):
            starts.append(start)
    at = chance.choice([*starts[1:], len(text)])
    before = text[:at] if not text[:at] or text[:at].endswith("\n") else text[:at] + "\n"
    blank = chance.choice(("", "\n"))
    return f"{before}{blank}{chance.choice(_NEUTRAL)}\n{blank}{text[at:]}"


def neutral_words_change_nothing(number: int, seed: int) -> None:
    label = _texts[number]
    text = between(label.text, random.Random(seed))
    assert said(label.market, text) == said(label.market, label.text)


@settings(max_examples=30, derandomize=True)
@given(st.integers(0, len(_texts) - 1), _seeds)
def test_neutral_sentences_between_blocks_change_no_finding(number: int, seed: int) -> None:
    neutral_words_change_nothing(number, seed)


def share_broken(law: Callable[[int, int], None], labels: int, runs: int) -> float:
    """The share of runs over labels and seeds drawn at random in which a law does not hold."""
    chance = random.Random(0)
    broken = 0
    for _ in range(runs):
        try:
            law(chance.randrange(labels), chance.randrange(10**6))
        except AssertionError:
            broken += 1
    return broken / runs


@pytest.mark.long
def test_neutral_sentences_change_nothing_in_99_of_100_labels() -> None:
    assert share_broken(neutral_words_change_nothing, len(_texts), 1500) <= 0.01


#: What scanners make of signs.
_SCANNED = {"i": "l", "l": "1", "I": "l", "o": "0", "O": "0", "0": "O", "1": "l"}
_SCANNED |= {"5": "S", "s": "5", "B": "8", "m": "rn", "S": "5", "L": "1"}
_PARTS = "net-contents maker calories adequacy feeding best-before lot".split()
_NUTRIENTS = ("protein", "fat", "fibre", "moisture", "ash")
#: Checks that find a part missing, but for the rules about a piece of a part.
_ABSENCE = (
    "label-part guarantee-missing constituent-missing adequacy-missing calorie-line feed-type"
    " constituent-moisture declaration-missing species-stated"
).split()
_PIECES = {"eu-approval-number", "uk-operator-in-uk", "calorie-method", "calorie-per-kilogram"}
_PIECES |= {"calorie-per-unit"}


def scanned(words: str, chance: random.Random) -> str:
    """Words as a scanner spoils them: here and there a sign, none within five of another."""
    out, last = [], -9
    for at, sign in enumerate(words):
        spoilt = sign in _SCANNED and at - last > 4 and chance.random() < 0.8
        out.append(_SCANNED[sign] if spoilt else sign)
        last = at if spoilt else last
    return "".join(out)


def an_unreadable_part_is_not_missing(number: int, seed: int) -> None:
    label = faultless()[number]
    chance = random.Random(seed)
    rules = Settings().with_market(label.market).rules
    read = LabelContext.of(Source(label.text), Settings()).label
    places = [
        (min(section.heading.start, section.body.start), section.body.end)
        for section in read.sections
        if section.kind in _PARTS and section.text
    ]
    places += [one.span for one in read.guarantees if one.nutrient in _NUTRIENTS]
    # A spoilt cell of a page in two columns is no sign of the right column any more.
    if not places or re.search(r"\S {8,}\S", label.text):
        return
    start, end = chance.choice(places)
    spoilt = scanned(label.text[start:end], chance)
    sound = {one.rule for one in findings(label.market, label.text)}
    text = label.text[:start] + spoilt + label.text[end:]
    for one in findings(label.market, text):
        if one.rule not in sound | _PIECES and rules[one.rule].check in _ABSENCE:
            assert one.severity is not Severity.ERROR, (spoilt, one.message)
            light = one.severity is Severity.INFORMATION
            assert light or one.certainty is Certainty.POSSIBLE or "can be read" in one.message, (
                spoilt
            )


@settings(max_examples=30, derandomize=True)
@given(_labels, _seeds)
def test_an_unreadable_copy_of_a_part_is_maybe_here(number: int, seed: int) -> None:
    an_unreadable_part_is_not_missing(number, seed)


@pytest.mark.long
def test_an_unreadable_copy_is_maybe_here_in_99_of_100_labels() -> None:
    assert share_broken(an_unreadable_part_is_not_missing, len(faultless()), 2000) <= 0.01


# ---- 4: a label of which nothing was read is not a clean label -----------------------------------

_NO_LABEL = (
    "",
    " \n\t\n",
    "packs: [house.yaml]\nmarket: eu\nseverity:\n  name-quarter: warning\n",
    "Fullfoder för vuxna hundar. Sammansättning: kyckling, ris. Analytiska beståndsdelar.",
    "Karma pełnoporcjowa dla psów. Skład: kurczak, ryż. Składniki analityczne: białko surowe 24%.",
    "Dear all, the meeting is on Monday. Please bring the minutes of the last one.",
    "import sys\n\nprint(sys.argv)\n",
    "Lorem ipsum dolor sit amet, consectetur adipiscing elit.",
)


@pytest.mark.parametrize("text", _NO_LABEL)
def test_a_text_that_is_no_label_that_is_read_is_warned_of(text: str) -> None:
    assert is_warned_of("us", text)


def is_warned_of(market: str, text: str) -> bool:
    return any(one.severity in (Severity.ERROR, Severity.WARNING) for one in findings(market, text))


@settings(max_examples=60)
@given(st.text(max_size=60), st.sampled_from(("us", "eu", "uk", "ca")))
def test_of_what_nothing_is_read_there_is_a_warning(text: str, market: str) -> None:
    label = LabelContext.of(Source(text), Settings())
    known = any(entry.match for entry in label.entries)
    assume(not known and not any(one.kind == "waiver" for one in label.label.sections))
    assume(not label.label.sections_of("declaration") or label.label.bare)
    read = {one.kind for one in label.label.ledger.stretches if one.fate is Fate.READ}
    assume(not read - {"declaration"})
    assert is_warned_of(market, text)
