"""Guarantees and analytical constituents: names, bounds, figures and units.

Lines may hold one or several, with dot leaders, "not less than", "(min.)", colons or none.
A figure without a printed bound is a declared value, as EU labels have it.
"""

import re
from decimal import Decimal
from functools import cache, lru_cache

from panellint.core.numbers import read_number
from panellint.core.source import Span, SpanIndex
from panellint.core.text import fold, one_line, unbroken
from panellint.core.units import content_unit, spellings_of, unit_of
from panellint.label.bound_columns import BoundColumns, names_above
from panellint.label.bound_words import bound_of, bound_words
from panellint.label.model import Bound, Guarantee, Mark
from panellint.label.near_words import spellings
from panellint.label.weight_columns import OF_WEIGHT, column_of_weight
from panellint.rulepacks.data import data, search

_AMOUNT = rf"(?:{spellings_of('g', 'mg', 'µg', 'IU', 'KIU')})"
_PER = r"\s*(?:/|p[eao]r\s+|pro\s+|je\s+)\s*"
_UNIT = (
    rf"%|per\s?cent\b|{_AMOUNT}{_PER}(?:kg|lb|100\s?g)\b|ppm\b"
    rf"|(?:{spellings_of('CFU', 'activity')}){_PER}(?:kg|lb|g)\b"
    rf"|(?:{spellings_of('energy')}){_PER}(?:kg|100\s?g|cup|can)\b|{_AMOUNT}\b"
)
_FIGURE = re.compile(
    rf"(?<![\w-])(?<!\d,)(?<!\w\.)(?:(?P<less><|>|≥|≤)\s*)?(?P<sign>-)?"
    rf"(?P<number>\d{{1,3}}(?:[,\u00a0\u202f ]\d{{3}}){{1,5}}(?![\d,.])|\d+(?:[.,]\d+)?)"
    rf"\s*(?P<unit>{_UNIT})",
    re.IGNORECASE,
)
_BARE_FIGURE = re.compile(
    r"(?<![\w-])(?<!\d,)(?<!\w\.)(?:(?P<less><|>|≥|≤)\s*)?(?P<sign>-)?"
    r"(?P<number>\d+(?:[.,]\d+)?)\s*(?![\w%])"
)
#: What stands behind a bound that is of the figure before it.
_ENDS = re.compile(r"\s*(?:[,;.\n\r)/|•·]|$|[A-Z])")
#: Between two figures of one guarantee, in two units.
_SAME_ROW = re.compile(r"[ \t|;/(,]+")
#: A figure behind it is how far another may be off.
_TOLERANCE = re.compile(r"(?:±|\+ ?/ ?[-–]|\btolerance\b)[ \t:]*\Z", re.IGNORECASE)
_MARKS = re.compile(r"[*†‡§¶#]+")
#: Marks behind a figure, and no footnote that begins there.
MARK_BEHIND = re.compile(r"(?<=[\w%)]) ?(?P<mark>[*†‡§¶]+)(?![\w*])")
_LEADERS = " \t\r\n.…·_:;,|=•–—-[]"
_EDGE = " \t\r\n.…·:;,|•–—-()[]_=&%"
#: A figure that a scanner has spoilt: the name before it is not that of the next figure.
_SPOILT = re.compile(r"(?<!\w)(?=[\d.,]*[OIlS|])[\dOIlS|][\d.,OIlS]*\s?%\s*[,;|]?")
#: So many signs of a row of figures are looked at.
_ROW = 2000
#: So many signs lead up to a name at most.
_FAR = 60
#: The digit of a name: "omega-3".
_OMEGA = r"(?<=[eé]ga[ -])[369](?!\w)"
#: What stands before the first figure of a line, and signs around a name.
_HEAD = re.compile(rf"(?:[^\d\n]|{_OMEGA}){{3,90}}(?=\d)")
_SIGNS = re.compile(r"^[\W_]+|[\W_]+$")
_LETTER = re.compile(r"[^\W\d_]")
_DRY = re.compile(r"\b(?:dry\s+matter|DM)\b", re.IGNORECASE)
#: The end of words that lead up to a name: "How much of what? Crude protein", "It contains fat".
_LED_UP = re.compile(
    r"(?:[?!:.•|/–—-]|\b(?:contain|hold|has|have|provide|give|guarantee)s?)\s+", re.IGNORECASE
)


