"""The physical form of a food, stated or inferred, and what practice expects of it.

Figures stand in `rules/data/forms.yaml`. A form that is inferred keeps the widest range
of water lost; only a stated form narrows it.
"""

import re
from functools import cache, lru_cache
from typing import Any, NamedTuple

from panellint.catalogue.model import Range
from panellint.core.numbers import check_percent
from panellint.rulepacks.data import data

_DATA = "data/forms"
UNKNOWN = "unknown"


class Ash(NamedTuple):
    """Ash of a form where none is declared: percent as fed."""

    typical: float
    low: float
    high: float


class Form(NamedTuple):
    """The form of one food.

    `id` is a form of `rules/data/forms.yaml` or "unknown"; `moisture_class` is dry,
    semi-moist, wet or None. `how` is "stated" (a fact of the user's), "words" (inferred from
    words of the label), "moisture" (only the class is inferred) or "none". `word` is what was
    read. `water_lost` is net water lost in percent of the mix, as wide as the form allows, and
    the widest of all unless the form is stated; `water_lost_usual` what is usual.
    `moisture_default` is what practice takes where nothing is declared, `moisture_usual` the
    range it expects, percent as fed; None where too little is known.
    `natural` is True where practice takes the energy factors for fresh and raw foods.
    """

    id: str
    moisture_class: str | None
    how: str
    word: str
    water_lost: Range
    water_lost_usual: Range
    ash: Ash | None
    moisture_default: float | None
    moisture_usual: Range | None
    natural: bool

    @property
    def stated(self) -> bool:
        """True where the form need not be inferred."""
        return self.how == "stated"


@cache
def _rows() -> dict[str, Any]:
    return {row["id"]: row for row in data(_DATA)["forms"]}


def form_ids() -> tuple[str, ...]:
    """The ids of all forms, "unknown" last."""
    return tuple(_rows())


class _Named(NamedTuple):
    """What words name: a form ("unknown" where they name a class alone), its class, the words."""

    form: str
    moisture_class: str | None
    words: str


#: What stands before the words for another food than this one.
_OF_ANOTHER = re.compile(
    r"\b(?:for|to|over|on|zu[mr]?|für|über|unter|pour|sur|per|su[l]?|al|con|para|sobre|voor|bij|met|do|z|til|till)"
    r"\s(?:\w+\s)?\Z"
)


@cache
def _pattern() -> tuple[re.Pattern[str], dict[str, tuple[str, str | None]]]:
    owner: dict[str, tuple[str, str | None]] = {
        word: (UNKNOWN, row["id"]) for row in data(_DATA)["classes"] for word in row["words"]
    }
    owner |= {word: (row["id"], row["class"]) for row in _rows().values() for word in row["words"]}
    longest_first = sorted(owner, key=lambda word: (-len(word), word))
    words = "|".join(re.escape(word) for word in longest_first)
    # "With fresh chicken" is about the chicken.
    return re.compile(rf"(?<![\w-])(?<!\bwith )(?<!\brich in )(?:{words})(?![\w-])"), owner


def moisture_class(moisture: float) -> str:
    """dry, semi-moist or wet, by moisture in percent as fed (the US classes)."""
    check_percent("moisture", moisture)
    classes = data(_DATA)["classes"]
    return str(next(c["id"] for c in classes if c["below"] is None or moisture < c["below"]))


def form_in(text: str) -> tuple[str, str] | None:
    """The form that words name, with those words; None where they name none."""
    named = _named(text)
    return None if named is None else (named.form, named.words)


def _named(text: str) -> _Named | None:
    pattern, owner = _pattern()
    names = [match.group() for match in pattern.finditer(text.lower())]
    if not names:
        return None
    # A form says more than a class, and more words say more than fewer.
    words = max(names, key=lambda word: (owner[word][0] != UNKNOWN, len(word)))
    return _Named(*owner[words], words)


class NamedClass(NamedTuple):
    """A class of moisture that words name: its id, the words, its ends in percent as fed."""

    id: str
    word: str
    low: float
    high: float


def class_in(text: str) -> NamedClass | None:
    """The class of moisture that words name ("alimento umido"), and no form; None where they name
    none. "For dry food" names another food's."""
    named = _named(text)
    if named is None or named.form != UNKNOWN:
        return None
    if _OF_ANOTHER.search(text.lower().partition(named.words)[0]):
        return None
    row = next(row for row in data(_DATA)["classes"] if row["id"] == named.moisture_class)
    return NamedClass(row["id"], named.words, float(row["from"]), float(row["below"] or 100))


def form_of(stated: str | None = None, words: str = "", moisture: float | None = None) -> Form:
    """The form of a food from what is stated, else from words, else from the moisture.

    `stated` is the text of a "Form:" fact, `words` other words that may name a form (the
    product name), `moisture` the declared moisture in percent as fed. Words of the label that
    the moisture contradicts by a class are not believed: a "stew" with 8 % moisture is not
    canned.
    """
    by_moisture = None if moisture is None else moisture_class(moisture)
    name = _named(stated) if stated else None
    if name:
        return _form(name, "stated", by_moisture)
    named = _named(words) if words else None
    if named and by_moisture in (None, named.moisture_class):
        return _form(named, "words", by_moisture)
    return _form(_Named(UNKNOWN, None, ""), "moisture" if by_moisture else "none", by_moisture)


@lru_cache(maxsize=512)
def _form(named: _Named, how: str, by_moisture: str | None) -> Form:
    row = _rows()[named.form]
    wide = row if how == "stated" else _rows()[UNKNOWN]
    among = by_moisture or named.moisture_class
    ash = row["ash"] or data(_DATA)["ash_of_class"].get(among)
    default = row["moisture"]["default"]
    if default is None and named.form == UNKNOWN:
        default = data(_DATA)["moisture_of_class"].get(among)
    return Form(
        id=named.form,
        moisture_class=among,
        how=how,
        word=named.words,
        water_lost=Range(*map(float, wide["water_lost"]["possible"])),
        water_lost_usual=Range(*map(float, row["water_lost"]["usual"])),
        ash=Ash(*(float(ash[key]) for key in Ash._fields)) if ash else None,
        moisture_default=None if default is None else float(default),
        moisture_usual=_moisture(row, among),
        natural=row["energy"] == "natural",
    )


def _moisture(row: Any, among: str | None) -> Range | None:
    """The usual moisture of a form; of a class where only that is known."""
    if row["id"] != UNKNOWN:
        return Range(float(row["moisture"]["low"]), float(row["moisture"]["high"]))
    named = next((c for c in data(_DATA)["classes"] if c["id"] == among), None)
    if named is None:
        return None
    return Range(float(named["from"]), 100.0 if named["below"] is None else float(named["below"]))
