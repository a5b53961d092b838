"""The desk in a real browser: paste, see, fix, save, reload; hostile text stays text."""

from __future__ import annotations

import json
import re
import subprocess
import sys
import threading
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

pytest.importorskip("bottle")

from panellint.desk.app import Desk, serve
from panellint.desk.folder import Folder

LABEL = """Product name: Quillbrook Larder Duck Dinner for Dogs
Species: dog
Ingredients: duck, ricee, peas, salt
Guaranteed analysis
 Crude protein (min.) 26%
 Crude fat (min.) 14%
 Crude fiber (max.) 4%
 Moisture (max.) 10%
Calorie content (calculated): 3,600 kcal/kg, 360 kcal/cup
"""
HOSTILE = (
    "Product name: <script>window.hacked=1</script><img src=x onerror=window.hacked=2>\n"
    "Ingredients: </textarea><script>window.hacked=3</script>, <b onclick=window.hacked=4>duck</b>,"
    " javascript:window.hacked=5\n"
)


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    server = serve(Folder(str(tmp_path)))
    thread = threading.Thread(target=server.serve_forever, args=(0.05,), daemon=True)
    thread.start()
    yield server
    server.shutdown()
    server.server_close()
    thread.join()


@pytest.fixture(scope="module")
def browser(program: Callable[[str], str]) -> Iterator[Any]:
    sync = pytest.importorskip("playwright.sync_api")
    with sync.sync_playwright() as started:
        chromium = started.chromium.launch(
            executable_path=program("chromium"),
            args=["--no-sandbox", "--disable-gpu", "--disable-background-networking"],
        )
        yield chromium
        chromium.close()


@pytest.fixture
def page(browser: Any, desk: Desk) -> Iterator[Any]:
    """The desk's page, let in; whatever its console complains of fails the test."""
    context = browser.new_context(viewport={"width": 1200, "height": 900})
    found = context.new_page()
    complaints: list[str] = []
    found.on("console", lambda message: complaints.append(message.text))
    found.on("pageerror", lambda error: complaints.append(str(error)))
    found.goto(desk.guard.address)
    yield found
    context.close()
    assert [one for one in complaints if "status of 400" not in one] == []


def paste(page: Any, text: str) -> None:
    page.locator("#text").fill(text)
    page.locator("#answer:not([aria-busy])").wait_for()


def test_paste_see_fix_save_and_reload(page: Any, desk: Desk, tmp_path: Path) -> None:
    assert "token" not in page.url
    paste(page, LABEL)
    assert page.locator("#marked mark", has_text="ricee").count() == 1
    assert "“ricee” is not known" in page.locator("#answer").inner_text()
    assert "informs and does not certify" in page.locator("#answer").inner_text()
    paste(page, LABEL.replace("ricee", "rice"))
    assert page.locator("#marked mark", has_text="ricee").count() == 0
    page.locator("#name").fill("duck dinner")
    page.get_by_role("button", name="Save").click()
    page.get_by_text("Saved as duck dinner.panel.").wait_for()
    assert (tmp_path / "duck dinner.panel").read_text() == LABEL.replace("ricee", "rice")
    page.reload()
    assert page.locator("h1").inner_text() == "duck dinner.panel"
    assert page.locator("#text").input_value() == LABEL.replace("ricee", "rice")
    # It goes on from there: a second save of the same label is no clash.
    page.locator("#text").press("End")
    page.locator("#text").type("\nClaims: grain free")
    page.get_by_role("button", name="Save").click()
    page.get_by_text("Saved as duck dinner.panel.").wait_for()
    assert "grain free" in (tmp_path / "duck dinner.panel").read_text()


def test_the_underlined_words_lie_under_the_typed_ones(page: Any) -> None:
    """Behind characters of two UTF-16 units, too."""
    paste(page, "Product name: 🦆 Dinner\n" + LABEL)
    assert (
        page.locator("#marked").inner_text().rstrip()
        == page.locator("#text").input_value().rstrip()
    )
    marks = page.locator("#marked mark").all_inner_texts()
    assert "ricee" in marks
    sizes = page.evaluate(
        "['#text', '#marked'].map((one) => getComputedStyle(document.querySelector(one)))"
        ".map((s) => [s.fontSize, s.lineHeight, s.paddingLeft, s.whiteSpace, s.width].join())"
    )
    assert sizes[0] == sizes[1]


@pytest.mark.parametrize(
    ("title", "words"),
    [
        ("Sheet", "Ask the maker"),
        ("Shares", "duck"),
        ("Nutrition", "dry matter"),
        ("Requirements", "net"),
        ("Plan", "Write the animal's weight"),
    ],
)
def test_each_answer_stands_beside_the_label(page: Any, title: str, words: str) -> None:
    paste(page, LABEL)
    page.get_by_role("button", name=title, exact=True).click()
    page.locator("#answer", has_text=re.compile(words, re.I)).wait_for()