@cache
def nutrient_names() -> dict[str, str]:
    """Printed names of nutrients, folded, in every language, to nutrient ids."""
    rows = [
        (spellings(fold(name).replace(" - ", "-"), language), nutrient["id"])
        for nutrient in data("nutrients/nutrients")["nutrients"]
        for language, names in nutrient["names"].items()
        for name in names
    ]
    return {name: id for names, id in rows for name in names} | {names[0]: id for names, id in rows}


@lru_cache(maxsize=1024)
def nutrient_of(printed: str) -> str | None:
    """The nutrient id of a printed name, or None."""
    names = nutrient_names()
    folded = fold(unbroken(printed)).replace(" - ", "-")
    for candidate in (folded, folded.replace("-", " "), folded.removesuffix("s")):
        if candidate in names:
            return names[candidate]
    bare = re.sub(r"\s*\([^)]*\)\s*", " ", folded).strip()
    head, comma, adjective = bare.partition(", ")  # "Protein, crude"
    for candidate in (
        bare,
        f"{adjective} {head}" if comma else "",
        search("words/blocks", "before-name").sub("", bare, count=1),
    ):
        if candidate.strip() in names:
            return names[candidate.strip()]
    # In several languages; of two nutrients it is neither.
    both = {names[part.strip()] for part in re.split("[/|]", bare) if part.strip() in names}
    return both.pop() if len(both) == 1 else None


def names_nutrient(words: str) -> bool:
    """Returns True for words that begin with a nutrient's name and a figure behind it, whatever
    bounds and signs stand between."""
    if bound_words().search(words) and _names_trail(words):
        figures = [figure.start() for figure in _FIGURE.finditer(words)]
        if len(figures) > 1 or not _LETTER.search(bound_words().sub(" ", words[: figures[0]])):
            return True
    head = _HEAD.match(words)
    if head is None:
        return False
    name = _SIGNS.sub("", bound_words().sub(" ", head.group()))
    names = (name, _SIGNS.sub("", re.split("[(.:]", name)[0]), name[_led_up(name) :])
    return any(nutrient_of(each) is not None for each in names)


def names_figures_below(text: str, line: Span) -> bool:
    """Returns whether a line is a row of nutrients over a row of percentages."""
    row = text[line.end : line.end + _ROW].lstrip(" ").lstrip("\r\n").split("\n", 1)[0]
    rows = f"{text[line.start : line.end]}\n{row}"
    return "%" in row and bool(names_above(rows, nutrient_over))


def nutrient_over(cell: str) -> str | None:
    """Returns the nutrient that a cell over a figure names, a bound or none beside it."""
    return nutrient_of(_without_bound(cell))


def _without_bound(cell: str) -> str:
    return one_line(bound_words().sub(" ", cell)).strip(" ,")


def _led_up(name: str) -> int:
    """Returns where a nutrient's name begins in words that lead up to it; 0 where they name none or
    another."""
    if nutrient_of(name) is None:
        for end in _LED_UP.finditer(name, 0, _FAR):
            if nutrient := nutrient_of(name[end.end() :]):
                return end.end() if nutrient_of(name[: end.start()]) in {None, nutrient} else 0
    return 0


