"""Several foods in one text: the varieties of a pack, each with a list of its own.

Each list has a heading with the name of its food beside it ("mit Rind: Zusammensetzung: ...") or on
the line above, or stands on a line behind the name; or a sheet has a food a row or a column. What
stands before the first of them and behind the last is of every food.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from itertools import chain, pairwise
from typing import NamedTuple

from panellint.core.source import Source, Span
from panellint.core.text import fold
from panellint.label.blocks import IsName
from panellint.label.columns import products, varieties
from panellint.label.evidence import names_ingredient
from panellint.label.headings import headings_in
from panellint.label.statements import statement_kind
from panellint.rulepacks.data import data

_SIGNS = " \t:–—-•*|#"
#: What stands in a list or a sentence, and in no name above one.
_LISTS = re.compile(r"[:;,.%]")
#: A food's list on a line, behind its name; an entry without figure and bracket.
_VARIETY = re.compile(
    r"(?<=\n)[ \t•·*–-]*+(?P<name>[^\s:;,.%()][^\n:;,.%()]{2,59}):(?P<list>[^\n:]++)(?=\n|\Z)"
)
_PLAIN = re.compile(r"(?<![(\w])[^\W\d_][^\d,;()%]*[^\W\d_](?![\w)])")
_WORD = re.compile(r"[^\W\d_]+")


class Food(NamedTuple):
    """A food of several: its name, the text without the other foods, and that without its name."""

    name: Span
    page: Source
    nameless: Source


def foods_in(source: Source, page: Source, is_name: IsName) -> tuple[Food, ...]:
    """Returns the foods of a text that holds several, else nothing. `page` is the text without
    markup, in which they are looked for."""
    text, folded = page.text, page.text.lower()
    given = data("words/foods")
    # Each food is read with all that is of every food: time grows with the square of their number.
    if 1 < len(rows := list(products(page))) <= given["most"]:
        return _foods(source, [cells for cells, _ in rows], [(name, name) for _, name in rows])
    columns = list(varieties(page))
    titles = [name for _, words in columns if (name := _name(text, words, is_name))]
    if 1 < len(columns) == len(titles) <= given["most"]:
        return _foods(source, [cells for cells, _ in columns], [(name, name) for name in titles])
    if 1 < len(lists := _beside_names(page, is_name)) <= given["most"]:
        return _foods(source, [[line] for line, _, _ in lists], [names for _, *names in lists])
    for word in given["lists"]:
        is_several = 1 < folded.count(word) <= given["most"]
        places = list(_places(page, word)) if is_several else []
        beside = [_beside(page, place) for place in places]
        names = [name for words in beside if (name := _name(text, words, is_name))]
        if 1 < len(places) == len({fold(source.slice(name)) for name in names}):
            starts = [text.rfind("\n", 0, name.start) + 1 for name in names]
            parts = [Span(*ends) for ends in pairwise([*starts, _end(page, places, starts[-1])])]
            return _foods(source, [[part] for part in parts], list(zip(names, beside, strict=True)))
    return ()


def _foods(
    source: Source, parts: Sequence[Sequence[Span]], names: Sequence[Sequence[Span]]
) -> tuple[Food, ...]:
    """Returns the foods of parts of a text, from each one's name and the words around it."""
    pages = (source.blanked(chain(*(p for p in parts if p is not part))) for part in parts)
    return tuple(
        Food(name, page, page.blanked([words]))
        for (name, words), page in zip(names, pages, strict=True)
    )


