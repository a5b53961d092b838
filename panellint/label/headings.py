"""The headings of a label's parts where they stand in its text (`rules/words/headings.yaml`)."""

import re
from collections.abc import Iterator
from functools import cache
from typing import NamedTuple

from panellint.core.source import Span
from panellint.core.text import fold
from panellint.label.additives import names_amount
from panellint.label.guarantees import names_nutrient
from panellint.label.kinds import kinds
from panellint.label.near_words import KnownWords
from panellint.label.vocabulary import vocabulary
from panellint.rulepacks.data import data, search

#: Words at the start of a line that may be a heading: up to a colon, or the whole line.
_HEADED = re.compile(r"[^\w(\[\n]*(?P<words>\w[\w|!'’ -]{5,38}?)[ \t]*(?P<end>:(?!\d)|$)")
#: Where a heading may begin: at the start of a line, or after the end of a sentence. There
#: it has a capital.
_AT_START = re.compile(r"[^\w(\[\n]*(?P<word>[^\W\d_]+)")
#: "The guaranteed analysis is crude protein 20% minimum".
_SAID = re.compile(r"[^\w(\[\n]*(?P<article>The|Our|Its|Their)[ \t]+(?P<word>[^\W\d_]+)")
_IS = re.compile(r"(?:[ \t]*\([^()\n]{0,80}\))?(?P<verb>(?:[ \t]+|(?<=[ \t]))(?:is|are)\b)")
_INSIDE = re.compile(r"(?P<ends>[.;!?%)\]|·•])[ \t](?:/[ \t])?(?P<word>[^\W\d_a-z][^\W\d_]*)")
#: In a line with a colon: behind any word, where headings of the small print follow one another.
_AMID = re.compile(
    r"(?:(?P<ends>[.;!?%)\]|·•:–—])[ \t](?:/[ \t])?|(?<=\S)[ \t]+)"
    r"(?P<word>[^\W\d_a-z][^\W\d_]*|(?<=,[ \t])[^\W\d_]+)"
)
#: A word behind a blank or a sign, and a code or a date behind the words for it; a time is none
#: ("use before 30 days").
_AFTER_SIGN = re.compile(r"(?<![^\s(/|·•,;–—-])(?P<word>[^\W\d_]+)")
_CODE = re.compile(r"[ \t.:#°]*(?P<code>(?:[A-Z]{1,4}[ /-]?)?\d(?!\d*[ -]?[a-zà-ÿ]{3}))")
_LETTERS = re.compile(r"[^\W\d_]+")
_SHORT_LINE = 160
#: So far a heading reaches, and a guarantee behind a sentence.
_AHEAD = 100
#: What stands between two words of a heading: it may go on in the next line.
_GAP = r"(?:[ \t\u00a0]+|[ \t\u00a0]*\r?\n[ \t\u00a0]*)"
#: Several headings on one line: "best before / batch number".
_JOINED = re.compile(
    r"[ \t]*(?:(?:[:：][ \t]*)?[/|–—-]|&|and|und|oraz|och|og|et|en|ja|[yeia])[ \t]*"
    r"(?=(?P<word>[^\W\d_]+))",
    re.IGNORECASE,
)
_AGAIN = re.compile(r"[:：][ \t]*(?=(?P<word>[^\W\d_]+))")
_AFTER = re.compile(
    r"(?P<note>[ \t]*\([^()\n]{0,80}\)|,[ \t]*[^\W\d_]+(?=[ \t]*[:：])"
    r"|[ \t]*\|[ \t]*(?:%|/[ \t]*kg)[ \t]*\|?(?=[ \t]*(?:\n|\Z)))?"
    r"(?:\.(?=[:：]))?(?:[ \t]*\r?\n(?=[ \t]*[:：]))?[ \t]*"
    r"(?P<mark>[:：]|[–—-](?=\s)|\.{2,}|…|(?<=\))\.(?=\s)|\?(?=[ \t]*(?:\r?\n|\Z)))?"
)
_ALONE = re.compile(r"[ \t]*(?:\r?\n|\Z)")
_COLONS = (":", "：")
#: In a mail a heading may be a question: "Full name?".
_ENDS = (*_COLONS, "?")
#: A heading with shortened words: "Analyt. Bestandteile:"; one behind another word for the same:
#: "Zutatenliste / Zusammensetzung:", "Das ist drin (Zusammensetzung):".
_SHORTENED = re.compile(r"[^\w(\[\n]*(?P<words>[^\W\d_][\w.'’ -]{2,60}?)[ \t]*(?=[:：])")
_SECOND = re.compile(
    r"[^\w(\[\n]*(?P<first>[^\W\d_][\w'’ -]{2,30}?)[ \t]*(?P<sign>[/(]|(?<=[ ])[–—-](?=[ ]))[ \t]*"
    r"(?=(?P<word>[^\W\d_]+))"
)
_CLOSED = re.compile(r"[ \t]*\)[ \t]*(?=[:：])")
#: "Feeding directions for puppies:", "Fütterungsempfehlung pro Tag:", "Questions? Call:".
_MORE = re.compile(r"(?:[ \t]+[^\W\d_](?:[^\W\d_]|[.'’-])*){1,3}[ \t]*(?=[:：])")
#: "Fütterungsempfehlung pro Tag" alone on its line.
_A_DAY = re.compile(
    r"[ \t]+(?:(?:per|a|pro|am|par|al|por|om)[ \t]+)[^\W\d_]{2,6}(?=[ \t]*(?:\r?\n|\Z))"
)
#: The cell behind a heading in a row of a sheet: "Product name;Trout", "| Name | Trout |", or one
#: that a tab or many blanks part from it.
_ROW = re.compile(r"(?:[ \t]*+[;|]|\t| {3,}+)(?=[ \t]*+[^\s;|:])")
_COUNTS = re.compile(r"\d|[<>~≈]")
#: The amount of feed behind a heading: "additives per kg", "(je kg)", "/kg", "per 100 g".
PER_WEIGHT = re.compile(
    r"(?<![ \t\u00a0])(?:[ \t\u00a0]*+\r?\n)?[ \t\u00a0]*+"
    r"(?:\(?(?:p[eao]r|au|al|je|pro?\.?|na|w|v)[ \t\u00a0]+(?:1[ \t]+)?|/[ \t]*)"
    r"(?:kg|kilo(?:gram(?:m[eo]?|o)?)?|100[ \t]?g(?:rams?)?)\b\)?",
    re.IGNORECASE,
)
#: The unit behind the heading of a dosage form: "Active ingredients per chew (4 g)".
_PER_UNIT = re.compile(
    r"[ \t]*\(?(?:per|in|par|pro|je|por|pr)[ \t][^:：\n]{2,40}(?=[:：\n]|$)", re.IGNORECASE
)


