"""Tables of guarantees with bounds or names above the columns: "Min" over one and "Max" over
another, or a row of names and a row of figures."""

import re
from collections.abc import Callable, Iterator, Sequence

from panellint.core.source import Span
from panellint.label.bound_words import bound_of, bound_words
from panellint.label.model import Bound

_CELLS = re.compile(r"[\t|]")
_CELL = re.compile(r"[^\s|](?:[^\t|\n ]| (?! ))*")
_DIGIT = re.compile(r"\d")
_LETTER = re.compile(r"[^\W\d_]")
#: Figures of one column stand so near below one another, in characters.
_NEAR = 3


class BoundColumns:
    """The bounds that the first line of a table names, by column; none where it names no two."""

    def __init__(self, text: str, figures: Sequence[int]) -> None:
        """`figures` are the offsets of the figures in the text."""
        self._text = text
        self._bounds: tuple[Bound, ...] = ()
        self._cells: dict[int, Bound] = {}
        self._middle: float | None = None
        head = text[: figures[0]].rpartition("\n")[0] if figures else ""
        line = next((line for line in reversed(head.split("\n")) if _LETTER.search(line)), "")
        named = [bound_of(match.group()) for match in bound_words().finditer(line)]
        bounds = tuple(bound for bound in named if bound)
        others = [cell for cell in _CELLS.split(bound_words().sub(" ", line)) if cell.strip()]
        if len(set(bounds)) != 2 or len(others) > ("|" in line):  # "| Nutrient | Min | Max |"
            return
        self._bounds = bounds
        cells = [bound_of(cell.strip()) if cell.strip() else None for cell in _CELLS.split(line)]
        if len(cells) > 1:
            first = next((place for place, bound in enumerate(cells) if bound), 0)
            # The blank cell over the names may be cut off with the white space around the table.
            shift = 0 if first else 1
            self._cells = {n + shift: bound for n, bound in enumerate(cells) if bound}
            return
        columns = sorted(self._column(figure) for figure in figures)
        if columns[-1] - columns[0] > _NEAR:
            self._middle = (columns[0] + columns[-1]) / 2

    def of(self, figure: int) -> Bound | None:
        """Returns the bound over the figure that begins at an offset of the text."""
        if self._cells:
            start = self._text.rfind("\n", 0, figure) + 1
            return self._cells.get(len(_CELLS.findall(self._text, start, figure)))
        if self._middle is None:
            return None
        return self._bounds[self._column(figure) > self._middle]

    def _column(self, figure: int) -> int:
        return figure - self._text.rfind("\n", 0, figure)


def names_above(text: str, is_name: Callable[[str], object]) -> dict[int, Span]:
    """Returns the place of the name over each figure that stands in a row of as many cells below a
    row of names, by the offset of the figure's first digit."""
    above: dict[int, Span] = {}
    names: list[Span] = []
    for cells in _rows(text):
        printed = [text[cell.start : cell.end] for cell in cells]
        figures = [_DIGIT.search(text, cell.start, cell.end) for cell in cells]
        if len(cells) > 1 and all(map(is_name, printed)):
            names = cells
        elif names and len(names) == len(cells):
            above |= {
                digit.start(): name for digit, name in zip(figures, names, strict=True) if digit
            }
            names = []
        else:
            names = []
    return above


def _rows(text: str) -> Iterator[list[Span]]:
    """Yields the cells of each line that is no rule."""
    start = 0
    for line in text.split("\n"):
        end = start + len(line)
        if _LETTER.search(line) or _DIGIT.search(line):
            yield [Span(*cell.span()) for cell in _CELL.finditer(text, start, end)]
        start = end + 1
