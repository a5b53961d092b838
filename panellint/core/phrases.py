"""Lists and sentences as findings print them: one way for every rule."""

import re
from collections.abc import Iterable, Mapping
from decimal import Decimal
from fractions import Fraction

from panellint.core.numbers import number

_FIELD = re.compile(r"\{([A-Za-z_][A-Za-z0-9_]*)\}")


def listed(words: Iterable[str], joint: str = "and") -> str:
    """`a`, `a and b`, `a, b and c`."""
    parts = list(words)
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} {joint} {parts[-1]}"


def counted(count: int, noun: str, plural: str = "") -> str:
    """Returns such as "1 entry" or "3,000 entries"."""
    return f"{count:,} {noun if count == 1 else plural or noun + 's'}"


def shown(value: object) -> str:
    """Any value of an observation as text: numbers, lists and words."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float | Decimal | Fraction):
        return number(value)
    if isinstance(value, list | tuple):
        return listed(shown(item) for item in value)
    return str(value)


def fill(text: str, values: Mapping[str, object]) -> str:
    """`text` with every `{field}` replaced; a field without a value stays as it stands.

    A value that is costly may be a function without arguments, called where its field stands.
    Fields are plain names: no attribute, index or format code is looked at, so a pack
    cannot reach into the program.
    """

    def filled(field: re.Match[str]) -> str:
        value = values.get(field[1], field[0])
        return shown(value() if callable(value) else value)

    return _FIELD.sub(filled, text)


def fields(text: str) -> tuple[str, ...]:
    """The names of the fields in `text`, in order of first use."""
    return tuple(dict.fromkeys(_FIELD.findall(text)))


def nearest(word: str, words: Iterable[str]) -> str | None:
    """The word most like `word`, or None where none is near."""
    from rapidfuzz import process
    from rapidfuzz.distance import OSA

    match = process.extractOne(
        word.casefold(),
        sorted(words),
        scorer=OSA.normalized_similarity,
        processor=str.casefold,
        score_cutoff=0.6,
    )
    return match[0] if match else None


def capital(text: str) -> str:
    """Returns a text with its first letter a capital, the others as they are."""
    return f"{text[:1].upper()}{text[1:]}"