@cache
def _between() -> re.Pattern[str]:
    """Returns a search for two figures under two bounds: "min-max 1.0 % - 1.5 %", "1.0-1.5%
    (min/max)"."""
    bound = bound_words().pattern.replace("?P<word>", "?:")
    joined = r"\s*(?:[-–—/&]|\b(?:to|and|et|y)\b)\s*"
    both = rf"(?:{bound})(?:{joined}|\s)(?:{bound})"
    figure = r"\d+(?:[.,]\d+)?"
    return re.compile(
        rf"(?P<both>{both}[ \t:,.)]*)?(?<![\w.,-])(?P<number>{figure})\s*(?:{_UNIT})?"
        rf"{joined}(?P<high>{figure})\s*(?P<unit>{_UNIT})(?(both)|(?P<behind>{both}))",
        re.IGNORECASE,
    )


def _figures(text: str, figure: re.Pattern[str]) -> list[re.Match[str]]:
    """Returns the figures of a text in order; two under a least and a most are one match."""
    pairs = [
        pair
        for pair in _between().finditer(text)
        if set(_two_bounds(pair)) == {Bound.MIN, Bound.MAX}
    ]
    taken = SpanIndex(Span(*pair.span()) for pair in pairs)
    alone = [one for one in figure.finditer(text) if not taken.overlap(Span(*one.span("number")))]
    return sorted([*pairs, *alone], key=lambda match: match.start("number"))


def _two_bounds(pair: re.Match[str]) -> list[Bound]:
    """Returns the bounds of the two figures, in the order of their words."""
    words = pair["both"] or pair["behind"]
    bounds = (bound_of(word.group()) for word in bound_words().finditer(words))
    return [bound for bound in bounds if bound]


@cache
def _name_behind() -> re.Pattern[str]:
    """Returns a search for a name behind its figure: "14 percent crude protein minimum", "14 % min.
    protein (crude)"."""
    bound = f"(?:{bound_words().pattern.replace('?P<word>', '?:')})"
    return re.compile(
        rf"(?:(?P<bound>{bound})[ \t]*|[ \t]+)(?:of[ \t]+)?(?!{bound})"
        rf"(?P<name>[^\W\d_](?:[^\d,;.()|•/\n]|{_OMEGA}){{2,40}}?"
        rf"(?:[ \t]*(?:(?-i:\(Ca\))|(?!{bound})\([^\W\d_]+\))|, crude\b)?)"
        rf"(?=\s(?:\s|[-·]\s)|\s*(?:[,;.()|•/–\n]|$|\band\b|{bound}))",
        re.IGNORECASE,
    )


def _names_trail(text: str) -> bool:
    """Returns whether names stand behind their figures: "14 percent crude protein"."""
    first = _FIGURE.search(text)
    if first is None:
        return False
    before = bound_words().sub(" ", text[: first.start()]).rstrip(_LEADERS).split()
    before = before[-data("words/blocks")["lengths"]["nutrient-words"] :]
    if any(nutrient_of(" ".join(before[place:])) for place in range(len(before))):
        return False
    name = _name_behind().match(text, first.end())
    return name is not None and nutrient_of(name["name"]) is not None


