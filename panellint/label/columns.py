"""Two columns of a page that were pasted side by side, read one after the other.

A column's text keeps its place: the other column's words are blanks in it, so that every offset
is that of the whole text.
"""

import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cache
from itertools import chain

from panellint.core.source import Source, Span
from panellint.core.text import fold
from panellint.label.guarantees import nutrient_over
from panellint.label.headings import PER_WEIGHT
from panellint.label.vocabulary import vocabulary
from panellint.rulepacks.data import data

#: What parts two columns of a line: blanks, or a rule between them.
_RULES = "|¦│"
_GAP = re.compile(
    rf"(?<=\S)(?:[ \u00a0]{{2,}}[{_RULES}][ \u00a0]*|[ \u00a0]{{3,}}|\t+)(?=[^\W\d_])"
)
_PARTED = re.compile(rf"\t|{_GAP.pattern}")
#: A limit of the time taken: a right column is known by so many of its characters; of a line
#: without end each gap would have all that is behind it read.
_AHEAD = 400
_HEADINGS = ("title", "heading")

#: The signs between the cells of a sheet, where none stands in quotes.
_SIGNS = {
    sign: re.compile(rf'(?<![^{sign}\n])"([^"\n]*)"(?![^{sign}\n\r])|[{sign}]') for sign in ";,|"
}

#: Where a cell of a row begins, with the sign before it.
_CELL_SIGN = re.compile(r"(?=[|\t])")
_BARS = " |\t*"
#: The rule below the first row of one with bars.
_RULED = re.compile(r"^[ \t|:-]+$", re.MULTILINE)

#: The left cell of a row whose cells stand below those of the rows above.
_KEYED = re.compile(r"^(?P<key>[^\W\d_][^\n:|]{1,38}?) {2,}(?=\S)", re.MULTILINE)

#: What words of a source begin with: "title", a heading that stands alone; "heading"; another part
#: of a label; or "".
Begins = Callable[[Source, Span], str]


def columned(source: Source, begins: Begins) -> Iterator[tuple[Source, Span, bool]]:
    """Yields the lines in the order in which they are read, of two columns first those of the left
    one, then those of the right one, each with the text of its column. A single line over two
    columns comes in pieces, with True."""
    lines = list(source.lines())
    number = 0
    while number < len(lines):
        barred = source.text.startswith("|", lines[number].start)
        if not (barred or _PARTED.search(source.text, *lines[number])):
            yield source, lines[number], False
            number += 1
            continue
        here = cache(begins)  # which is asked of a piece of a line up to three times
        column = _column(source, lines[number], here)
        end = _end(source, lines, number, column) if column else number
        columns = [
            [_cell(source, line, column, left) for line in lines[number:end]]
            for left in (True, False)
        ]
        if end == number:
            end = _last_row(source, lines, number, here)
            columns = _of_a_table(source, lines[number:end])
        for cells in columns if end > number else ():
            page = _page(source, lines[number:end], cells)
            yield from ((page, line, False) for line in lines[number:end])
        if end == number and (pages := _by_language(source, lines, number)):
            end = number + pages[0]
            for page in pages[1]:
                yield from ((page, line, False) for line in lines[number:end])
        if end == number:
            yield from ((source, *piece) for piece in _pieces(source, lines[number], here))
        number = max(end, number + 1)


def _pieces(source: Source, line: Span, begins: Begins) -> list[tuple[Span, bool]]:
    """Returns a line, or its pieces; of two headings the left one last, where it stands alone and
    so goes on below."""
    pieces, start, right = [], line.start, ""
    for gap in _GAP.finditer(source.text, line.start, line.end):
        if right := begins(source, _behind(gap, line)) or right:
            pieces.append((Span(start, gap.start()), True))
            start = gap.end()
    pieces.append((Span(start, line.end), bool(pieces)))
    headed = right in _HEADINGS and begins(source, pieces[0][0]) == "title"
    return pieces[::-1] if headed else pieces


def _column(source: Source, line: Span, begins: Begins) -> int:
    """Returns how far into a line a right column begins with a heading; 0 where none does."""
    for gap in _GAP.finditer(source.text, line.start, line.end):
        if begins(source, _behind(gap, line)) in _HEADINGS:
            return gap.end() - line.start
    return 0


def _behind(gap: re.Match[str], line: Span) -> Span:
    return Span(gap.end(), min(line.end, gap.end() + _AHEAD))


def _by_language(
    source: Source, lines: Sequence[Span], first: int
) -> tuple[int, list[Source]] | None:
    """Returns how many rows a table has that has a language a column, and a page of each language:
    its column with the headings before the rows. None where it is none."""
    rows = _rows_by_language(source, lines, first)
    if not rows:
        return None
    of_table = lines[first : first + len(rows)]
    return len(rows), [_column_page(source, of_table, rows, n) for n in range(1, len(rows[0]))]


