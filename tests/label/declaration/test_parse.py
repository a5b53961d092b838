"""The declaration's tree, against trees written by hand, and laws that hold for any text."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panellint.core.source import Source
from panellint.label.declaration.parse import parse
from panellint.label.model import Bound, Bracket, Entry
from panellint.label.reader import read_label

CASES = Path(__file__).with_name("declarations.txt")


def cases() -> Iterator[tuple[str, str]]:
    _, *parts = CASES.read_text(encoding="utf-8").split("\n.\n")
    yield from zip(parts[::2], parts[1::2], strict=False)


def rendered(text: str) -> str:
    label = read_label(Source(f"Ingredients: {text}\n"))
    lines = [line for entry in label.declaration for line in _entry(entry, "")]
    lines += [f"footnote {note.mark or '-'} {note.text}" for note in label.footnotes]
    lines += [f"fault {fault.kind} {label.source.slice(fault.span)}" for fault in label.faults]
    return "\n".join(lines)


def _entry(entry: Entry, indent: str) -> Iterator[str]:
    said = [f"{p.value} {p.bound.value} {p.of.value}" for p in entry.percents]
    said += [f"mark {mark.text}" for mark in entry.marks]
    said += [f"at most {entry.at_most}"] if entry.at_most is not None else []
    said += ["any of"] if entry.any_of else []
    said += entry.trailing
    yield f"{indent}{entry.name or '-'}" + "".join(f" [{words}]" for words in said)
    for bracket in entry.brackets:
        yield from _bracket(bracket, indent + "  ")


def _bracket(bracket: Bracket, indent: str) -> Iterator[str]:
    yield (
        indent
        + bracket.opener
        + (" partial" if bracket.partial else "")
        + (" any of" if bracket.any_of else "")
    )
    for entry in bracket.entries:
        yield from _entry(entry, indent)


@pytest.mark.parametrize(("text", "tree"), list(cases()))
def test_tree(text: str, tree: str) -> None:
    assert rendered(text) == tree


def all_entries(entries: tuple[Entry, ...]) -> Iterator[Entry]:
    for entry in entries:
        yield entry
        for bracket in entry.brackets:
            yield from all_entries(bracket.entries)


LABELS = st.text(
    st.sampled_from(list("ab Z\t\n\r,;:.()[]{}%*†0123456789-/&®“”\u00a0\u200f½é🐟•")), max_size=80
)


@given(st.one_of(st.text(max_size=80), LABELS))
def test_any_text_is_read_and_spans_lie_inside(text: str) -> None:
    found = parse(text)
    for entry in all_entries(found.entries):
        assert 0 <= entry.span.start <= entry.span.end <= len(text)
        for word in entry.words:
            assert text[word.start : word.end].strip()
        for percent in entry.percents:
            assert text[percent.span.start : percent.span.end].rstrip(" minaxIMUu.")[-1] in "%tT"
    for fault in found.faults:
        assert 0 <= fault.span.start <= fault.span.end <= len(text)


@given(LABELS)
def test_the_words_of_a_name_are_the_printed_words(text: str) -> None:
    for entry in all_entries(parse(text).entries):
        printed = " ".join(text[word.start : word.end] for word in entry.words)
        plain = printed.replace("\u200f", "").replace("-\r\n", "-").replace("-\n", "-")
        assert "".join(entry.name.split()) == "".join(plain.replace("-\r", "-").split())


@given(LABELS)
def test_line_ends_do_not_change_the_tree(text: str) -> None:
    plain = text.replace("\r", " ")
    assert rendered(plain) == rendered(plain.replace("\n", "\r\n")).replace("\r\n", "\n")


NAMES = st.from_regex(r"[a-z]{3,8}( [a-z]{4,8}){0,2}", fullmatch=True).filter(
    lambda name: (
        not set(name.split()) & {"and", "und", "plus", "oder", "per", "min", "mln", "max", "dont"}
    )
)


@st.composite
def trees(draw: st.DrawFn, depth: int = 2) -> tuple[str, list[object]]:
    """A printed declaration and the names that it holds, nested."""
    printed, names = [], []
    for name in draw(st.lists(NAMES, min_size=1, max_size=4)):
        figure = draw(st.sampled_from(["", " 4 %", " (12.5%)", "*"]))
        inner, below = draw(trees(depth - 1)) if depth and draw(st.booleans()) else ("", [])
        opener, closer = draw(st.sampled_from(["()", "[]", "{}"]))
        printed.append(name + figure + (f" {opener}{inner}{closer}" if inner else ""))
        names.append([name, below])
    return draw(st.sampled_from([", ", "; ", " ,\n"])).join(printed), names


def names_of(entries: tuple[Entry, ...]) -> list[object]:
    return [
        [entry.name, [name for b in entry.brackets for name in names_of(b.entries)]]
        for entry in entries
    ]


@given(trees())
def test_a_printed_tree_reads_back_as_itself(tree: tuple[str, list[object]]) -> None:
    text, names = tree
    assert names_of(parse(text).entries) == names


@pytest.mark.parametrize(
    ("text", "kinds"),
    [
        ("(" * 50_000, {"unclosed-bracket", "deep-nesting"}),
        (")" * 50_000, {"surplus-bracket"}),
        ("a(" * 25_000 + "b" + ")" * 25_000, {"deep-nesting"}),
        ("([{" * 15_000, {"unclosed-bracket", "deep-nesting"}),
        ("", set()),
        ("\ud800\udfff, \ud800", set()),
        (", " * 25_000, set()),
    ],
)
def test_hostile_texts(text: str, kinds: set[str]) -> None:
    found = parse(text)
    assert {fault.kind for fault in found.faults} == kinds
    assert len(found.faults) <= 2


def test_a_line_of_two_hundred_thousand_characters() -> None:
    found = parse("chicken meal, " * 14_400)
    assert len(found.entries) == 14_400


@pytest.mark.parametrize("mark", ["✓", "✔", "•"])
def test_marks_before_entries_part_them(mark):
    label = read_label(Source(f"Ingredients:\n{mark} duck\n{mark} tapioca starch\n{mark} salt\n"))
    assert [entry.name for entry in label.declaration] == ["duck", "tapioca starch", "salt"]


def test_marks_before_claims_are_no_part_of_them():
    label = read_label(Source("Ingredients: duck\nClaims: ✓ Grain free ✓ No corn\n"))
    assert [claim for claim, _ in label.claims] == ["Grain free", "No corn"]


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("Rice, St. John's Wort, salt", ["Rice", "St. John's Wort", "salt"]),
        ("oats, E. Faecium, 2 % B. Subtilis", ["oats", "E. Faecium", "B. Subtilis"]),
        ("corn No. 2 Yellow, Yucca spp. Extract", ["corn No. 2 Yellow", "Yucca spp. Extract"]),
        ("poulet env. 12 %, hydrol. de foie", ["poulet env.", "hydrol. de foie"]),
        ("ROSEMARY EXT. (PRESERVATIVE), INCL. KELP", ["ROSEMARY EXT.", "KELP"]),
        ("Rosa canina var. alba, dried L. lactis ferm. prod., salt",
         ["Rosa canina var. alba", "dried L. lactis ferm. prod.", "salt"]),
        ("salt, rosemary ext. Made in our kitchen", ["salt", "rosemary ext"]),
        ("salt, vitamin E. Made in our kitchen", ["salt", "vitamin E"]),
    ],
)  # fmt: skip
def test_the_full_stop_of_an_abbreviation_ends_no_list(text: str, names: list[str]) -> None:
    assert [entry.name for entry in parse(text).entries] == names


@pytest.mark.parametrize(
    ("text", "shares"),
    [
        ("Lamm - 26 %, Reis = 4 %, Erbsen – 3 %", ["Lamm 26", "Reis 4", "Erbsen 3"]),
        ("Huhn: 8 % und Pute: 14 %, Reis", ["Huhn und Pute 8 14", "Reis"]),  # parted by `resolve`
        ("Getreide, Huhn und 4 % Pute", ["Getreide", "Huhn", "Pute 4"]),
        ("trota, 3 % cozza verde e 2,5 % tacchino", ["trota", "cozza verde 3", "tacchino 2.5"]),
        ("duck 26 % + eggs + tapioca 4 %", ["duck 26", "eggs", "tapioca 4"]),
        ("E 330, sel", ["E 330", "sel"]),
    ],
)
def test_each_name_has_its_own_share(text: str, shares: list[str]) -> None:
    read = [" ".join([e.name, *(str(p.value) for p in e.percents)]) for e in parse(text).entries]
    assert read == shares


@pytest.mark.parametrize("words", ["davon mind.", "dont min.", "di cui min.", "waarvan minstens"])
def test_a_bound_before_a_name_binds_its_figure(words: str) -> None:
    (meat,) = parse(f"Fleisch 65 % ({words}\nHuhn 4 %, Leber)").entries
    chicken, liver = meat.brackets[0].entries
    assert meat.brackets[0].partial
    assert (chicken.name, liver.name) == ("Huhn", "Leber")
    assert (chicken.percents[0].value, chicken.percents[0].bound) == (Decimal(4), Bound.MIN)
