"""Who is let in: one browser with the token, no other host, no other site, no token twice."""

from __future__ import annotations

from io import BytesIO

import pytest

pytest.importorskip("bottle")

from panellint.desk.guard import Guard

PORT = 4711
HOST = f"127.0.0.1:{PORT}"


class Inside:
    """An application that counts what reaches it."""

    def __init__(self) -> None:
        self.reached = 0

    def __call__(self, environ, start):
        self.reached += 1
        start("200 OK", [("Content-Type", "text/plain"), ("Cache-Control", "public")])
        return [b"inside"]


class Browser:
    """A client of a guard."""

    def __init__(self) -> None:
        self.inside = Inside()
        self.guard = Guard(self.inside, PORT)
        self.cookie = ""

    def ask(self, path: str = "/", query: str = "", method: str = "GET", **headers: str):
        environ = {
            "REQUEST_METHOD": method, "PATH_INFO": path, "QUERY_STRING": query,
            "HTTP_HOST": HOST, "HTTP_COOKIE": self.cookie, "wsgi.input": BytesIO(),
            **headers,
        }  # fmt: skip
        told = {}

        def start(status, given, *_):
            told.update(status=int(status.split()[0]), headers=dict(given), all=given)

        told["body"] = b"".join(self.guard(environ, start))
        return told

    def enter(self):
        done = self.ask(query=self.guard.address.partition("?")[2])
        self.cookie = done["headers"].get("Set-Cookie", "").partition(";")[0]
        return done


@pytest.fixture
def browser() -> Browser:
    return Browser()


def test_the_token_becomes_a_cookie_that_scripts_and_other_sites_do_not_get(browser):
    done = browser.enter()
    assert done["status"] == 303
    assert done["headers"]["Location"] == "/"
    assert "HttpOnly" in done["headers"]["Set-Cookie"]
    assert "SameSite=Strict" in done["headers"]["Set-Cookie"]
    assert browser.inside.reached == 0
    assert browser.ask()["body"] == b"inside"


def test_the_token_counts_once(browser):
    address = browser.guard.address
    browser.enter()
    second = Browser()
    second.guard, second.inside = browser.guard, browser.inside
    assert second.ask(query=address.partition("?")[2])["status"] == 403
    assert browser.inside.reached == 0


@pytest.mark.parametrize(
    "cookie", ["", "panellint-desk-4711=", "panellint-desk-4711=guess", "other=x", 'a="']
)
def test_without_the_cookie_nothing_is_reached(browser, cookie):
    browser.enter()
    browser.cookie = cookie
    assert browser.ask()["status"] == 403
    assert browser.ask(method="POST", HTTP_ORIGIN=f"http://{HOST}")["status"] == 403
    assert browser.inside.reached == 0


@pytest.mark.parametrize(
    "host",
    ["evil.example", f"evil.example:{PORT}", "127.0.0.1", "127.0.0.1:80", f"localhost:{PORT}", ""],
)
def test_another_host_is_refused_even_with_the_token(browser, host):
    query = browser.guard.address.partition("?")[2]
    assert browser.ask(query=query, HTTP_HOST=host)["status"] == 421
    browser.enter()
    assert browser.ask(HTTP_HOST=host)["status"] == 421
    assert browser.inside.reached == 0


@pytest.mark.parametrize(
    "headers",
    [
        {},
        {"HTTP_ORIGIN": "http://evil.example"},
        {"HTTP_ORIGIN": "null"},
        {"HTTP_ORIGIN": f"https://{HOST}"},
        {"HTTP_ORIGIN": f"http://{HOST}", "HTTP_SEC_FETCH_SITE": "cross-site"},
    ],
)
def test_what_another_site_sends_is_refused(browser, headers):
    browser.enter()
    assert browser.ask("/save", method="POST", **headers)["status"] == 403
    assert browser.inside.reached == 0
    own = {"HTTP_ORIGIN": f"http://{HOST}", "HTTP_SEC_FETCH_SITE": "same-origin"}
    assert browser.ask("/save", method="POST", **own)["status"] == 200


def test_more_than_any_label_and_other_methods_are_refused(browser):
    browser.enter()
    own = {"HTTP_ORIGIN": f"http://{HOST}"}
    for length in ("99999999", "many", "-1x"):
        assert browser.ask(method="POST", CONTENT_LENGTH=length, **own)["status"] == 413
    assert browser.ask(method="DELETE")["status"] == 405
    assert browser.inside.reached == 0


def test_every_answer_has_the_strict_policy_once(browser):
    for done in (browser.ask(), browser.enter(), browser.ask()):
        policy = done["headers"]["Content-Security-Policy"]
        assert policy.startswith("default-src 'none';")
        assert "unsafe" not in policy
        assert "*" not in policy
        assert done["headers"]["Cache-Control"] == "no-store"
        assert len({name for name, _ in done["all"]}) == len(done["all"])