def _rows_by_language(source: Source, lines: Sequence[Span], first: int) -> list[list[Span]]:
    """Returns the cells of a table with codes of languages over its columns, and a heading before
    each row; none where it is none."""
    cells = _signed_cells(source, lines[first])
    codes = [source.slice(cell).strip(_BARS) for cell in cells[1:]]
    if len(codes) < 2 or not _marks_of_languages().keys() >= set(codes):
        return []
    rows = [cells]
    for line in lines[first + 1 :]:
        row = _signed_cells(source, line)
        if len(row) != len(cells):
            break
        rows.append(row)
    return rows if len(rows) > 1 else []


def language_cells(source: Source) -> Iterator[tuple[Span, str]]:
    """Yields the cells of tables that have a language a column, each with its language."""
    lines = list(source.lines())
    number = 0
    while number < len(lines):
        rows = _rows_by_language(source, lines, number)
        for code, *column in list(zip(*rows, strict=True))[1:]:
            language = _marks_of_languages()[source.slice(code).strip(_BARS)]
            yield from ((cell, language) for cell in (code, *column) if language)
        number += max(1, len(rows))


@cache
def _marks_of_languages() -> dict[str, str]:
    marks = data("words/languages")["marks"]
    return {code: language for language, codes in marks.items() for code in codes}


def _column_page(
    source: Source, lines: Sequence[Span], rows: Sequence[Sequence[Span]], number: int
) -> Source:
    """Returns the source with blanks for the cells of a table but the first of each row and one."""
    text, parts, end = source.text, list[str](), 0
    for line, row in zip(lines, rows, strict=True):
        parts.append(text[end : line.start])
        kept = [row[0], row[number]]
        at = line.start
        for cell in kept:
            parts += (" " * (cell.start - at), source.slice(cell))
            at = cell.end
        parts.append(" " * (line.end - at))
        end = line.end
    return Source("".join((*parts, text[end:])), source.path)


def _tabs(source: Source, line: Span) -> int:
    return source.text.count("\t", line.start, line.end)


def _cells(source: Source, line: Span) -> Iterator[Span]:
    """Yields the cells of a row, which tabs part."""
    start = line.start
    for cell in source.slice(line).split("\t"):
        yield Span(start, start + len(cell))
        start += len(cell) + 1


def _of_a_table(source: Source, lines: Sequence[Span]) -> list[list[Span]]:
    """Returns the cells of each column of a table, nutrients side by side as one column."""
    columns: list[list[Span]] = []
    beside = False
    for cells in zip(*(_cells(source, line) for line in lines), strict=True):
        of_nutrient = nutrient_over(source.slice(cells[0])) is not None
        if beside and of_nutrient:
            columns[-1] = [one.cover(more) for one, more in zip(columns[-1], cells, strict=True)]
        else:
            columns.append(list(cells))
        beside = of_nutrient
    return columns


def _signed_cells(page: Source, line: Span) -> list[Span]:
    """Returns the cells of a row that tabs or bars part, each with the sign before it."""
    words, start = page.slice(line).rstrip(_BARS), line.start
    cells = []
    for cell in _CELL_SIGN.split(words):
        cells.append(Span(start, start + len(cell)))
        start += len(cell)
    return cells[1:] if words.lstrip(" ").startswith("|") else cells


def _last_row(source: Source, lines: Sequence[Span], first: int, begins: Begins) -> int:
    """Returns the line behind a table whose columns have headings alone in their first row, some of
    them where there is one row below; the first line where it is none."""
    tabs, end = _tabs(source, lines[first]), first + 1
    most = data("words/blocks")["lengths"]
    if not 0 < tabs <= most["table-tabs"]:
        return first
    headings = [begins(source, cell) for cell in _cells(source, lines[first])]
    titles, others = headings.count("title"), headings.count("")
    whole = titles == len(headings)
    few = titles < most["table-headings"] and not _is_first_row(source.slice(lines[first]))
    if not whole and (few or titles + others < len(headings)):
        return first
    while end < len(lines) and _tabs(source, lines[end]) == tabs:
        end += 1
    rows = sum(bool(source.slice(line).strip()) for line in lines[first + 1 : end])
    kinds = map(_kind, source.slice(lines[first]).split("\t"))
    if rows > data("words/foods")["most"] and "product-name" in kinds:
        return first  # a price list is no label
    return end if rows == 1 or (rows and whole) else first


def _end(source: Source, lines: Sequence[Span], first: int, column: int) -> int:
    """Returns the line behind two columns, the first where they are none: up to the first line
    over both, and no further than a blank line below the right column."""
    rows, end, least = 0, first, data("words/blocks")["lengths"]
    for number in range(first, len(lines)):
        printed = source.slice(lines[number])
        if printed[column - least["column-blanks"] : column].strip(f" {_RULES}") or "\t" in printed:
            break
        if printed[column:].strip():
            rows, end = rows + 1, number + 1
        elif printed.strip() and end == number:
            end = number + 1
    return end if rows >= least["column-lines"] else first


