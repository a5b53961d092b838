"""The page's own text: its policy, its size, nothing from outside, the same content elsewhere."""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Callable, Iterator
from html.parser import HTMLParser
from io import StringIO

import pytest

from panellint.output import document, terminal
from panellint.output.document import Bar, Table
from panellint.output.render_options import CAUTION, RenderOptions
from panellint.report import markdown
from panellint.report.blocks import flat
from panellint.report.page import fragment
from panellint.report.page import page as page_of

from .told import Reading, single

#: Labels of every form and market, with long lists, faults and several languages among them.
CORPUS = (
    "beef-frozen-raw",
    "chicken-bone-broth",
    "chicken-canada-bilingual",
    "duck-kibble-eu-faulty",
    "duck-millet-freeze-dried",
    "eu-duck-menu-de",
    "lamb-guarantees-missing",
    "peanut-xylitol-treat",
    "pumpkin-topper",
    "rabbit-air-dried-cat-eu",
    "tuna-pouch-cat-uk",
    "words-treat",
)
SOME = ("duck-millet-freeze-dried", "rabbit-air-dried-cat-eu", "peanut-xylitol-treat")
MOST = 200_000
#: Headings that only tables and runs of lines need; the page has other means.
LAYOUT = {"bywhoseword", "note", "nutrient", "whytheseshares"}
Corpus = Callable[[str], Reading]


class Parts(HTMLParser):
    """Tags, attributes and words of a page."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str]] = []
        self.words: list[str] = []
        self.raw: dict[str, str] = {}
        self._inside = ""
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [(name, value or "") for name, value in attrs]
        self._inside = tag

    def handle_data(self, data: str) -> None:
        if self._inside in ("style", "script") and data.strip():
            self.raw.setdefault(self._inside, data)
        else:
            self.words.append(data)


def words_of(found: Iterator[document.Block]) -> Iterator[str]:
    """Every sentence, heading and cell of a run of blocks."""
    plain = document.plain
    for block in found:
        match block:
            case document.Heading(_, words) | document.Paragraph(words):
                yield plain(words)
            case document.Items(lines):
                yield from map(plain, lines)
            case document.Table(headings, rows, _, caption):
                yield from (caption, *headings, *(plain(cell) for row in rows for cell in row))
            case document.Ranges(headings, ranges, caption):
                yield from (caption, *headings)
                yield from (one.words for one in ranges)


def squeezed(words: str) -> str:
    """Letters and figures alone: what is told, however it is laid out."""
    return re.sub(r"[^\w%]+", "", words).casefold()


@pytest.mark.parametrize("name", CORPUS)
def test_a_page_is_light_and_loads_nothing(name: str, corpus: Corpus, day: str) -> None:
    page = page_of(single(corpus(name), day))
    assert len(page.encode()) < MOST
    parts = Parts(page)
    assert not {"img", "link", "iframe", "object", "script", "form", "base"} & set(parts.tags)
    names = {attribute for attribute, _ in parts.attributes}
    assert "style" not in names
    assert not [attribute for attribute in names if attribute.startswith("on")]
    links = [value for attribute, value in parts.attributes if attribute in ("href", "src")]
    assert all(re.fullmatch(r"#[a-z]+", link) for link in links)


def test_the_policy_names_the_very_style_and_no_script(corpus: Corpus, day: str) -> None:
    parts = Parts(page_of(single(corpus(SOME[0]), day)))
    policy = next(value for name, value in parts.attributes if "default-src" in value)
    assert policy.startswith("default-src 'none'; ")
    assert "unsafe" not in policy
    assert "*" not in policy
    assert set(parts.raw) == {"style"}
    digest = base64.b64encode(hashlib.sha256(parts.raw["style"].encode()).digest()).decode()
    assert f"style-src 'sha256-{digest}'" in policy
    assert "script-src 'none'" in policy


@pytest.mark.parametrize("name", SOME)
def test_page_and_text_and_markdown_tell_the_same(name: str, corpus: Corpus, day: str) -> None:
    reading = corpus(name)
    found = list(flat(single(reading, day)))
    stream = StringIO()
    terminal.write(found, stream, RenderOptions(width=200))
    told = {
        "page": squeezed(" ".join(Parts(page_of(single(reading, day))).words)),
        "markdown": squeezed("".join(markdown.write(found)).replace("\\", "")),
    }
    pieces = [
        squeezed(piece)
        for sentence in words_of(iter(found))
        for piece in re.split(r"[;:.\u201c\u201d(\[]", sentence)
    ]
    assert len(pieces) > 100
    for whole in told.values():
        assert [piece for piece in pieces if piece not in whole and piece not in LAYOUT] == []
    # The terminal wraps words into columns: each must still be there.
    shown = set(re.findall(r"\w+", stream.getvalue()))
    wanted = {word for s in words_of(iter(found)) for word in re.findall(r"\w+", s)}
    assert {word for word in wanted - shown if len(word) < 20} == set()


@pytest.mark.parametrize("name", SOME)
def test_the_caution_stands_once_in_every_form(name: str, corpus: Corpus, day: str) -> None:
    reading = corpus(name)
    assert page_of(single(reading, day)).count(CAUTION) == 1
    assert "".join(markdown.write(flat(single(reading, day)))).count(CAUTION) == 1
    stream = StringIO()
    terminal.write(flat(single(reading, day)), stream, RenderOptions(width=400))
    assert stream.getvalue().count(CAUTION) == 1


def test_pages_are_the_same_each_time(corpus: Corpus, day: str) -> None:
    assert page_of(single(corpus(SOME[0]), day)) == page_of(single(corpus(SOME[0]), day))


def test_words_of_another_language_are_marked(corpus: Corpus, day: str) -> None:
    page = page_of(single(corpus("eu-duck-menu-de"), day))
    assert ' lang="de"' in page
    assert page.startswith('<!DOCTYPE html>\n<html lang="en">')


def test_a_bar_in_a_table_is_drawn_to_the_scale_of_its_column() -> None:
    table = Table(("", "0 to 80 %"), (("duck", Bar(20.0, 60.0, 80.0)),), kind="figures")
    drawn = fragment([table])
    assert 'x="25%"' in drawn
    assert 'width="50%"' in drawn
    assert "20.0" not in drawn
