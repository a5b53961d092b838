"""The shares that a label allows, for people: the object of `shares --format json` as tables."""

from collections.abc import Collection, Iterator, Sequence
from itertools import chain

from panellint.core.numbers import number
from panellint.core.phrases import listed
from panellint.core.text import is_plural
from panellint.output.document import (
    Bar,
    Block,
    Cell,
    Heading,
    Paragraph,
    caution,
    figure,
    likely_words,
    table,
)
from panellint.results import shares as shapes
from panellint.results.likely import LikelyRange
from panellint.rulepacks.data import data as words_of

#: How many entries are described in a sentence: the first make up most of a food.
_FIRST = 3
#: Below this a least share prints as 0.0.
_LEAST_PRINTED = 0.05
#: By how many points a proven end has to miss the declared figure for both to be told.
_LOOSE = 1
_SENSES = {"min": "at least", "max": "at most"}
_VERDICTS = {
    "refuted": "refuted: no formula that fits the label keeps it",
    "implied": "kept by every formula that fits the label",
    "open": "open: some formulas keep it, others do not",
}
#: Premises on what ingredients hold; they stand in no choice.
_LITERATURE = frozenset({"composition", "composition (composed)"})


def view(data: shapes.Shares, *, proofs: bool = False, of: Collection[str] = ()) -> Iterator[Block]:
    """Yields the shares of one label; `proofs` adds the proof of every bound and verdict, `of`
    those of the bounds of the ingredients of these names (in small letters)."""
    yield Heading(1, data["path"])
    if not data["consistent"]:
        yield from _clash(data)
    elif not data["ingredients"]:
        yield Paragraph("There is no list of ingredients.", indent=0)
    else:
        yield from _ingredients(data["ingredients"])
        yield from _fresh(data["ingredients"])
        yield from _families(data["families"])
        yield from _promises(data["promises"], proofs)
        asked = [row for row in data["ingredients"] if proofs or row["name"].casefold() in of]
        if asked:
            yield from _proofs(asked)
    yield Heading(2, "Premises")
    yield from _premises(data)
    yield from map(Paragraph, data["notes"])
    yield from caution()


def _clash(data: shapes.Shares) -> Iterator[Block]:
    yield Heading(2, "No formula fits this label")
    premises = {line["premise"] for line in data["clash"]}
    yield Paragraph(
        "The label, or the ranges of the catalogue, cannot be right: these cannot all be true."
        if not _LITERATURE.isdisjoint(premises)
        else "The label contradicts itself: these cannot all be true."
    )
    rows = [[line["words"], line["premise"]] for line in data["clash"]]
    yield table(("", "from"), rows, ())
    yield Paragraph("Leave any one of them out, and some formula fits the others.")


def _ingredients(ingredients: Sequence[shapes.ShareData]) -> Iterator[Block]:
    yield Heading(2, "Shares of the mix, in percent")
    marks = _marks(ingredients)
    most = max(row["high"] for row in ingredients)
    for share in ingredients[:_FIRST]:
        # A share that a percentage pins down needs no sentence.
        if share["likely"] is not None and share["high"] - share["low"] >= 1:
            ends = share["low"], share["high"]
            yield Paragraph(_sentence(share["name"], share["likely"], *ends))
    rows: list[list[Cell]] = []
    group = None
    for share in ingredients:
        inside = len(share["path"]) > 1
        if inside and share["group"] != group:
            rows.append([share["group"] or "", *[""] * 6])
        group = share["group"]
        name = "  " * inside + share["name"] + " (the rest)" * share["rest"]
        figures = map(figure, (share["estimate"], share["low"], share["high"]))
        bar = Bar(share["low"], share["high"], most, share["estimate"])
        mark = marks[tuple(share["rests_on"])]
        rows.append([name, likely_words(share["likely"]), *figures, bar, mark])
    heads = ["", "likely", "about", "least", "most", f"0 to {number(most)} %", "by"]
    yield table(heads, rows, (1, 2, 3, 4))
    for premises, mark in marks.items():
        yield Paragraph(f"{mark}  {', '.join(premises) or 'holds of any formula'}")
    yield Paragraph(
        "Likely: nine of ten foods with such a label, about (┃) their middle; an estimate, and "
        "no proof. Least and most are proven from what stands under “by”."
    )
    declared = [
        f"{share['name']} {number(round(told['low'], 2))} to {number(round(told['high'], 2))} %"
        for share in ingredients
        if (told := share["declared"])
        and (share["low"] < told["low"] - _LOOSE or share["high"] > told["high"] + _LOOSE)
    ]
    if declared:
        yield Paragraph(
            f"As the label declares it, of the food: {listed(declared)}. Of the mix it can be "
            "another part: by the weight as mixed, or as dry as the finished food."
        )


