"""The shares that a label allows, for people: the object of `shares --format json` as tables."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import chain
from typing import Any, TextIO

from panellint.core.numbers import number
from panellint.core.phrases import listed
from panellint.output.console import Page, figure
from panellint.output.render_options import CAUTION, RenderOptions

Data = Mapping[str, Any]

#: The widest bar, the narrowest, and what the other columns of its table need at the least.
_BAR, _SHORT_BAR, _OTHERS = 22, 8, 50
_VERDICTS = {
    "refuted": "refuted: no formula that fits the label keeps it",
    "implied": "kept by every formula that fits the label",
    "open": "open: some formulas keep it, others do not",
}
#: Premises on what ingredients hold; they stand in no choice.
_LITERATURE = frozenset({"composition", "composition (composed)"})
#: What a premise takes for true, in a few words.
_TAKEN = {
    "order": "the list is in descending order by weight",
    "groups": "a list in brackets makes up its group, with rank and order where the market has it",
    "percentages": "printed percentages are right to half a unit of their last digit",
    "tail": "members of a “2 % or less” tail keep to their cap",
    "water": "only water leaves or enters, as much as the form allows",
    "guarantees": "the guarantees are kept",
    "composition": "ingredients lie within the ranges of the catalogue (literature values)",
    "composition (composed)": "ranges worked out from the parts of a name hold (in no table)",
    "name": "the name keeps its promise",
    "practice": "guarantees are near the truth and small ingredients at usual levels",
}


def write(
    data: Data,
    stream: TextIO,
    look: RenderOptions,
    *,
    proofs: bool = False,
    of: Collection[str] = (),
) -> None:
    """The page of one label; `proofs` adds the proof of every bound and verdict, `of` those of
    the bounds of the ingredients so called (in small letters)."""
    page = Page(stream, look)
    page.title(data["path"])
    if not data["consistent"]:
        _clash(page, data)
    elif not data["ingredients"]:
        page.line("There is no list of ingredients.", 0)
    else:
        _ingredients(page, data["ingredients"])
        _fresh(page, data["ingredients"])
        _families(page, data["families"])
        _promises(page, data["promises"], proofs)
        asked = [one for one in data["ingredients"] if proofs or one["name"].casefold() in of]
        if asked:
            _proofs(page, asked)
    page.section("Premises")
    _premises(page, data)
    for note in data["notes"]:
        page.line(note)
    page.section("Caution")
    page.line(CAUTION)


def _clash(page: Page, data: Data) -> None:
    page.section("No formula fits this label")
    premises = {line["premise"] for line in data["clash"]}
    page.line(
        "The label, or the ranges of the catalogue, cannot be right: these cannot all be true."
        if not _LITERATURE.isdisjoint(premises)
        else "The label contradicts itself: these cannot all be true."
    )
    page.line("")
    rows = [[line["words"], line["premise"]] for line in data["clash"]]
    page.table(["", "from"], rows)
    page.line("Leave any one of them out, and some formula fits the others.")


def _ingredients(page: Page, ingredients: Sequence[Data]) -> None:
    page.section("Shares of the mix, in percent")
    marks = _marks(ingredients)
    most = max(one["high"] for one in ingredients)
    cells = max(_SHORT_BAR, min(_BAR, page.width - _OTHERS))
    rows, group = [], None
    for one in ingredients:
        inside = len(one["path"]) > 1
        if inside and one["group"] != group:
            rows.append([one["group"], *[""] * 5])
        group = one["group"]
        rows.append(
            [
                "  " * inside + one["name"] + (" (the rest)" * one["rest"]),
                figure(one["low"]),
                figure(one["high"]),
                page.stretch(one["low"], one["high"], most, cells, one["estimate"]),
                figure(one["estimate"]),
                marks[tuple(one["rests_on"])],
            ]
        )
    heads = ["", "least", "most", f"0 to {number(most)} %", "about", "by"]
    page.table(heads, rows, right=(1, 2, 3, 4))
    for premises, mark in marks.items():
        page.line(f"{mark}  {', '.join(premises) or 'holds of any formula'}")
    dot = "o" if page.plain else "●"
    page.line(
        f"Least and most are proven from what stands under “by”. “About” ({dot}) is the middle "
        "of the formulas that fit: an estimate, and no proof."
    )


def _marks(ingredients: Sequence[Data]) -> dict[tuple[str, ...], str]:
    """A letter for each set of premises, in the order in which they are met."""
    sets = dict.fromkeys(tuple(one["rests_on"]) for one in ingredients)
    return {premises: f"({chr(ord('a') + at % 26)})" for at, premises in enumerate(sets)}


def _fresh(page: Page, ingredients: Sequence[Data]) -> None:
    fresh = [(at, one) for at, one in enumerate(ingredients, 1) if one["rank_without_water"]]
    if not fresh:
        return
    page.section("Fresh meat and fish once the water is out of everything")
    rows = []
    for at, one in fresh:
        rank = one["rank_without_water"]
        rows.append([one["name"], str(at), _place(rank), str(rank["of"])])
    page.table(["", "printed place", "by dry matter", "of"], rows, right=(1, 2, 3))


def _place(rank: Data) -> str:
    best, worst = rank["best"], rank["worst"]
    return str(best) if best == worst else f"{best} to {worst}"


def _families(page: Page, families: Sequence[Data]) -> None:
    if not families:
        return
    page.section("Families declared as several ingredients")
    rows = [
        [
            one["family"],
            ", ".join(one["members"]),
            figure(one["low"]),
            figure(one["high"]),
            _place(one["rank_as_one"]),
        ]
        for one in families
    ]
    page.table(["", "declared as", "least", "most", "place as one"], rows, right=(2, 3, 4))


def _promises(page: Page, promises: Sequence[Data], proofs: bool) -> None:
    if not promises:
        return
    page.section("What the name promises")
    for promise in promises:
        page.line(f"“{promise['text']}” ({promise['tier']}): {_VERDICTS[promise['verdict']]}.")
        rows = [
            [
                one["of"],
                f"{'at most' if one['bound'] == 'max' else 'at least'} {number(one['needs'])}",
                f"{figure(one['low'])} to {figure(one['high'])}",
                one["base"],
                one["verdict"],
            ]
            for one in promise["conditions"]
        ]
        if rows:
            page.table(["", "asked, %", "can be, %", "of", "alone"], rows)
        if promise["proof"] and (proofs or promise["verdict"] != "open"):
            page.line(f"Because ({listed(promise['rests_on'])}):")
            for sentence in promise["proof"]:
                page.line(sentence, 4)


def _proofs(page: Page, ingredients: Sequence[Data]) -> None:
    page.section("Proofs")
    for one in ingredients:
        for end, words in (("low", "at least"), ("high", "at most")):
            if not one["proof"][end]:
                continue
            page.line(f"{one['name']}, {words} {figure(one[end])} %:")
            for sentence in one["proof"][end]:
                page.line(sentence, 4)


def _premises(page: Page, data: Data) -> None:
    used = set(chain.from_iterable(_all_premises(data)))
    for premise in data["premises"]:
        page.line(f"{premise}: {_TAKEN[premise]}.")
    for premise in sorted(_LITERATURE & used):
        page.line(f"{premise}: {_TAKEN[premise]}; wherever guarantees or water are used.")
    if data["premises_left_out"]:
        page.line(f"Left out: {listed(data['premises_left_out'])}.")


def _all_premises(data: Data) -> Iterator[Sequence[str]]:
    yield from (one["rests_on"] for one in data["ingredients"])
    yield from (one["rests_on"] for one in data["promises"])
    yield [line["premise"] for line in data["clash"]]
