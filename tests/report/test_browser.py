"""The pages in a real browser: silent, accessible, within their width, sorted and switched."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from panellint.core.text import harmless
from panellint.report.foods import Owner, sheet, slides
from panellint.report.page import page as page_of

from .told import Reading, single

#: Foods that differ in what the page has to show: dry, wet, cat, treat, EU, faults, German.
UNLIKE = (
    "duck-millet-freeze-dried",
    "tuna-pouch-cat-uk",
    "rabbit-air-dried-cat-eu",
    "peanut-xylitol-treat",
    "duck-kibble-eu-faulty",
    "eu-duck-menu-de",
    "words-treat",
)
#: Further ones: long lists, two languages, proofs, missing guarantees, a bare topper.
MORE = (
    "chicken-canada-bilingual",
    "lamb-guarantees-missing",
    "pumpkin-topper",
    "turkey-quinoa-fresh",
    "venison-split-peas-kibble",
)
WIDTHS = (320, 1100, 3840)
Corpus = Callable[[str], Reading]
Opened = Callable[..., Any]


@pytest.mark.parametrize("name", [*UNLIKE, *MORE])
def test_a_page_opens_in_silence(name: str, corpus: Corpus, opened: Opened, day: str) -> None:
    page = opened(page_of(single(corpus(name), day)))
    assert page.locator("h1").inner_text() == " ".join(corpus(name).name.split())
    assert page.locator("main section").count() >= 10


@pytest.mark.parametrize("name", UNLIKE)
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_serious_violation_of_accessibility_rules(
    name: str,
    scheme: str,
    corpus: Corpus,
    opened: Opened,
    violations: Callable[[Any], list[str]],
    day: str,
) -> None:
    page = opened(page_of(single(corpus(name), day)))
    page.emulate_media(color_scheme=scheme)
    page.evaluate("for (const one of document.querySelectorAll('details')) one.open = true")
    assert violations(page) == []


def test_nothing_is_wider_than_the_screen(corpus: Corpus, opened: Opened, day: str) -> None:
    texts = [page_of(single(corpus(name), day)) for name in UNLIKE]
    for text in texts:
        for width in WIDTHS:
            page = opened(text, width)
            assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_no_word_of_a_table_is_broken_on_a_desk(corpus: Corpus, opened: Opened, day: str) -> None:
    page = opened(page_of(single(corpus("venison-split-peas-kibble"), day)), 1280)
    broken = page.evaluate(
        """[...document.querySelectorAll('table.stack th, table.stack td')].flatMap((cell) => {
          const walker = document.createTreeWalker(cell, NodeFilter.SHOW_TEXT), broken = [];
          for (let node; (node = walker.nextNode());)
            for (const word of node.data.matchAll(/[A-Za-z]+/g)) {
              const range = document.createRange();
              range.setStart(node, word.index);
              range.setEnd(node, word.index + word[0].length);
              if (range.getClientRects().length > 1) broken.push(word[0]);
            }
          return broken;
        })"""
    )
    assert broken == []


def test_a_proof_is_one_key_away(corpus: Corpus, opened: Opened, day: str) -> None:
    page = opened(page_of(single(corpus("venison-split-peas-kibble"), day)))
    proof = page.locator("details.promise").first
    assert not proof.locator("ol").is_visible()
    proof.locator("summary").focus()
    page.keyboard.press("Enter")
    assert "venison is at most 12.5 %" in proof.locator("ol").inner_text()


def test_on_paper_there_are_all_proofs(corpus: Corpus, opened: Opened, day: str) -> None:
    page = opened(page_of(single(corpus("venison-split-peas-kibble"), day)))
    page.emulate_media(media="print")
    assert page.locator("details.promise ol").first.is_visible()
    for paper in ("A4", "Letter"):
        assert page.pdf(format=paper).startswith(b"%PDF-")


def test_a_label_full_of_markup_shows_as_text(
    hostile: Reading, hostile_owner: Owner, opened: Opened, day: str
) -> None:
    alone = page_of(single(hostile, day))
    pages = [alone, page_of(sheet(hostile_owner, day), "sheet")]
    pages += [page_of(slides([hostile_owner], day), "slides")]
    for text in pages:
        page = opened(text)
        assert page.evaluate("window.hacked") is None
        assert page.locator("script").count() == 0
        assert page.locator("style").count() == 1
        for tag in ("img", "iframe", "a[href^=http]", "a[href^=javascript]", "main b"):
            assert page.locator(tag).count() == 0, tag
        seen = page.locator("body").inner_text()
        assert "window.hacked=1" in seen
        assert "\u202e" not in page.content()
    page = opened(alone)
    assert page.title().startswith("window.hacked=1")
    names = page.locator("#list ~ table .nm").all_text_contents()
    assert names == [harmless(row.name) for row in hostile.rows]
    assert "{{ 7*7 }}" in page.locator("h1").inner_text()