def test_a_plan_goes_by_the_weight_that_is_written(page: Any) -> None:
    paste(page, LABEL)
    page.get_by_role("button", name="Plan", exact=True).click()
    page.get_by_label("Animal's weight").fill("44 lb")
    page.locator("#answer", has_text="A day's food for a dog of 19.96 kg").wait_for()
    assert "3 cups" in page.locator("#answer").inner_text()


def test_hostile_text_stays_text(page: Any, desk: Desk, tmp_path: Path) -> None:
    paste(page, HOSTILE)
    page.get_by_role("button", name="Sheet", exact=True).click()
    page.locator("#answer", has_text="Ask the maker").wait_for()
    page.locator("#name").fill("hostile")
    page.get_by_role("button", name="Save").click()
    page.get_by_text("Saved as hostile.panel.").wait_for()
    page.reload()
    paste(page, HOSTILE)
    assert page.locator("#text").input_value() == HOSTILE
    assert page.evaluate("window.hacked") is None
    assert page.locator("script").count() == 1
    assert page.locator("#answer img, #answer script, main b").count() == 0


@pytest.mark.parametrize("name", ["../out", "a/b", ".hidden"])
def test_a_name_that_would_leave_the_folder_is_refused(
    page: Any, tmp_path: Path, name: str
) -> None:
    paste(page, LABEL)
    page.locator("#name").fill(name)
    page.get_by_role("button", name="Save").click()
    page.locator("#state", has_text="is no name for a label").wait_for()
    assert list(tmp_path.iterdir()) == []
    assert not (tmp_path.parent / "out.panel").exists()


def test_another_site_can_neither_read_nor_send(page: Any, desk: Desk, browser: Any) -> None:
    """A page of another origin in the same browser, which holds the cookie."""
    host = desk.guard.host
    stranger = page.context.new_page()
    stranger.goto("data:text/html,<title>elsewhere</title>")
    for method in ("GET", "POST"):
        outcome = stranger.evaluate(
            "([url, method, body]) => fetch(url, {method, credentials: 'include', body})"
            ".then(() => 'read', () => 'refused')",
            [f"http://{host}/answer", method, "{}" if method == "POST" else None],
        )
        assert outcome == "refused"
    other = browser.new_context().new_page()
    assert other.goto(f"http://{host}/").status == 403
    assert other.goto(desk.guard.address).status == 403
    for headers in ({"Host": "evil.example"}, {}):
        request = urllib.request.Request(f"http://{host}/", headers=headers)
        with pytest.raises(urllib.error.HTTPError) as error:
            urllib.request.urlopen(request)
        assert error.value.code in (403, 421)


def test_the_page_is_accessible_and_fits_a_phone(page: Any) -> None:
    axe = pytest.importorskip("axe_playwright_python.sync_playwright").Axe()
    paste(page, LABEL)
    found = axe.run(page).response["violations"]
    assert [one["id"] for one in found if one["impact"] in ("serious", "critical")] == []
    page.set_viewport_size({"width": 390, "height": 800})
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    page.emulate_media(media="print")
    assert not page.locator("#text").is_visible()
    assert page.locator("#answer").is_visible()
    assert page.locator("h1").is_visible()


def test_no_table_is_cut_on_a_phone_and_no_folder_is_named(page: Any, tmp_path: Path) -> None:
    page.set_viewport_size({"width": 390, "height": 800})
    paste(page, LABEL)
    for title in ("Shares", "Nutrition", "Requirements"):
        page.get_by_role("button", name=title, exact=True).click()
        page.locator("#answer:not([aria-busy])").wait_for()
        cut = page.evaluate(
            "[...document.querySelectorAll('#answer, #answer .wide')]"
            ".filter((box) => box.scrollWidth > box.clientWidth).length"
        )
        assert cut == 0, title
        assert str(tmp_path) not in page.locator("#answer").inner_text()
    assert "puppy to half" in page.locator("#life").inner_text()


def test_what_is_sent_and_not_understood_is_said(desk: Desk, page: Any) -> None:
    for body in ("[]", "{", '{"kind": "findings"}', '{"kind": "gone", "text": ""}', '{"text": 1}'):
        said = page.evaluate(
            "(body) => fetch('/answer', {method: 'POST', body}).then((reply) => reply.json())", body
        )
        assert said == {"error": "what was sent is not understood"}


def test_the_command_prints_an_address_and_ends_on_request(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "panellint", "desk", str(tmp_path)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as running:
        assert running.stdout is not None
        line = running.stdout.readline()
        running.terminate()
    assert re.fullmatch(r"panellint desk: http://127\.0\.0\.1:\d+/\?token=[\w-]{40,}\n", line)
    assert json.dumps(line)  # nothing that would command a terminal
    gone = subprocess.run([*command[:-1], str(tmp_path / "none")], capture_output=True, text=True)
    assert gone.returncode == 2
    assert "is no folder" in gone.stderr
