"""Words as packs write them: number, spacing, hyphens, quotes, and the four signs."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panellint.core.wording import LINEAR, Wording, phrase_expression, regex


@pytest.mark.parametrize(
    ("phrase", "found", "not_found"),
    [
        ("complete and balanced", ["Complete & Balanced", "complete-and  balanced"], ["complete"]),
        ("100 % complete", ["100% complete", "100 % Complete"], ["1100% complete"]),
        ("grain by-product", ["grain byproducts", "GRAIN BY PRODUCT", "grain by‑products"], []),
        ("berries", ["berry", "berries"], ["blackberry"]),
        ("box", ["box", "boxes"], ["boxer"]),
        ("potato", ["potato", "potatoes"], ["potatoe"]),
        ("glass", ["glass", "glasses"], ["gla"]),
        ("# lb", ["5 lb", "5lbs", "2.5 lb", "1,200 lb"], ["lb", "5 lbx"]),
        ("d#", ["D3"], ["d", "d3a"]),
        ("preserv*", ["preserved", "preservatives"], ["unpreserved"]),
        ("*calciferol", ["cholecalciferol", "calciferol"], ["calciferolx"]),
        ("cures ... pain", ["cures pain", "cures all kinds of pain"], ["cures. A pain"]),
        ("cures ... pain", [], ["cures all these many kinds of pain"]),
        ("dog|cat food (only)", ["dog foods", "cat food only"], ["dogs food"]),
        ("(really) (very) good", ["good", "very good", "really very good"], ["really very"]),
        ("(100 %) complete", ["complete", "100% complete"], ["incomplete"]),
        ("dog's choice", ["dog’s choice", "dog's choices"], ["dogs choice"]),
        ("feed # (to #) cups", ["feed 1 cup", "feed 1 to 2 cups"], ["feed cups"]),
    ],
)
def test_a_phrase_is_found_as_it_may_be_printed(
    phrase: str, found: list[str], not_found: list[str]
) -> None:
    words = Wording([phrase])
    for text in found:
        match = words.search(f"so: {text}.")
        assert match is not None, text
        assert match.group() == text or phrase.startswith("feed")
    for text in not_found:
        assert words.search(f"so: {text}.") is None, text


def test_a_mapping_says_more() -> None:
    new = Wording([{"words": "new", "not-before": ["zealand", "england potato"]}])
    assert new.search("new recipe")
    assert not new.search("New  Zealand lamb")
    assert not new.search("new-england potatoes")
    lean = Wording({"exact": ["lean"], "not-after": ["not", "never so"]})
    assert lean.search("so lean")
    assert not lean.search("leans")
    assert not lean.search("not lean, never so lean")
    assert Wording({"regex": "x+ y"}).search("XX   y")


def test_no_words_are_found_nowhere() -> None:
    assert Wording([]).search("anything") is None
    assert regex().search("") is None


@pytest.mark.parametrize(
    ("text", "found"),
    [("red40", True), ("red 40", True), ("Red #40", True), ("red\n# 40", True), ("red", False)],
)
def test_a_space_with_a_question_mark_in_an_expression_is_any_or_none(
    text: str, found: bool
) -> None:
    assert bool(regex("red ?#? ?40").search(text)) is found


@pytest.mark.parametrize("phrase", ["complete (and", "balanced)", "", "  "])
def test_a_phrase_with_faulty_brackets_or_without_words_is_refused(phrase: str) -> None:
    with pytest.raises(ValueError, match=r"bracket|no words"):
        phrase_expression(phrase)


@given(st.lists(st.text(st.characters(categories=["L"]), min_size=1, max_size=8), min_size=1))
def test_a_plain_phrase_is_found_in_itself_whatever_its_case_and_spacing(words: list[str]) -> None:
    words = [word for word in words if word.lower() == word.casefold() and word != "and"]
    if words:
        search = Wording(" ".join(words))
        assert search.fullmatch("  ".join(words))
        assert search.fullmatch("-".join(words))


@given(st.text(max_size=30))
def test_any_phrase_is_an_expression_or_refused(phrase: str) -> None:
    try:
        re.compile(phrase_expression(phrase))
    except ValueError as error:
        assert "bracket" in str(error) or str(error) == "no words"  # noqa: PT017


_PIECES = st.sampled_from(
    "diet|diets food|feed #  % (really) and ... * preserv* by-product berries dog's ışk vitamin|# "
    "fully (more|less) İl los-nr l-carnitine by es l'os de* *ol L.I.D".split(" ")
)


@given(st.lists(st.lists(_PIECES, min_size=1, max_size=4), min_size=1, max_size=3), st.data())
def test_what_is_not_compiled_would_find_nothing(
    phrases: list[list[str]], data: st.DataObject
) -> None:
    words = Wording([text for pieces in phrases if (text := " ".join(pieces)).strip()])
    taken = data.draw(st.lists(st.sampled_from([piece for one in phrases for piece in one])))
    text = re.sub(r"[()*]|\|\w*", "", "  ".join(taken)).replace("#", "7").replace("...", "x y")
    texts = text, text.upper(), text.replace(" and ", " & ").replace("ies", "y")
    for printed in (*texts, text.replace("-", ""), text.replace("by", "bies").replace("es", "e")):
        there = words.compiled().search(printed)
        found = Wording(words._given).search(printed)
        assert (found and found.span()) == (there and there.span())


SIMPLE = st.lists(
    st.sampled_from(["a", "b+", "[ab]", "a|b", "(?:ab)*", "c?", "ab "]), min_size=1, max_size=4
).map("".join)


@given(SIMPLE, st.text("abc ", max_size=30))
def test_a_linear_search_finds_the_first_place_that_re_finds(expression: str, text: str) -> None:
    linear = Wording([{LINEAR: expression}]).search(text)
    usual = regex(expression).search(text)
    assert (linear is None) == (usual is None)
    if linear is not None and usual is not None:
        assert linear.start() == usual.start()


def test_a_linear_search_stands_beside_phrases() -> None:
    words = Wording(["oat bran", {LINEAR: r"o(a|at)+s?\b"}])
    found = [match.group() for match in words.finditer("Oatats, ÖL, oat  bran, oats")]
    assert found == ["Oatats", "oat  bran", "oats"]
    assert words.fullmatch("oats")
    assert not words.fullmatch("oats,")
    assert words.match("x oats", 2).group() == "oats"


def test_a_linear_search_ends_where_another_does_not() -> None:
    assert Wording([{LINEAR: "(a+)+$"}]).search("a" * 50_000 + "!") is None


def test_expressions_beside_phrases_are_looked_for_in_any_text() -> None:
    given = [{"regex": r"\d+ kcal"}, "oat bran", {"words": "rice", "regex": "dogs? only"}]
    for printed, there in {
        "for dogs only": "dogs only",
        "oat bran and 3 kcal": "oat bran",
        "3 KCAL, rice": "3 KCAL",
        "barley": None,
    }.items():
        found = Wording(given).search(printed)
        assert (found and found.group()) == there
        assert not Wording(given).is_phrases