def _sentence(name: str, likely: LikelyRange, low: float, high: float) -> str:
    """Returns such as "Beef is probably between 22 and 41 % of the mix; the label alone proves at
    least 5 %."; `low` and `high` are what is proven."""
    verb = "are" if is_plural(name) else "is"
    low_end, high_end = (number(round(likely[end])) for end in ("low", "high"))
    ends = f"about {high_end}" if low_end == high_end else f"between {low_end} and {high_end}"
    if high >= 100:
        proven = f"at least {figure(low)} %" if low >= _LEAST_PRINTED else "nothing"
    elif low < _LEAST_PRINTED:
        proven = f"at most {figure(high)} %"
    else:
        proven = f"{figure(low)} to {figure(high)} %"
    return f"{name} {verb} probably {ends} % of the mix; the label alone proves {proven}."


def _marks(ingredients: Sequence[shapes.ShareData]) -> dict[tuple[str, ...], str]:
    """Returns a letter for each set of premises, in the order in which they are met."""
    sets = dict.fromkeys(tuple(ingredient["rests_on"]) for ingredient in ingredients)
    return {premises: f"({chr(ord('a') + at % 26)})" for at, premises in enumerate(sets)}


def _fresh(ingredients: Sequence[shapes.ShareData]) -> Iterator[Block]:
    rows = [
        [ingredient["name"], str(at), _place(rank), str(rank["of"])]
        for at, ingredient in enumerate(ingredients, 1)
        if (rank := ingredient["rank_without_water"])
    ]
    if not rows:
        return
    yield Heading(2, "Fresh meat and fish once the water is out of everything")
    yield table(("", "printed place", "by dry matter", "of"), rows)


def _place(rank: shapes.RankData) -> str:
    best, worst = rank["best"], rank["worst"]
    return str(best) if best == worst else f"{best} to {worst}"


def _families(families: Sequence[shapes.FamilyData]) -> Iterator[Block]:
    if not families:
        return
    yield Heading(2, "Families declared as several ingredients")
    rows = []
    for family in families:
        ends, place = map(figure, (family["low"], family["high"])), _place(family["rank_as_one"])
        rows.append([family["family"], ", ".join(family["members"]), *ends, place])
    yield table(("", "declared as", "least", "most", "place as one"), rows, (2, 3, 4))


def _promises(promises: Sequence[shapes.JudgedPromise], proofs: bool) -> Iterator[Block]:
    if not promises:
        return
    yield Heading(2, "What the name promises")
    for promise in promises:
        yield Paragraph(
            f"“{promise['text']}” ({promise['tier']}): {_VERDICTS[promise['verdict']]}."
        )
        if promise["likely"] and promise["verdict"] == "open":
            kept = round(10 * promise["likely"]["kept"])
            words = {0: "hardly any", 10: "nearly all"}.get(kept, f"about {kept} of 10")
            yield Paragraph(f"Kept by {words} foods with such a label: an estimate, no verdict.")
        rows = [
            [
                condition["of"],
                f"{_SENSES[condition['bound']]} {number(condition['needs'])}",
                f"{figure(condition['low'])} to {figure(condition['high'])}",
                condition["base"],
                condition["verdict"],
            ]
            for condition in promise["conditions"]
        ]
        if rows:
            yield table(("", "asked, %", "can be, %", "of", "alone"), rows, ())
        if promise["proof"] and (proofs or promise["verdict"] != "open"):
            yield Paragraph(f"Because ({listed(promise['rests_on'])}):")
            for sentence in promise["proof"]:
                yield Paragraph(sentence, indent=4)


def _proofs(ingredients: Sequence[shapes.ShareData]) -> Iterator[Block]:
    yield Heading(2, "Proofs")
    for ingredient in ingredients:
        for words, bound, sentences in (
            ("at least", ingredient["low"], ingredient["proof"]["low"]),
            ("at most", ingredient["high"], ingredient["proof"]["high"]),
        ):
            if sentences:
                yield Paragraph(f"{ingredient['name']}, {words} {figure(bound)} %:")
            for sentence in sentences:
                yield Paragraph(sentence, indent=4)


def _premises(data: shapes.Shares) -> Iterator[Block]:
    used = set(chain.from_iterable(_all_premises(data)))
    taken = words_of("words/reading")["taken"]
    for premise in data["premises"]:
        yield Paragraph(f"{premise}: {taken[premise]}.")
    for premise in sorted(_LITERATURE & used):
        yield Paragraph(f"{premise}: {taken[premise]}; wherever guarantees or water are used.")
    if data["premises_left_out"]:
        yield Paragraph(f"Left out: {listed(data['premises_left_out'])}.")


def _all_premises(data: shapes.Shares) -> Iterator[Sequence[str]]:
    yield from (ingredient["rests_on"] for ingredient in data["ingredients"])
    yield from (promise["rests_on"] for promise in data["promises"])
    yield [line["premise"] for line in data["clash"]]
