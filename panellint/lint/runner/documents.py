"""Proofs as they arrive: the text layer of PDF and DOCX files, a label for each page or table.

A part is named behind the file, `proof.pdf#page=2`, `proof.docx#table=1` or `proof.docx#text` (what
stands outside tables); lines count within it. Pictures of text are not read, and are said. It needs
the extra `documents`: pypdf, python-docx.
"""

import io
import re
from collections.abc import Callable, Iterator
from functools import lru_cache
from typing import Any

from panellint.core.errors import Fault, InputError, PanellintError
from panellint.core.files import read_bytes
from panellint.core.source import Source

_PART = re.compile(r"(?P<file>.+\.(?:pdf|docx))#(?P<part>page=\d+|table=\d+|text)", re.IGNORECASE)


def part_source(path: str) -> Source | None:
    """Returns the text of a part of a document; None for a path that names none. Raises InputError
    where there is no such part, or the document cannot be read."""
    match = _PART.fullmatch(path)
    if match is None:
        return None
    parts = dict(_parts(match["file"], read_bytes(match["file"])))
    if match["part"] not in parts:
        raise InputError(Fault(path, None, None, "there is no such page or table"))
    return Source(parts[match["part"]], path)


def parts_of(path: str) -> tuple[list[str], list[str]]:
    """Returns the parts of a document that hold text, as paths, and those that hold none.

    Raises InputError where the document cannot be read, or no part of it has text.
    """
    parts = _parts(path, read_bytes(path))
    with_text = [f"{path}#{name}" for name, text in parts if text.strip()]
    if not with_text:
        raise InputError(Fault(path, None, None, "has no text layer; pictures are not read"))
    return with_text, [f"{path}#{name}" for name, text in parts if not text.strip()]


@lru_cache(maxsize=4)
def _parts(path: str, content: bytes) -> tuple[tuple[str, str], ...]:
    pages = path.lower().endswith(".pdf")
    read: Callable[[bytes], Iterator[tuple[str, str]]] = _pages if pages else _tables
    try:
        return tuple(read(content))
    except ImportError as error:
        raise PanellintError(
            f"{path}: {error.name or error} is needed; pip install 'panellint[documents]'"
        ) from None
    except Exception as error:  # whatever the library met in a damaged file
        words = f"cannot be read: {type(error).__name__}: {error}"
        raise InputError(Fault(path, None, None, words)) from None


def _pages(content: bytes) -> Iterator[tuple[str, str]]:
    from pypdf import PdfReader

    for number, page in enumerate(PdfReader(io.BytesIO(content)).pages, start=1):
        yield f"page={number}", _cleaned(page.extract_text())


def _tables(content: bytes) -> Iterator[tuple[str, str]]:
    from docx import Document

    document = Document(io.BytesIO(content))
    words = _cleaned("\n".join(paragraph.text for paragraph in document.paragraphs))
    if words.strip() or not document.tables:
        yield "text", words
    for number, table in enumerate(document.tables, start=1):
        yield f"table={number}", _cleaned("\n".join(map(_row, table.rows)))


def _row(row: Any) -> str:
    """Returns a row as a line of a label: "heading: words" of two cells; a merged cell once."""
    cells: list[str] = []
    for cell in row.cells:
        if not cells or cell.text != cells[-1]:
            cells.append(cell.text)
    first, *rest = cells or [""]
    joint = "" if not rest or first.rstrip().endswith(":") else ":"
    return f"{first}{joint} {' '.join(rest)}".strip() if first.strip() else " ".join(rest)


def _cleaned(text: str) -> str:
    """Returns text without what no label has: nothings, and the page's own kinds of line end."""
    return text.replace("\0", "").replace("\x0b", "\n").replace("\r\n", "\n").replace("\r", "\n")