class Heading(NamedTuple):
    """A heading found in the text: its section kind and where its words stand."""

    kind: str
    words: Span
    after: int


@cache
def heading_kinds() -> dict[str, str]:
    """The headings that need no colon, folded, in every language, to their kinds of section."""
    kinds = vocabulary()["kinds"]
    return {words: kinds[words] for words in vocabulary()["plain"]}


@cache
def _near() -> KnownWords:
    return KnownWords(heading_kinds())


@cache
def _beginning_with(word: str) -> tuple[str, ...]:
    """The headings that begin with a word, the longest first."""
    phrases = vocabulary()["by-word"].get(word, ())
    return tuple(sorted(phrases, key=lambda phrase: (-len(phrase), phrase)))


@cache
def _as_printed(phrase: str) -> re.Pattern[str]:
    printed = re.escape(phrase).replace(r"\ ", _GAP).replace("'", "['’]")
    return re.compile(rf"{printed}(?!\w)", re.IGNORECASE)


def heading_kind(words: str) -> str:
    """Returns the kind of section that has a heading of these words. Raises KeyError for others."""
    kind: str = vocabulary()["kinds"][fold(words)]
    return kind


def phrase_at(text: str, word: str, start: int) -> re.Match[str] | None:
    """The longest heading that begins with a word, at its place in the text."""
    phrases = _beginning_with(word.lower())
    ahead = fold(text[start : start + _AHEAD]) if phrases else ""
    for phrase in phrases:
        # Few of them are ever compiled: all take 6 % of a cold start.
        if ahead.startswith(phrase) and (printed := _as_printed(phrase).match(text, start)):
            return printed
    return None


