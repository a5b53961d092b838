"""The calorie line: energy per kilogram and per familiar unit, and how it was found."""

import re
from decimal import Decimal

from panellint.core.numbers import NUMBER, read_number
from panellint.core.source import Span
from panellint.core.text import one_line
from panellint.core.units import ENERGY, VOLUME, grams_in, spellings_of, unit_of
from panellint.label.model import CalorieLine, EnergyFigure, Section

#: "Metabolizable energy", behind the unit.
_ME = r"(?:\s*(?:of\s+)?(?:\(?ME\)?|metaboli[sz]able\s+energy))*"
_FIGURE = re.compile(
    rf"(?:(?<![\w.,)%])(?<!\d\s)(?P<sign>[-−](?=\d))|(?<![\w.,]))(?P<number>{NUMBER})"
    # The row below, "kcal per cup;352", has its own figure.
    r"(?!\s*\n[^\n]*[:;|\t][ \t]*\d)\s*"
    rf"(?P<unit>{spellings_of(ENERGY)})(?![^\W\d_])"
    rf"{_ME}\s*(?:/|per\b|a\b|(?:in|for)\s+(?:an?|one|every|each)\b)\s*"
    rf"(?P<per>100\s?g\b|kg|kilogram|g\b|"
    r"\d[\d.,/]*[ -]?(?:fl\.?\s?oz|oz|ounces?|ml)\b(?=\s*(?:[,;.()/\n\r]|$))|"
    r"(?:\d[\d.,/]*[ -]?(?:fl\.?\s?oz|oz|ounces?|g|ml|lb)\.?[ -]+)?"
    r"[^\W\d_][\w -]{0,30}?"
    r"(?=\s*(?:[,;.!()/|&=~\n\r–—•·]|$|\d)|\s+(?:and|or|as|by|calc\w*|fed)\b))",
    re.IGNORECASE,
)
_SWAPPED = re.compile(
    rf"(?:(?:(?:calories|kcals?|energy){_ME}\s+|\A)per\s+"
    rf"|(?:^[^\w\n]*+|;[ \t]*+)(?P<row>kcals?){_ME}\s*(?:/|per\b)\s*)"
    r"(?P<per>[\w /.½¼¾-]{1,30}?)\s*(?:\([^()\n]{0,40}\))?"
    rf"\s*[†‡*]?\s*(?:[:.…]{{2,}}|(?(row)[:;|\t]|:))\s*(?P<number>{NUMBER})"
    r"(?(row)(?![\d.,]|[ \t]*(?:kcal|kJ|calories)))",
    re.IGNORECASE | re.MULTILINE,
)
#: What a unit holds, in brackets behind it: "per cup (8 fl oz)".
_HOLDS = re.compile(
    rf"\s*\(\s*{NUMBER}\s*(?:{spellings_of('oz', 'lb', VOLUME)})\.?\s*\)", re.IGNORECASE
)
_GRAMS = re.compile(rf"\s*\(?\s*(?P<number>{NUMBER})\s*g(?:rams?)?\b", re.IGNORECASE)
_METHOD = re.compile(
    r"\b(ca[lI1|]c(?:u\w+)?|(?<!\bas[ -])fed|feeding\s+t(?:rial|est))\b", re.IGNORECASE
)
#: One more figure behind another, without its unit: "or 388 per cup".
_FURTHER = re.compile(
    rf"[ \t,;]*(?:\b(?:and|or)\b|[,;/=|·•])[ \t]*(?P<number>{NUMBER})[ \t]*(?:/|per\b)[ \t]*"
    r"(?P<per>(?:\d[\d.,/]*[ -]?(?:fl\.? ?oz|oz|g|ml|lb)[ -])?[^\W\d_]{2,20})\b",
    re.IGNORECASE,
)
_PER_UNIT = re.compile(r"\bper\s+[^\W\d_]", re.IGNORECASE)
_PER = {"kilogram": "kg", "100g": "100g"}
#: Words that begin an energy statement on a line of its own.
STATEMENT = re.compile(
    rf"{NUMBER}\s*(?:kcals?|kJ)\b|\bcalories\s+per\s[\w /.½¼¾-]{{1,30}}(?:\(\w+\)\s*)?:"
    rf"|^[^\w\n]*kcals?{_ME}\s*(?:/|per\b)[^\n\d]{{1,40}}[:;|\t]\s*\d",
    re.IGNORECASE | re.MULTILINE,
)


def read_calories(heading: str, section: Section) -> CalorieLine | None:
    """The calorie statement in a section, or None where it holds no energy figure."""
    lead = f"{heading}: " if _PER_UNIT.search(heading) else ""  # "Energy per kg: 980 kcal"
    text, base = lead + section.text, section.body.start - len(lead)
    figures: list[EnergyFigure] = []
    for pattern in (_SWAPPED, _FIGURE):
        taken = {figure.span.end - base for figure in figures}
        for match in pattern.finditer(text):
            value = read_number(match["number"])
            if value is None or match.end("number") in taken:
                continue
            groups = match.groupdict()
            further = _FURTHER.match(text, match.end()) if groups.get("unit") else None
            unit = unit_of(groups.get("unit") or "kcal")
            assert unit is not None  # the expression knows the spellings of units alone
            if groups.get("sign"):
                value = -value
            grams = _GRAMS.match(text, match.end())
            holds = _HOLDS.match(text, match.end())
            figures.append(
                EnergyFigure(
                    value=value * (1000 if unit.name == "MJ" else 1),
                    unit="kcal" if unit.name == "kcal" else "kJ",
                    per=_unit(match["per"]),
                    grams=read_number(grams["number"]) if grams else _grams_in(match["per"]),
                    span=Span(
                        max(base + match.start(), section.heading.start),
                        base + (holds or match).end(),
                    ),
                )
            )
            if further and (more := read_number(further["number"])):
                per, place = further["per"], further.span("number")
                figures.append(
                    figures[-1]._replace(
                        value=more,
                        per=_unit(per),
                        grams=_grams_in(per),
                        span=Span(base + place[0], base + further.end()),
                    )
                )
    if not figures:
        return None
    method = _METHOD.search(f"{heading} {text}")
    how = "calculated" if "†" in text else None
    if method:
        how = "calculated" if method[1][:2].lower() == "ca" else "fed"
    figures.sort(key=lambda figure: figure.span)
    return CalorieLine(tuple(figures), how, section.heading.cover(section.body))


def _unit(per: str) -> str:
    words = one_line(per.strip().lower())
    unit = re.sub(r"^\d[\d.,/]*[ -]?(?:fl\.? ?oz|oz|ounces?|g|ml|lb)\.?[ -]+", "", words)
    return _PER.get(words.replace(" ", ""), unit)


def _grams_in(per: str) -> Decimal | None:
    """The weight inside a unit ("13 oz can"), in grams; the ounces of a cup are fluid."""
    weight = re.search(r"\d+(?:[.,]\d+)?\s?-?(?:g|oz|lb)\b", per, re.IGNORECASE)
    fluid = weight is not None and "g" not in weight.group() and "cup" in per.lower()
    if weight is None or fluid or per.strip() == "100 g":
        return None
    grams = grams_in(weight.group().replace("-", ""))
    return None if grams is None else Decimal(str(round(float(grams), 1)))
