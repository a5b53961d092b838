"""Makes the two pictures of this folder from the corpus, with the system's Chromium.

    python corpus/pictures/make.py

Needs the packages of the `test` extra. The pictures change when labels, rules or the page do.
"""

from __future__ import annotations

import tempfile
from pathlib import Path
from shutil import which

from playwright.sync_api import Page, sync_playwright

from panellint.analysis.context import LabelContext
from panellint.lint.runner.files import source_of
from panellint.report.foods import Owner, owner, range_page, sheet
from panellint.report.page import page as page_of

HERE = Path(__file__).parent
DAY = "25 November 2026"
FLAGS = (
    "--headless --no-sandbox --disable-gpu --disable-quic --no-first-run "
    "--disable-background-networking --disable-component-update --disable-sync"
)
ONE = "lamb-stew-gravy"
SEVERAL = (
    "beef-frozen-raw",
    "duck-millet-freeze-dried",
    "lamb-stew-gravy",
    "pumpkin-topper",
    "tuna-pouch-cat-uk",
)


def of(name: str) -> Owner:
    """A corpus label as its owner gets it told."""
    return owner(LabelContext.of(source_of(str(HERE.parent / f"{name}.panel"))))


def taken(page: Page, text: str, first: str, height: int, target: Path) -> None:
    """A picture of so many pixels of the page from an element on."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "page.html"
        path.write_text(text, encoding="utf-8")
        page.goto(path.as_uri())
        top = page.locator(first).bounding_box()
        assert top is not None
        page.screenshot(
            path=target,
            full_page=True,
            clip={"x": 0, "y": max(0, top["y"] - 8), "width": 960, "height": height},
        )


def main() -> None:
    """Make both."""
    with tempfile.TemporaryDirectory() as profile, sync_playwright() as started:
        context = started.chromium.launch_persistent_context(
            profile,
            executable_path=which("chromium"),
            headless=True,
            args=FLAGS.split(),
            viewport={"width": 960, "height": 900},
            color_scheme="light",
        )
        page = context.new_page()
        one = page_of(sheet(of(ONE), DAY), "sheet")
        taken(page, one, "h1", 1180, HERE / "one-food.png")
        foods = page_of(range_page([of(name) for name in SEVERAL], DAY), "range")
        taken(page, foods, "h1", 900, HERE / "several-foods.png")
        context.close()


if __name__ == "__main__":
    main()