def headings_in(text: str, line: Span) -> tuple[Heading | None, list[Heading]]:
    """The heading at the start of a line, and those behind the sentences in it."""
    if not _may_head(text, line):
        return None, []
    first = _AT_START.match(text, line.start, line.end)
    at_start = _heading_at(text, first["word"], first.start("word"), True) if first else None
    match = _SAID.match(text, line.start, line.end) if at_start is None else None
    phrase = phrase_at(text, match["word"], match.start("word")) if match else None
    # "Ingredients are" is a heading too.
    stop = phrase.end() - len("are") * phrase.group().lower().endswith(" are") if phrase else 0
    verb = _IS.match(text, stop) if phrase else None
    if match and phrase and verb:
        kind = heading_kind(phrase.group())
        at_start = Heading(kind, Span(match.start("article"), verb.end()), verb.end())
    second = _behind_another(text, line)
    if at_start is None or (
        second
        and second.after > at_start.after
        # "Inhaltsstoffe im Überblick (Zusammensetzung): ..."
        and (second.kind == at_start.kind or text[second.words.end - 1] == ")")
    ):
        at_start = second if at_start else _shortened(text, line) or second
    inside = []
    after = at_start.after if at_start else line.start
    anywhere = text.find(":", after, line.end) >= 0
    joined = line.end - line.start > _SHORT_LINE
    for place in (_AMID if anywhere or joined else _INSIDE).finditer(text, line.start, line.end):
        listed = place["word"][0].islower()  # "..., ingredients: duck, ..., net wt 3 oz"
        heading = _heading_at(text, place["word"], place.start("word"), listed)
        colon = heading and text.startswith(_COLONS, heading.after - 1)
        if listed and not (colon and heading and heading.kind in kinds("joined")):
            continue
        small = heading and (
            (colon and heading.kind in kinds("in-a-row"))
            or (joined and heading.kind in kinds("joined" if colon else "before-nutrients"))
        )
        # "Side: Ingredients: duck": a heading behind words that are none.
        ends = place["ends"] and (at_start is None or place["ends"] not in ":–—")
        if heading is not None and heading.after > after and (small or ends):
            inside.append(heading)
            after = heading.after
    headed = [at_start, *inside] if at_start else inside
    ends = [*(heading.words.start for heading in headed[1:]), line.end]
    analysed = [
        place
        for heading, end in zip(headed, ends, strict=False)
        if heading.kind == "declaration"
        for place in _analysed(text, Span(heading.after, end))
    ]
    for heading in (*analysed, *_coded(text, line), *_weighed(text, line)):
        taken = [at_start, *inside] if at_start else inside
        if all(
            other.after <= heading.words.start or heading.after <= other.words.start
            for other in taken
        ):
            inside.append(heading)
    inside.sort(key=lambda heading: heading.words.start)
    if at_start is None and first and inside and inside[0].words.start <= first.start("word"):
        at_start = inside.pop(0)
    return at_start, inside


def _may_head(text: str, line: Span) -> bool:
    """Returns False where surely no heading stands in a line, as in most lines and cells."""
    words = _LETTERS.findall(text, line.start, line.end)
    return (
        any(text.find(colon, line.start, line.end) >= 0 for colon in _COLONS)
        or not vocabulary()["by-word"].keys().isdisjoint([word.lower() for word in words])
        or search("words/blocks", "net-sentence").search(text, line.start, line.end) is not None
    )


def _analysed(text: str, words: Span) -> list[Heading]:
    """The place behind the sentences of a list where guarantees stand without a heading, if any."""
    for place in _INSIDE.finditer(text, words.start, words.end):
        start = place.start("word")
        if names_nutrient(text[start : min(words.end, start + _AHEAD)]):
            return [Heading("guarantees", Span(start, start), start)]
    return []


