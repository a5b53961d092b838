"""Word lists find what the plain expression finds, whatever is passed over."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panellint.core.errors import PanellintError
from panellint.core.patterns import Words, pattern
from panellint.rulepacks import packs

LISTS = [
    (r"\bno\b", r"\bwithout\b"),
    (r"colou?rs?", r"flavou?r"),
    (r"entr[ée]es?",),
    (r"(?:un)?natural", r"\bpup(?:py|pies)\b"),
    (r"made with|made from", "real"),
    (r"dogs?", "cats{2}", "a|b"),
    ("human grade",),
    (r"(?:human|food)[- ](?:grade|quality)", r"(?P<named>[a-z]+) first\b"),
    (r"\b(?:no|zero)(?: any)? (?!real)colou?rs?", r"(?:pup|kitten)+s?"),
    (r"\u0070uppies|\x66ood", r"natural(?=\s)|(?:made)? with"),
    (r"(?<!\w)[\w'’-]+\s?(?:[®™℠]|\(TM\)|\(R\))", "_{3,}"),
    (r"total (?:dietary )?fib(?:er|re)", r"complete (?:food for \w+|(?:adult )?(?:dog|cat) food)"),
    (r"no\.? \d+", r"a{0,2}bc{2}d", r"[%°] off", r"(?:a\+|b)\?", r"[^®]™", r"[a-c]-x_y"),
    (r"i[nm]stant|k(?:ilo|s)", r"(?:a|bone) meal|(?<!no-)li(?:ver|ght){1,2}"),
]


@given(st.sampled_from(LISTS), st.text(max_size=30))
@pytest.mark.parametrize("lead", ["", "No colors, made  with human\ngrade natural puppies. "])
def test_the_same_places_as_the_expression_itself(
    lead: str, words: tuple[str, ...], text: str
) -> None:
    plain = re.compile("|".join(f"(?:{w})" for w in words).replace(" ", r"\s+"), re.IGNORECASE)
    found = Words(*words)
    assert [m.span() for m in found.finditer(lead + text)] == [
        m.span() for m in plain.finditer(lead + text)
    ]
    assert bool(found.search(text)) == bool(plain.search(text))
    assert bool(found.fullmatch(text)) == bool(plain.fullmatch(text))


@pytest.mark.parametrize("letters", ["ı", "İ", "ſ", "\u212a", "ß", "ẞ"])
def test_letters_that_fold_into_others_are_found_too(letters: str) -> None:
    for words in ("(?:ins|kss)", "ssi", "fin(?:is|e)"):
        for text in ("ins", "kss", "ssi", "finis"):
            for place in range(len(text)):
                odd = text[:place] + letters + text[place + 1 :]
                assert bool(Words(words).search(odd)) == bool(re.search(words, odd, re.IGNORECASE))


def test_words_of_the_packs_find_their_own_examples() -> None:
    """Every list of words in the packs still finds what the plain expression finds."""
    checked = 0
    for rule in packs.load().values():
        words = rule.parameters.get("words")
        if not isinstance(words, list) or not all(isinstance(one, str) for one in words):
            continue
        plain = re.compile("|".join(f"(?:{w})" for w in words).replace(" ", r"\s+"), re.IGNORECASE)
        for text in [*rule.examples.passes, *(one.text for one in rule.examples.fails)]:
            places = [m.span() for m in plain.finditer(text)]
            assert [m.span() for m in pattern(*words).finditer(text)] == places
            checked += bool(places)
    assert checked > 10


def test_what_is_no_expression_is_told() -> None:
    with pytest.raises(PanellintError, match="no regular expression"):
        Words("(dog").search("(dog")


@pytest.mark.parametrize(
    ("text", "found"),
    [("red40", True), ("red 40", True), ("Red #40", True), ("red\n# 40", True), ("red", False)],
)
def test_a_space_with_a_question_mark_is_any_or_none(text: str, found: bool) -> None:
    assert bool(pattern(r"\bred ?(?:# ?)?\d+\b").search(text)) is found