def _cell(source: Source, line: Span, column: int, left: bool) -> Span:
    """Returns what a line has left of a place in it, or from there on."""
    middle = min(line.start + column, line.end)
    if not left:
        return Span(middle, line.end)
    words = source.text[line.start : middle].rstrip(f" \u00a0{_RULES}")
    return Span(line.start, line.start + len(words))


def _page(source: Source, lines: Sequence[Span], cells: Iterable[Span]) -> Source:
    """Returns the source with blanks for all words of some lines but those of a cell in each."""
    text, end = source.text, lines[0].start
    parts = [text[:end]]
    for line, cell in zip(lines, cells, strict=True):
        words, rest = source.slice(cell), " " * (line.end - cell.end)
        parts += (text[end : line.start], " " * (cell.start - line.start), words)
        end = line.end
        if rest and words.endswith("-") and text[end : end + 1] == "\n":
            # Its word goes on in the column's next line.
            rest, end = f"\n{rest}", end + 1
        parts.append(rest)
    return Source("".join((*parts, text[end:])), source.path)


def separated(text: str) -> str:
    """Returns the text of a sheet of semicolons, commas or bars with tabs between its cells; any
    other text as it is."""
    first = text.lstrip().partition("\n")[0]
    for sign, pattern in _SIGNS.items():
        if sign in first and _is_first_row(pattern.sub(_tab, first)):
            return pattern.sub(_tab, _RULED.sub(_open, text))
    return text


def keyed(text: str) -> str:
    """Returns the text of a sheet of two columns with a colon behind the headings in its left one,
    which are so many and no fewer than its other cells; any other text as it is."""
    least, columns = data("words/blocks")["lengths"]["sheet-headings"], Counter[int]()
    headed: dict[int, list[int]] = {}
    for row in _KEYED.finditer(text):
        column = row.end() - row.start()
        columns[column] += 1
        if _kind(row["key"]):
            headed.setdefault(column, []).append(row.end("key"))
    sheets = (e for c, e in headed.items() if least <= len(e) and columns[c] <= 2 * len(e))
    parts: list[str] = []
    start = 0
    for end in sorted(chain.from_iterable(sheets)):
        parts += (text[start:end], ":")
        start = end + 1
    return "".join((*parts, text[start:]))


def products(page: Source) -> Iterator[tuple[list[Span], Span]]:
    """Yields the cells and the name of each product of a sheet that has a product a row."""
    lines = [line for line in page.lines() if page.slice(line).strip()]
    if lines and _is_first_row(page.slice(lines[0])):
        kinds = [_kind(cell) for cell in page.slice(lines[0]).split("\t")]
        name = kinds.index("product-name") if "product-name" in kinds else 0
        for line in lines[1:]:
            cells = list(_cells(page, line))
            if len(cells) == len(kinds):
                words = page.slice(cells[name])
                start = cells[name].end - len(words.lstrip())
                yield cells, Span(start, start + len(words.strip()))


def varieties(page: Source) -> Iterator[tuple[list[Span], Span]]:
    """Yields the cells, each with the sign before it, and the name of each food of a table that has
    a food a column and a heading before each row, that of the list among them."""
    rows: list[list[Span]] = []
    for line in (*page.lines(), Span(len(page.text), len(page.text))):
        cells = _signed_cells(page, line)
        if rows and len(cells) != len(rows[0]):
            heads = [_kind(page.slice(row[0]).strip(_BARS)) for row in rows]
            if len(rows[0]) > 2 and "declaration" in heads[1:] and heads[0] != "declaration":
                for column in list(zip(*rows, strict=True))[1:]:
                    words = page.slice(column[0])
                    start = column[0].end - len(words.lstrip(_BARS))
                    yield list(column), Span(start, start + len(words.strip(_BARS)))
            rows = []
        if len(cells) > 2 and not _RULED.fullmatch(page.slice(line)):
            rows.append(cells)


def _is_first_row(row: str) -> bool:
    kinds = [kind for cell in row.split("\t") if (kind := _kind(cell))]
    least = data("words/blocks")["lengths"]["sheet-headings"]
    return len(kinds) >= least and "declaration" in kinds and len(kinds) > row.count("\t") / 2


def _kind(cell: str) -> str:
    words = PER_WEIGHT.sub("", " ".join(cell.split()))
    kind: str = vocabulary()["kinds"].get(fold(words), "")
    return kind


def _open(rule: re.Match[str]) -> str:
    return re.sub("[:-]", " ", rule[0])


def _tab(sign: re.Match[str]) -> str:
    return "\t" if sign[1] is None else f" {sign[1]} "
