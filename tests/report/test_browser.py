"""The pages in a real browser: silent, accessible, within their width, sorted and switched."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from panellint.core.text import harmless
from panellint.report.page import page as page_of
from panellint.report.reading import Reading, single
from panellint.report.several import BASES, several

#: Foods that differ in what the page has to show: dry, wet, cat, treat, EU, faults, German.
UNLIKE = (
    "duck-millet-freeze-dried",
    "lamb-stew-gravy",
    "salmon-missing-cat-kibble",
    "peanut-xylitol-treat",
    "duck-kibble-eu-faulty",
    "eu-duck-menu-de",
    "chicken-stew-broken-brackets",
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


def serious(page: Any) -> list[str]:
    """Violations that axe-core calls serious or critical, with the elements; and WCAG 2.2 AA
    target sizes and contrast, whatever it calls them."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright").Axe()
    found = axe.run(page).response["violations"]
    return [
        f"{one['id']}: {node['html'][:120]}"
        for one in found
        if one["impact"] in ("serious", "critical")
        or one["id"] in ("target-size", "color-contrast")
        for node in one["nodes"]
    ]


@pytest.mark.parametrize("name", [*UNLIKE, *MORE])
def test_a_page_opens_in_silence(name: str, corpus: Corpus, opened: Opened, day: str) -> None:
    page = opened(page_of(single(corpus(name), day)))
    assert page.locator("h1").inner_text() == " ".join(corpus(name).name.split())
    assert page.locator("main section").count() >= 10


@pytest.mark.parametrize("name", UNLIKE)
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_serious_violation_of_accessibility_rules(
    name: str, scheme: str, corpus: Corpus, opened: Opened, day: str
) -> None:
    page = opened(page_of(single(corpus(name), day)))
    page.emulate_media(color_scheme=scheme)
    page.evaluate("for (const one of document.querySelectorAll('details')) one.open = true")
    assert serious(page) == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_several_foods_have_no_serious_violation(
    scheme: str, corpus: Corpus, opened: Opened, day: str
) -> None:
    page = opened(page_of(several([corpus(name) for name in UNLIKE], day)))
    page.emulate_media(color_scheme=scheme)
    page.evaluate("for (const one of document.querySelectorAll('details')) one.open = true")
    assert serious(page) == []


def test_nothing_is_wider_than_the_screen(corpus: Corpus, opened: Opened, day: str) -> None:
    texts = [page_of(single(corpus(name), day)) for name in UNLIKE]
    texts.append(page_of(several([corpus(name) for name in UNLIKE], day)))
    for text in texts:
        for width in WIDTHS:
            page = opened(text, width)
            assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_a_proof_is_one_key_away(corpus: Corpus, opened: Opened, day: str) -> None:
    page = opened(page_of(single(corpus("venison-split-peas-kibble"), day)))
    proof = page.locator("details.promise").first
    assert not proof.locator("ol").is_visible()
    proof.locator("summary").focus()
    page.keyboard.press("Enter")
    assert "venison is at most 12.5 %" in proof.locator("ol").inner_text()


def test_bases_are_switched(corpus: Corpus, opened: Opened, day: str) -> None:
    page = opened(page_of(several([corpus(name) for name in UNLIKE[:2]], day)))
    tables = {id: page.locator(f".basis.{id} table") for id, _, _ in BASES}
    assert [name for name, table in tables.items() if table.is_visible()] == ["dry-matter"]
    for name in ("as-fed", "per-1000-kcal", "dry-matter"):
        page.locator(f"#on-{name}").click()
        assert [one for one, table in tables.items() if table.is_visible()] == [name]
    page.locator("#on-dry-matter").focus()
    page.keyboard.press("ArrowRight")
    assert tables["per-1000-kcal"].is_visible()


def test_a_table_is_sorted_by_a_column_and_back(corpus: Corpus, opened: Opened, day: str) -> None:
    page = opened(page_of(several([corpus(name) for name in UNLIKE], day)))
    table = page.locator(".basis.dry-matter table")

    def column(number: int) -> list[str]:
        return table.locator(f"tbody tr > :nth-child({number + 1})").all_inner_texts()

    names = column(0)
    button = table.get_by_role("button", name="protein")
    button.click()
    falling = [float(one) for one in column(1) if one != "–"]
    assert falling == sorted(falling, reverse=True)
    assert column(0) != names
    assert button.locator("..").get_attribute("aria-sort") == "descending"
    assert page.locator("#sorted").inner_text() == "Sorted by protein, falling"
    button.click()
    rising = [float(one) for one in column(1) if one != "–"]
    assert rising == falling[::-1]
    table.get_by_role("button", name="Food").click()
    assert column(0) == names


def test_what_a_label_does_not_tell_comes_last_either_way(
    corpus: Corpus, opened: Opened, day: str
) -> None:
    page = opened(
        page_of(several([corpus("lamb-guarantees-missing"), *map(corpus, UNLIKE[:3])], day))
    )
    table = page.locator(".basis.dry-matter table")
    unknown = table.locator("tbody tr", has_text="–").first.locator("th").inner_text()
    heading = "carbohydrate"
    for _ in range(2):
        table.get_by_role("button", name=heading).click()
        assert table.locator("tbody tr").last.locator("th").inner_text() == unknown


def test_all_is_readable_without_scripts(corpus: Corpus, opened: Opened, day: str) -> None:
    text = page_of(several([corpus(name) for name in UNLIKE], day))
    page = opened(text[: text.rindex("<script>")] + "</body></html>")
    assert page.locator("button").count() == 0
    page.locator("#on-as-fed").click()
    assert page.locator(".basis.as-fed table tbody tr").count() == len(UNLIKE)
    assert page.locator(".basis.as-fed table").is_visible()


def test_on_paper_there_are_all_bases_and_proofs(corpus: Corpus, opened: Opened, day: str) -> None:
    page = opened(page_of(several([corpus(name) for name in UNLIKE[:2]], day)))
    page.emulate_media(media="print")
    assert all(page.locator(".basis table").nth(i).is_visible() for i in range(3))
    page = opened(page_of(single(corpus("venison-split-peas-kibble"), day)))
    page.emulate_media(media="print")
    assert page.locator("details.promise ol").first.is_visible()
    for paper in ("A4", "Letter"):
        assert page.pdf(format=paper).startswith(b"%PDF-")


def test_a_label_full_of_markup_shows_as_text(
    hostile: Reading, corpus: Corpus, opened: Opened, day: str
) -> None:
    alone = page_of(single(hostile, day))
    together = page_of(several([hostile, corpus(UNLIKE[0])], day))
    for text, scripts in ((alone, 0), (together, 1)):
        page = opened(text)
        assert page.evaluate("window.hacked") is None
        assert page.locator("script").count() == scripts
        assert page.locator("style").count() == 1
        for tag in ("img", "iframe", "a[href^=http]", "a[href^=javascript]", "main b"):
            assert page.locator(tag).count() == 0, tag
        seen = page.locator("body").inner_text()
        assert "<script>window.hacked=1</script>" in seen
        assert "onload=window.hacked=3" in seen
        assert "\u202e" not in page.content()
    page = opened(alone)
    assert page.title().startswith("<script>")
    names = page.locator("#list ~ table .nm").all_text_contents()
    assert names == [harmless(row.name) for row in hostile.rows]
    assert "{{ 7*7 }}" in page.locator("h1").inner_text()