def read_guarantees(text: str, base: int, heading: str = "") -> tuple[Guarantee, ...]:
    """Every guarantee in a section's text; `base` is its offset in the file.

    A heading with "(%)", or "%" over a column, makes percentages of figures without a unit.
    """
    usual = bound_of(heading) if "unless" in heading else None  # "(min. unless noted)"
    over = OF_WEIGHT.search(heading) or OF_WEIGHT.match(text)
    heading += "%" if over and over["unit"] else ""
    end, column, of_several = column_of_weight(heading, text)
    end = max(end, over.end() if over and over.string is text else 0)
    first_line = text.split("\n", 1)[0]
    heading += first_line
    units = (match["unit"].lower() for match in _FIGURE.finditer(text, end) if "%" in heading)
    has_units = any(not unit.startswith(("kcal", "kj")) for unit in units)
    figure = _FIGURE if has_units or "%" not in heading else _BARE_FIGURE
    guarantees: list[Guarantee] = []
    in_row = 0
    name = ""
    name_span = Span(base, base)
    marks: tuple[Mark, ...] = ()
    dry_section = bool(_DRY.search(first_line)) and not _FIGURE.search(first_line)
    names_trail = _names_trail(text)
    first = figure.search(text)  # "26 % min" is the label's habit
    trailing = first is not None and not bound_words().search(text[: first.start()])
    above = names_above(text, nutrient_over)
    of_energy = SpanIndex(
        Span(*shares.span()) for shares in search("words/blocks", "energy-shares").finditer(text)
    )
    figures = _figures(text, figure)
    columns = BoundColumns(text, [match.start("number") for match in figures])
    for match in figures:
        if match.start("number") < end or _TOLERANCE.search(text, end, match.start("number")):
            continue
        if of_energy.overlap(Span(*match.span("number"))):
            end = match.end()
            continue
        lead = text[end : match.start()]
        if spoilt := next(reversed([*_SPOILT.finditer(lead)]), None):
            end += spoilt.end()
            lead = text[end : match.start()]
        value = read_number(match["number"])
        if value is None:
            continue
        bounds = [match.span() for match in bound_words().finditer(lead)]
        blanked = _blanked(lead, bounds)
        own_name, own_span, own_marks = _name_in(lead, blanked, base + end)
        behind = _name_behind().match(text, match.end()) if names_trail else None
        if behind:
            own_name, own_marks = one_line(behind["name"]), ()
            own_span = Span(base + behind.start("name"), base + behind.end())
        digit = figure is _BARE_FIGURE and own_name and nutrient_of(own_name) is None
        if digit and nutrient_of(f"{own_name} {match['number']}"):
            continue  # "omega 3"
        if place := above.get(match.start("number")):
            own_name, own_marks = _without_bound(text[place.start : place.end]), ()
            own_span = Span(base + place.start, base + place.end)
        in_row = 0 if own_name else in_row + 1
        if own_name:
            name, name_span, marks = own_name, own_span, own_marks
        if of_several and in_row != column:
            end = match.end()
            continue
        unit = content_unit(match.groupdict().get("unit") or "%")
        if over and unit_of(unit):
            unit = content_unit(f"{unit}/{over['weight']}")
        if not name or name[0].isdigit() or f"{unit} {name}".startswith(("kcal", "kJ", "% kcal")):
            name, end = "", match.end()
            continue
        stop = behind.end() if behind else match.end()
        if behind and behind["bound"]:
            lead += behind["bound"]
            bounds.append((len(lead) - len(behind["bound"]), len(lead)))
        own = _own_lines(lead, blanked, own_span.start - base - end) if own_name else 0
        two = _two_bounds(match) if "high" in match.groupdict() else []
        bound = (
            two[0]
            if two
            else bound_of(match["less"] or "")
            or bound_of(" ".join([lead[a:b] for a, b in bounds if a >= own]))
        )
        last = guarantees[-1] if guarantees else None
        if behind and bound is None and lead.strip(" ,").lower() == "and":
            bound = guarantees[-1].bound  # "not less than 14 % protein and 12 % fat"
        same = _SAME_ROW.fullmatch(lead) and last is not None and last.unit != unit
        if same and bound is None and last is not None and last.bound_printed:
            bound = last.bound  # "Crude protein (min) | 24 g | 23 %"
        if mark := MARK_BEHIND.match(text, stop):
            stop = mark.end()
        after = None if two else bound_words().match(text, stop)
        if after and not (behind or "\n" in after.group()):
            further = figure.match(text, after.end())  # "8 % max. 10 %"
            if further and further.groupdict().get("unit") == match.groupdict().get("unit"):
                after = None
        if after and (trailing or (bound is None and _ENDS.match(text, after.end()))):
            bound = bound_of(after.group()) or bound
            stop = after.end()
            mark = mark or MARK_BEHIND.match(text, stop)
            stop = max(stop, mark.end() if mark else 0)
        if mark:
            place = Span(base + mark.start("mark"), base + mark.end())
            marks = (*marks, Mark(mark["mark"], place))
        line_end = text.find("\n", stop)
        tail = text[stop : line_end if line_end >= 0 else len(text)][:30]
        basis = "dry matter" if dry_section or _DRY.match(tail.strip(" ()on")) else "as fed"
        if place and (above_it := bound_words().search(text, place.start, place.end)):
            bound = bound_of(above_it.group())
        bound = columns.of(match.start("number")) or bound or usual
        own_name = "" if place else own_name  # the names above are several
        start = min(name_span.start, base + match.start()) if own_name else base + match.start()
        sign = Decimal(-1) if match.groupdict().get("sign") else Decimal(1)
        one = Guarantee(
            nutrient=nutrient_of(name),
            printed=name,
            bound=bound or Bound.DECLARED,
            value=value * sign,
            unit=unit,
            basis=basis,
            span=Span(start, base + stop),
            name_span=name_span,
            value_span=Span(base + match.start("number"), base + match.end("number" if two else 0)),
            marks=marks,
            bound_printed=bound is not None,
        )
        guarantees.append(one)
        if two and (high := read_number(match["high"])) is not None:
            place = Span(base + match.start("high"), base + match.end("unit"))
            guarantees.append(one._replace(bound=two[1], value=high, value_span=place, span=place))
        end = stop
    return tuple(guarantees)


