"""What a food is to hold, as users write it: a content on a basis, with a figure."""

import re
from collections.abc import Collection
from dataclasses import dataclass, field

from panellint.core.errors import ImpossibleFigure
from panellint.core.numbers import decimal, read_number
from panellint.core.text import one_line
from panellint.core.units import convert
from panellint.nutrition.bases import nutrient_named

AS_FED, DRY_MATTER, PER_1000_KCAL, ENERGY_SHARE = (
    "as fed",
    "dry matter",
    "per 1000 kcal",
    "energy share",
)
AT_LEAST, AT_MOST, EXACTLY = "at least", "at most", "exactly"

_TARGET = re.compile(
    r"(?:(?P<name>[^<>=≥≤]+?)\s*(?P<sense>>=|≥|=>|<=|≤|=<|=|at least|at most|exactly|min\.?|max\.?)"
    r"|(?P<alone>[a-z ]+?))\s*(?P<figure>\d[\d.,]*)\s*(?P<rest>.*)",
    re.IGNORECASE,
)
_SENSES = {
    **dict.fromkeys((">=", "≥", "=>", "at least", "min", "min."), AT_LEAST),
    **dict.fromkeys(("<=", "≤", "=<", "at most", "max", "max."), AT_MOST),
}
_SHORT = {"carbs": "carbohydrate", "carbohydrates": "carbohydrate"}
#: How the bases are written behind the unit.
_BASES = {
    ENERGY_SHARE: r"(%)[-\s]*(?:of\s+)?(?:the\s+)?(?:energy|kcal|me|calories)",
    DRY_MATTER: r"(.*?)[-\s]*(?:of\s+|on\s+)?(?:the\s+)?(?:dry(?:[-\s]matter)?|dm)",
    PER_1000_KCAL: r"(.*?)[-\s]*(?:per|/)[-\s]*1[,. ]?000[-\s]*kcal",
    AS_FED: r"(.*?)[-\s]*(?:(?:as[-\s])?fed)?",
}
_WORDS = {
    AS_FED: "as fed",
    DRY_MATTER: "of the dry matter",
    PER_1000_KCAL: "per 1000 kcal",
    ENERGY_SHARE: "of the energy",
}


@dataclass(frozen=True, slots=True)
class Target:
    """What a food is to hold: `value` of `part` (a nutrient id or "energy") on `basis`.

    The value is in the nutrient's own unit, or the amount of it in 1000 kcal, or percent of the
    energy; energy is in kcal/kg. `words` are the user's own.
    """

    part: str
    basis: str
    value: float
    sense: str = EXACTLY
    words: str = field(default="", compare=False)

    def __str__(self) -> str:
        unit = "kcal/kg" if self.part == "energy" else _unit(self.part, self.basis)
        basis = _WORDS.get(self.basis, self.basis)
        return f"{self.part} {self.sense} {decimal(self.value)} {unit} {basis}"


def read_target(text: str, among: Collection[str] = ()) -> Target:
    """Returns the target that a text names: "carbohydrate = 12 % of the energy", "protein >= 35 %
    dry matter", "fat at most 40 g per 1000 kcal", "energy >= 1200 kcal/kg"; short,
    "carbohydrate=12%-energy".

    A figure without a unit is in the nutrient's own, one without a basis as fed. `among` are
    the ids that can be asked for, by default all. Raises ImpossibleFigure where the text is
    not understood.
    """
    words = one_line(text)
    match = _TARGET.fullmatch(words)
    name = (match["name"] or match["alone"]).lower().strip() if match else ""
    known = nutrient_named(_SHORT.get(name, name))
    part = known.id if known else name
    if match is None or (part not in among if among else known is None):
        of = f", with one of {', '.join(among)}" if among else ""
        raise ImpossibleFigure(
            f"{text!r} is no target; it reads such as 'carbohydrate = 12 % of the energy'{of}"
        )
    figure = read_number(match["figure"])
    if figure is None:
        raise ImpossibleFigure(f"{text!r}: {match['figure'][:20]} is no figure")
    basis, unit = next(
        (basis, basis_match[1])
        for basis, written in _BASES.items()
        if (basis_match := re.fullmatch(written, match["rest"], re.IGNORECASE))
    )
    value = _in_own_unit(float(figure), part, basis, unit, text)
    return Target(part, basis, value, _SENSES.get((match["sense"] or "").lower(), EXACTLY), words)


def _unit(part: str, basis: str) -> str:
    """The unit of a target's value."""
    known = nutrient_named(part)
    own = known.unit if known else "%"
    if basis == PER_1000_KCAL:
        return "g" if own == "%" else own.partition("/")[0]
    return own


def _in_own_unit(value: float, part: str, basis: str, unit: str, text: str) -> float:
    if part == "energy" and basis in (AS_FED, DRY_MATTER):
        if re.fullmatch(r"kcal\s*(?:/|per)\s*kg", unit, re.IGNORECASE):
            return value
        raise ImpossibleFigure(f"{text!r}: {unit!r} is no unit for energy; it is told in kcal/kg")
    if basis == ENERGY_SHARE:
        return value
    own = _unit(part, basis)
    per = "/kg" if basis == PER_1000_KCAL else ""
    try:
        return convert(value, f"{unit or own}{per}", f"{own}{per}")
    except ImpossibleFigure:
        raise ImpossibleFigure(
            f"{text!r}: {unit!r} is no unit for {part}; there are % as fed, % dry matter, g per "
            "1000 kcal, % of the energy"
        ) from None