def _coded(text: str, line: Span) -> Iterator[Heading]:
    """Yields the words for lot and date with a code, a date or a place behind them, anywhere in a
    line: "Lot B12 / best before 15/06/2028"."""
    if line.end - line.start > _SHORT_LINE:
        return
    for place in _AFTER_SIGN.finditer(text, line.start, line.end):
        phrase = phrase_at(text, place["word"], place.start("word"))
        kind = heading_kind(phrase.group()) if phrase else ""
        code = _CODE.match(text, phrase.end(), line.end) if phrase else None
        if phrase and code and kind in kinds("coded"):
            yield Heading(kind, Span(*phrase.span()), code.start("code"))


def _is_coded(text: str, line: Span, end: int) -> bool:
    """Returns whether words for a lot or a date and a code begin a line: "Lot B12 /"."""
    first = _AT_START.match(text, line.start, end)
    phrase = phrase_at(text, first["word"], first.start("word")) if first else None
    return phrase is not None and _CODE.match(text, phrase.end(), end) is not None


def _weighed(text: str, line: Span) -> Iterator[Heading]:
    """Yields the words for a weight in a sentence that is the net quantity: "Weight 100 g."."""
    net = search("words/blocks", "net-sentence")
    for place in net.finditer(text, line.start, line.end):
        yield Heading("net-contents", Span(*place.span("word")), place.start("amount"))


def _shortened(text: str, line: Span) -> Heading | None:
    """The heading that a line begins with in words cut short by full stops, before a colon; None
    where it may be headings of several kinds."""
    match = _SHORTENED.match(text, line.start, line.end)
    if match is None or "." not in match["words"]:
        return None
    words = fold(match["words"]).split()
    stems = [re.escape(word.rstrip(".")) for word in words]
    stem = data("words/blocks")["lengths"]["stem"]
    if any(word.endswith(".") and len(word) <= stem for word in words):
        return None
    ends = (r"\w*" if word.endswith(".") else "" for word in words)
    whole = re.compile(" ".join(map("".join, zip(stems, ends, strict=True))))
    first = words[0].rstrip(".")
    kinds = {
        kind
        for phrase, kind in vocabulary()["kinds"].items()
        if phrase.startswith(first) and whole.fullmatch(phrase)
    }
    return (
        Heading(kinds.pop(), Span(*match.span("words")), match.end() + 1)
        if len(kinds) == 1
        else None
    )


def _behind_another(text: str, line: Span) -> Heading | None:
    """The heading with a colon that stands at the start of a line behind a word that is none; its
    words are both, which are of no one language."""
    match = _SECOND.match(text, line.start, line.end)
    if match is None or _is_coded(text, line, match.end("first")):
        return None
    if match["sign"] == "(":
        phrase = phrase_at(text, match["word"], match.end())
        end = _CLOSED.match(text, phrase.end()) if phrase else None
        if phrase is None or end is None:
            return None
        kind = heading_kind(phrase.group())
        return Heading(kind, Span(match.start("first"), end.end()), end.end() + 1)
    heading = _heading_at(text, match["word"], match.start("word"), True)
    if heading is None or not text.startswith(_COLONS, heading.words.end):
        return None
    start = match.start("first") if match["sign"] == "/" else heading.words.start
    return heading._replace(words=Span(start, heading.words.end))


