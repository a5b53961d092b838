"""Additives with their amounts, as the EU's heading lists them: number, name and amount per kg in
any order, one a line or in a running list."""

import re
from itertools import zip_longest
from typing import NamedTuple

from panellint.core.numbers import read_number
from panellint.core.source import Span
from panellint.core.text import one_line
from panellint.core.units import content_unit, spellings_of
from panellint.label.model import AdditiveAmount
from panellint.rulepacks.data import search

#: A number of the register or of the former directive: "3a672a", "1b306(i)", "E 1".
NUMBER = r"\b(?:E\s?\d{1,4}\w?|\d[a-z]\d{3,4}\w*(?:\(i{1,3}\))?)(?!\w)"
_NUMBER = re.compile(rf"[(\[]?(?P<number>{NUMBER})[)\]]?", re.IGNORECASE)
#: A bracket behind an amount: "zinc 75 mg (zinc oxide, 3b603)". On the next line something else
#: has to follow than a name.
_BRACKET_BEHIND = re.compile(
    r"[ \t]*(?P<below>\n[ \t]*)?[(\[](?P<words>(?:[^()\[\]]|\([^()]{0,20}\)){0,80})[)\]]"
    r"(?(below)(?=\s*(?:[,;.]|\n|$)))"
)
_UNIT = spellings_of("g", "mg", "µg", "IU", "CFU")
_PER = r"\s*(?:/|p[eao]r|je|pro)\s*kg\b"
_FIGURE = r"\d{1,3}(?:(?:[,\u00a0\u202f ]|\n[ \t]+)\d{3}){1,5}(?!\d)|\d+(?:[.,]\d+)?"
#: "vitamin E 150 mg", "vitamina E mg 150", "vitamin E (mg/kg): 150".
_AMOUNT = re.compile(
    rf"(?<![\w.,])(?P<ahead>[(\[]?(?:{_UNIT})(?:{_PER})?[)\]]?[ \t:|\n]{{1,3}})?"
    rf"(?P<figure>{_FIGURE})"
    rf"(?(ahead)|\s*(?P<unit>{_UNIT})(?!{_PER}\s*:)(?:{_PER})?)(?!\w)",
    re.IGNORECASE,
)
_PER_100_GRAMS = re.compile(r"\b100\s?g(?:rams?)?\b", re.IGNORECASE)
#: A compound's amount in a bracket before that of its element: "zinc (chelate: 910 mg) 137 mg".
_OF_COMPOUND = re.compile(
    rf"(?<=[^\W\d_])[\s:]{{1,3}}(?:{_FIGURE})\s?(?:{_UNIT})"
    rf"(?=\)\s?(?:{_FIGURE})\s?(?:{_UNIT})(?!\w))",
    re.IGNORECASE,
)
#: The unit alone of what stands before a figure.
_AHEAD = re.compile(rf"[(\[]?(?P<unit>{_UNIT})", re.IGNORECASE)
#: A unit over amounts, "Vitamins (IU/kg):", and such an amount.
_UNIT_ABOVE = re.compile(
    rf"(?<![\w.,])(?<!\d[ \t\u00a0])(?P<unit>{_UNIT})\s*/\s*kg\)?\s*:", re.IGNORECASE
)
_BELOW_UNIT = re.compile(rf"(?<![\w.,(-])(?P<figure>{_FIGURE})(?=\s*(?:[,;|\n]|\.(?!\d)|$))")
_PARTS = re.compile(r"[,;()]")
_LETTER = re.compile(r"[^\W\d_]")
#: Where a name behind its amount ends: "15.000 IE Vitamin A (3a672a), 1.200 IE Vitamin D3".
_NAME_END = re.compile(r"[;|•·]|\n(?=[ \t]*[\d•|–-])|[,.](?:\s|$)|\s/\s")
#: "15,000 IU of vitamin A".
_OF = re.compile(r"\A(?:of|de|di|von|van)\s+", re.IGNORECASE)
_WORD = re.compile(r"[ \t\u00a0]+[^\W\d_]{2}")
_SIGNS = " \t\r\n-–—•·"
_LEADERS = " \t\r\n:.…·_|"
_EDGE = " \t\r\n,;.:-–—()[]|/=•·"