def _beside_names(page: Source, is_name: IsName) -> list[tuple[Span, Span, Span]]:
    """Returns the lists on lines below one another, each behind its food's name ("With salmon:
    ..."), with the name and the words up to the list; nothing where they have little in common, as
    the lists of a food's parts."""
    given = data("words/blocks")["lengths"]
    lists: list[tuple[Span, Span, Span]] = []
    entries: list[set[str]] = []
    for line in _VARIETY.finditer(page.text):
        if line["list"].count(",") < given["food-commas"]:
            continue
        if lists and page.text[lists[-1][0].end : line.start()].strip():
            if len(lists) > 1:
                break
            lists, entries = [], []
        if name := _name(page.text, Span(*line.span("name")), is_name):
            lists.append((Span(*line.span()), name, Span(name.start, line.start("list"))))
            entries.append({fold(each) for each in _PLAIN.findall(line["list"])})
    shared = set.intersection(*entries) if entries else set()
    return lists if entries and 2 * len(shared) > max(map(len, entries)) else []


def _places(page: Source, word: str) -> Iterator[re.Match[str]]:
    """Yields the headings of lists; what stands before one is a name, or that and a type of feed
    ("1) Carob Biscuits – complementary pet food. Composition: ...")."""
    for place in _list_heading(word).finditer(page.text):
        if not place["type"] or statement_kind(page, Span(*place.span("type")), "") == "adequacy":
            yield place


@cache
def _list_heading(word: str) -> re.Pattern[str]:
    """Returns what finds the heading of a list with the words before and behind it on its line."""
    return re.compile(
        r"^(?:\d{1,2}[.)][ \t]+)?(?P<lead>(?:[^\n:;.%()]{0,60}?\.?[ \t:–—-]+)?)"
        rf"(?P<type>(?:(?<=[–—:-][ \t])[^\n:;.%()]{{8,80}}\.[ \t]+)?)(?<!\w){word}(?!\w)"
        r"(?:(?P<tail>[ \t][^\n:;,.%()]{0,40})?[ \t]*:|[ \t]*$)",
        re.IGNORECASE | re.MULTILINE,
    )


def _beside(page: Source, heading: re.Match[str]) -> Span:
    """Returns where the words beside a heading stand, else the line above it; the statement of a
    food's own type may stand between."""
    text, end = page.text, len(page.text[: heading.start()].rstrip())
    lead = (heading["lead"] or "").rstrip(f"{_SIGNS}.")  # "With duck. Composition: ..."
    start = heading.start("lead")
    tail = Span(*heading.span("tail")) if (heading["tail"] or "").strip() else None
    parts = (part for part in (Span(start, start + len(lead)) if lead else None, tail) if part)
    above = Span(text.rfind("\n", 0, end) + 1, end)
    if statement_kind(page, above, "untitled") == "adequacy":
        end = len(text[: above.start].rstrip())
        above = Span(text.rfind("\n", 0, end) + 1, end)
    return next(parts, above)


def _name(text: str, words: Span, is_name: IsName) -> Span | None:
    """Returns the name of a food among the words beside its list; None where no ingredient is."""
    printed, most = text[words.start : words.end], data("words/blocks")["lengths"]["food-words"]
    name = printed.strip(_SIGNS)
    if (
        len(_WORD.findall(printed)) > most
        or _LISTS.search(name)
        or not names_ingredient(printed, is_name)
    ):
        return None
    start = words.start + len(printed) - len(printed.lstrip(_SIGNS))
    return Span(start, start + len(name))


def _end(source: Source, places: list[re.Match[str]], last: int) -> int:
    """Returns where the last food ends: before a line of a kind that the food before it has none
    of, and behind a blank line before one of no kind."""
    before = {kind for start, kind in _kinds(source) if places[-2].end() < start < last}
    for start, kind in _kinds(source):
        if start > places[-1].end() and kind not in before:
            return start
    return len(source.text)


def _kinds(source: Source) -> Iterable[tuple[int, str]]:
    """Yields the start and the kind of each line but those that go on; "" behind a blank line."""
    for above, line in pairwise((Span(0, 0), *source.lines())):
        if source.slice(line).strip():
            heading = headings_in(source.text, line)[0]
            kind = heading.kind if heading else statement_kind(source, line, "untitled")
            if kind or not source.slice(above).strip():
                yield line.start, kind or ""