def _heading_at(text: str, word: str, start: int, at_line_start: bool) -> Heading | None:
    """The heading that begins with a word, where its words are one."""
    phrase = phrase_at(text, word, start)
    if phrase is None:
        return None
    kind = heading_kind(phrase.group())
    end = phrase.end()
    if per := (_PER_UNIT if kind in kinds("per-unit") else PER_WEIGHT).match(text, end):
        end = per.end()
    row = _ROW.match(text, end) if at_line_start else None
    if row is not None and kind not in kinds("in-rows"):
        # A row with its rules may have any heading, but for one over columns.
        beside = _AT_START.match(text, row.end())
        ruled = text[text.rfind("\n", 0, start) + 1 : start].strip() == "|"
        if not ruled or (beside and phrase_at(text, beside["word"], beside.start("word"))):
            row = None
    if row is not None:
        return Heading(kind, Span(start, end), row.end())
    if text.startswith(_COLONS, end):  # as most do; inside a line it begins with a capital
        if not (at_line_start or word[0].isupper()):
            return None
        # "Analysis: Analytical constituents: ...": a second one of its kind, with its own colon.
        again = _AGAIN.match(text, end) if kind not in kinds("amounts") else None
        second = phrase_at(text, again["word"], again.end()) if again else None
        if second and heading_kind(second.group()) == kind and text.startswith(":", second.end()):
            end = second.end()
        return Heading(kind, Span(start, end), end + 1)
    more = (
        _MORE.match(text, end) if kind in kinds("headed-at-length") and word[0].isupper() else None
    )
    if more is not None:
        return Heading(kind, Span(start, more.end()), more.end() + 1)
    if kind == "feeding" and at_line_start and (a_day := _A_DAY.match(text, end)):
        return Heading(kind, Span(start, a_day.end()), a_day.end())
    while joined := _JOINED.match(text, end):
        second = phrase_at(text, joined["word"], joined.end())
        if second is None:
            break
        if kind in kinds("before-words") and heading_kind(second.group()) != kind:
            return None  # "Ingredients & analysis" heads a page
        per = PER_WEIGHT.match(text, second.end())
        end = per.end() if per else second.end()
    after = _AFTER.match(text, end)
    assert after is not None  # it matches nothing too
    if after["mark"] not in _ENDS and fold(phrase.group()) not in heading_kinds():
        alone = _ALONE.match(text, end)
        if not (at_line_start and alone and " " in phrase.group() and phrase.group().isupper()):
            return None
    heading = Heading(kind, Span(start, after.end("note") if after["note"] else end), after.end())
    return (
        heading
        if _is_heading(text, heading, after, at_line_start, kind in vocabulary()["bare"])
        else None
    )


def _is_heading(
    text: str, heading: Heading, after: re.Match[str], at_line_start: bool, bare: bool
) -> bool:
    """True where the words at this place are a heading and not a part of a sentence."""
    colon = after["mark"] in _ENDS
    printed = text[heading.words.start : heading.words.end]
    capital = printed[0].isupper()
    ahead = text[after.end() : after.end() + _AHEAD].split("\n", 1)[0].strip()
    follows = ahead[:40]
    if at_line_start and (
        follows[:1] in {"|", ";"} or text.endswith("\t", after.start(), after.end())
    ):
        return bool(follows)  # a row of a table
    if not at_line_start:  # "Net wt. 3 oz. Distributed by Mill Farm"
        return capital and (
            colon
            or (heading.kind == "maker" and follows[:1].isupper())
            or (heading.kind in kinds("before-nutrients") and names_nutrient(ahead))
        )
    if colon or (not follows and (after["note"] or not after["mark"])):
        return True
    if bare and after["mark"]:
        return True
    if follows.startswith(("&", "+")):  # "Ingredients & nutrition" heads a page
        return False
    if follows and printed.isupper() and re.search(r"[a-zà-ÿ]{3}", follows):
        return True  # "FEEDING GUIDE Offer a few a day"
    starts = bare and (heading.kind in kinds("before-words") or bool(_COUNTS.match(follows)))
    if heading.kind == "calories" and after["note"]:
        starts = True
    if heading.kind in kinds("amounts") and capital and names_amount(ahead):
        starts = True  # "Additives (per kg) Vitamins: vitamin A 15,000 IU"
    # "ingredients chicken, rice, peas, salt" and not "ingredients you can trust"
    least = data("words/blocks")["lengths"]["list-commas"]
    is_list = ahead.partition(".")[0].count(",") >= least
    return starts and follows != "" and (capital or heading.kind != "declaration" or is_list)


def near_heading(words: str) -> tuple[str, Span, int] | None:
    """The heading that a line nearly begins with, its place and where its words begin; one
    without a colon is such where it stands alone and may go without one."""
    match = _HEADED.match(words)
    if match is None:
        return None
    heading = _near().near(fold(PER_WEIGHT.sub("", match["words"])))
    if heading is None or (
        not match["end"].strip() and heading_kinds()[heading] not in kinds("known-alone")
    ):
        return None
    return heading, Span(*match.span("words")), match.end()