class _Amount(NamedTuple):
    """An amount in a text: its place, its figure and its unit as printed."""

    start: int
    end: int
    figure: str
    unit: str


def _amounts(group: str, text: str) -> list[_Amount]:
    """Returns each amount with its unit, its own one or that above it or in the heading."""
    above = [(m.start(), m.end(), m["unit"]) for m in _UNIT_ABOVE.finditer(text)]
    above[:0] = [(0, 0, m["unit"]) for m in _UNIT_ABOVE.finditer(f"{group}:")]
    amounts = []
    for m in _AMOUNT.finditer(text):
        ahead = _AHEAD.match(m["ahead"] or "")
        amounts.append(_Amount(*m.span(), m["figure"], ahead["unit"] if ahead else m["unit"]))
    ends = [*(start for start, _, _ in above[1:]), len(text)]
    for (_, start, unit), end in zip(above, ends, strict=False):
        below = _BELOW_UNIT.finditer(text, start, end)
        amounts += (_Amount(*m.span(), m["figure"], unit) for m in below)
    return sorted(amounts)


def _last_item(names: str) -> str:
    """The last of several names between commas; those in brackets part none."""
    opened = names.count("(") - names.count(")")
    end = len(names.rstrip())
    goes_on = search("words/statements", "hydrate")
    for sign in reversed(list(_PARTS.finditer(names))):
        if sign.group() in "()":
            opened += 1 if sign.group() == ")" else -1
        elif not opened and sign.end() < end and not goes_on.match(names, sign.end()):
            return names[sign.end() :]
    return names


def names_amount(words: str) -> bool:
    """Returns whether words hold an amount as additives have them, in a unit smaller than grams."""
    return any(content_unit(amount.unit) != "g" for amount in _amounts("", words))


def _trails(text: str, first: _Amount) -> bool:
    """Returns whether names stand behind their amounts, as behind the first one."""
    lead = text[: first.start].strip(_SIGNS)
    return not _LETTER.search(lead) or (lead.endswith(":") and bool(_WORD.match(text, first.end)))


def read_additives(
    group: str, text: str, base: int, per: str = "/kg"
) -> tuple[AdditiveAmount, ...]:
    """Returns additives with their amounts per kg, as the EU's heading lists them, or per 100 g
    where the heading says so; active ingredients with `per` empty."""
    per = "/100g" if per and _PER_100_GRAMS.search(group) else per
    additives: list[AdditiveAmount] = []
    text = _OF_COMPOUND.sub(lambda inner: " " * len(inner[0]), text)
    amounts = _amounts(group, text)
    names_trail = bool(amounts) and _trails(text, amounts[0])
    start = 0
    for amount, after in zip_longest(amounts, amounts[1:]):
        end = amount.end
        if names_trail:
            stop = after.start if after else len(text)
            letter = _LETTER.search(text, end, stop)
            name_end = _NAME_END.search(text, letter.end() if letter else end, stop)
            own, at = text[end : name_end.start() if name_end else stop], end
            whole = Span(amount.start, end + len(own.rstrip(_EDGE)))
            number = _NUMBER.search(own)
            end = whole.end
        else:
            # "Vitamin D3 (3a671), vitamin E (3a700) 250 mg": the amount is the last one's.
            lead = text[start : amount.start]
            own = _last_item(lead.rstrip(_LEADERS).rsplit(":", 1)[-1])
            at = start + lead.rindex(own)
            number = _NUMBER.search(own)
            behind = _BRACKET_BEHIND.match(text, end)
            if behind and not _AMOUNT.search(behind["words"]):
                end = behind.end()
                number = number or _NUMBER.search(behind["words"])
            at += len(own) - len(own.lstrip(_EDGE))
            whole = Span(at, end)
        name = search("words/statements", "restated").sub("", _NUMBER.sub(" ", own))
        printed = _OF.sub("", one_line(name).strip(_EDGE), count=1)
        if printed.count("(") > printed.count(")"):
            printed += ")"
        if printed or number:
            additives.append(
                AdditiveAmount(
                    printed=printed,
                    number=one_line(number["number"]) if number else None,
                    value=read_number(one_line(amount.figure)),
                    unit=content_unit(f"{amount.unit}{per}"),
                    group=one_line(group).lower(),
                    span=Span(base + whole.start, base + whole.end),
                )
            )
        start = end
    return tuple(additives)
