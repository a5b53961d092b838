"""Readings of corpus labels, a label full of markup, and a real browser."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from panellint.analysis.context import LabelContext
from panellint.core.source import Source
from panellint.lint.runner.files import source_of
from panellint.report.foods import Owner, owner

from .told import Reading, read

CORPUS = Path(__file__).parents[2] / "corpus"
DAY = "25 November 2026"

#: As much markup, script, link and template code as a label can hold, and a hidden turn of the
#: direction of writing.
HOSTILE = """Product name: <script>window.hacked=1</script> "><img src=x onerror=window.hacked=2> {{ 7*7 }} Chicken Dinner for Dogs
Species: dog
Language: "><
Form: kibble
Market: US
Price: <b>12</b> USD for 2 kg

Ingredients: chicken <svg onload=window.hacked=3>, rice (</style><style>body{display:none}</style>),
  [click](javascript:window.hacked=4), {{ 7*7 }}{% raw %}, </title></table></main><h1>owned</h1>,
  \u202egnirts\u202c salt, ![x](http://example.invalid/x.png), <a href="http://example.invalid/">carrot</a>

Guaranteed analysis
  Crude protein (min.) ...... 26.0%
  Crude fat (min.) .......... 14.0%
  Crude fiber (max.) ......... 5.0%
  Moisture (max.) ............ 10.0%

Claims: <iframe src="http://example.invalid/"></iframe> grain free
Nutritional adequacy: <b>Chicken</b> is formulated to meet the nutritional levels established by the AAFCO Dog Food Nutrient Profiles for maintenance.
"""  # noqa: E501


@cache
def of_corpus(name: str) -> Reading:
    """The reading of a corpus label, made once."""
    return read(LabelContext.of(source_of(str(CORPUS / f"{name}.panel"))))


@cache
def of_hostile() -> Reading:
    """The reading of the label full of markup; its file's name is no better."""
    return read(LabelContext.of(Source(HOSTILE, "somewhere/<img src=x>.panel")))


@pytest.fixture(scope="module")
def browser_page(
    program: Callable[[str], str], tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Any]:
    """The one page of Chromium of the system, with a profile of its own, that reaches nothing.

    Closed with its module: while it is open its event loop runs, and no other test's could.
    """
    sync = pytest.importorskip("playwright.sync_api")
    flags = (
        "--headless --no-sandbox --disable-gpu --disable-quic --no-first-run "
        "--disable-background-networking --disable-component-update --disable-sync"
    )
    with sync.sync_playwright() as started:
        context = started.chromium.launch_persistent_context(
            tmp_path_factory.mktemp("profile"),
            executable_path=program("chromium"),
            headless=True,
            args=flags.split(),
            reduced_motion="reduce",
        )
        yield context.pages[0]
        context.close()


@pytest.fixture
def opened(browser_page: Any, tmp_path: Path) -> Iterator[Callable[..., Any]]:
    """Opens a page's text in the browser, in place of the one before; whatever its console
    complains of fails the test, and so does anything that it asks for beside itself."""
    complaints: list[str] = []
    path = tmp_path / "page.html"
    listeners = {
        "console": lambda message: complaints.append(message.text),
        "pageerror": lambda error: complaints.append(str(error)),
        "request": lambda asked: asked.url == path.as_uri() or complaints.append(asked.url),
    }
    for event, listener in listeners.items():
        browser_page.on(event, listener)

    def visit(text: str, width: int = 1100) -> Any:
        path.write_text(text, encoding="utf-8")
        browser_page.emulate_media(media="screen", color_scheme="light")
        browser_page.set_viewport_size({"width": width, "height": 900})
        browser_page.goto(path.as_uri())
        return browser_page

    yield visit
    browser_page.goto("about:blank")
    for event, listener in listeners.items():
        browser_page.remove_listener(event, listener)
    assert complaints == []


@pytest.fixture(scope="session")
def corpus() -> Callable[[str], Reading]:
    """The reading of a label of the corpus, by its name; each is made once."""
    return of_corpus


@pytest.fixture(scope="session")
def hostile() -> Reading:
    """The reading of a label full of markup."""
    return of_hostile()


@pytest.fixture(scope="session")
def hostile_owner() -> Owner:
    """The same label as its owner gets it told."""
    return owner(LabelContext.of(Source(HOSTILE, "somewhere/<img src=x>.panel")))


@pytest.fixture(scope="session")
def violations() -> Callable[[Any], list[str]]:
    """What axe-core calls serious or critical on a page, with the elements; and WCAG 2.2 AA target
    sizes and contrast, whatever it calls them."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright").Axe()

    def serious(page: Any) -> list[str]:
        return [
            f"{one['id']}: {node['html'][:120]}"
            for one in axe.run(page).response["violations"]
            if one["impact"] in ("serious", "critical")
            or one["id"] in ("target-size", "color-contrast")
            for node in one["nodes"]
        ]

    return serious


@pytest.fixture(scope="session")
def day() -> str:
    """The day on which the readings of the tests are read."""
    return DAY