def _blanked(lead: str, bounds: list[tuple[int, int]]) -> str:
    """The text before a figure with blanks for the words of its bound and for marks."""
    for start, end in bounds:
        lead = f"{lead[:start]}{' ' * (end - start)}{lead[end:]}"
    return _MARKS.sub(lambda m: " " * len(m.group()), lead)


def _own_lines(lead: str, blanked: str, name: int) -> int:
    """Where the line of a name begins in the text before its figure, or the first of the lines
    above it that hold bound words alone: a line above without a figure binds only itself."""
    start = lead.rfind("\n", 0, name) + 1
    while start:
        above = lead.rfind("\n", 0, start - 1) + 1
        if _LETTER.search(blanked, above, start):
            break
        start = above
    return start


def _name_in(lead: str, blanked: str, base: int) -> tuple[str, Span, tuple[Mark, ...]]:
    """The nutrient's printed name in the text before its figure, without bound and leaders."""
    marks = tuple(
        Mark(m.group(), Span(base + m.start(), base + m.end())) for m in _MARKS.finditer(lead)
    )
    # Earlier lines without a figure are no part of the name, unless it runs over a line end.
    offset = 0
    lines = lead.rstrip(_EDGE + "*†‡§¶#").splitlines(keepends=True)
    whole = blanked.strip(_EDGE)
    whole += ")" * (whole.count("(") - whole.count(")"))
    if len(lines) > 1 and not nutrient_of(whole):
        at = end = sum(map(len, lines))
        for line in reversed(lines):
            at -= len(line)
            if _LETTER.search(blanked, at, at + len(line)):
                offset = at
                break
        else:
            offset = end - len(lines[-1])
        blanked = blanked[offset:end]
    open_bracket = blanked.rfind("(")
    if _LETTER.search(blanked[: max(0, open_bracket)]) and ")" not in blanked[open_bracket:]:
        blanked = blanked[:open_bracket]
    stripped = blanked.strip(_EDGE)
    if not _LETTER.search(stripped):
        return "", Span(base, base), ()
    start = offset + blanked.find(stripped)
    end = start + len(stripped)
    lead_in = _led_up(stripped)
    start, stripped = start + lead_in, stripped[lead_in:]
    if stripped.count("(") - stripped.count(")") == 1 and lead[end : end + 1] == ")":
        stripped += ")"
        end += 1
    return one_line(unbroken(stripped)), Span(base + start, base + end), marks
