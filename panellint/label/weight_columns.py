"""The weight that figures of an analysis are of: "per 100 g" in its heading or over a column."""

import re

#: The weight that a heading says the figures below it are of: "per 100 g", "(g/100 g)".
OF_WEIGHT = re.compile(
    r"(?:(?P<unit>\bg\s*/)|/|\b(?:p[eao]r|pro|je|w|na|v|in)\s)\s*(?P<weight>100\s?g|kg)\b",
    re.IGNORECASE,
)
#: What a column holds the contents of, "per 100 g", "per tray (70 g)".
_COLUMN = re.compile(
    r"[\s|]*\b(?:p[eao]r|pro|je)\s+(?P<of>100\s?g|kg|[^\W\d_]+)\b(?:[ \t]*\([ \t]*\d+\s?g\))?",
    re.IGNORECASE,
)


def column_of_weight(heading: str, text: str) -> tuple[int, int, bool]:
    """Returns where the words over the columns of a table end that a text begins with, the column
    of 100 g (or of a kg), and whether there are several."""
    end, columns = 0, [over["of"] for over in _COLUMN.finditer(heading)]
    while over := _COLUMN.match(text, end):
        columns.append(over["of"])
        end = over.end()
    of_weight = [number for number, of in enumerate(columns) if of[0] == "1" or of == "kg"]
    several = len(columns) > 1 and len(of_weight) == 1
    return end if several else 0, of_weight[0] if several else 0, several
