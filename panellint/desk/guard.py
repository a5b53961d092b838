"""What lets one browser of this machine in and nothing else.

The address has a token that counts once and is exchanged for a cookie; who has neither, who asks
under another host's name (so that a foreign name cannot be turned to this machine), and who sends
from another site's page is refused before anything is read.
"""

import hmac
import secrets
from collections.abc import Callable, Iterable
from http.cookies import CookieError, SimpleCookie
from typing import Any
from urllib.parse import parse_qs

from panellint.desk.folder import LARGEST

Start = Callable[..., Any]
Application = Callable[[dict[str, Any], Start], Iterable[bytes]]

#: Bytes of the largest request: a label as JSON, where a character may take six of them.
_LARGEST = 6 * LARGEST
_HEADERS = (
    (
        "Content-Security-Policy",
        "default-src 'none'; style-src 'self'; script-src 'self'; connect-src 'self'; "
        "form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
    ),
    ("X-Content-Type-Options", "nosniff"),
    ("X-Frame-Options", "DENY"),
    ("Referrer-Policy", "no-referrer"),
    ("Cache-Control", "no-store"),
    ("Cross-Origin-Opener-Policy", "same-origin"),
    ("Cross-Origin-Resource-Policy", "same-origin"),
)


class Guard:
    """A WSGI application around another, on one port of 127.0.0.1."""

    def __init__(self, inside: Application, port: int) -> None:
        self._inside = inside
        self.host = f"127.0.0.1:{port}"
        self._cookie = f"panellint-desk-{port}"
        self._session = secrets.token_urlsafe(32)
        self._token: str | None = secrets.token_urlsafe(32)

    @property
    def address(self) -> str:
        """The address to open, with the token that counts once."""
        return f"http://{self.host}/?token={self._token}"

    def __call__(self, environ: dict[str, Any], start: Start) -> Iterable[bytes]:
        """Answers one request."""
        if environ.get("HTTP_HOST") != self.host:
            return _refused(start, "421 Misdirected Request", "This host is not served here.")
        if environ["REQUEST_METHOD"] not in ("GET", "POST"):
            return _refused(start, "405 Method Not Allowed", "GET and POST alone are served.")
        if self._exchanged(environ):
            cookie = f"{self._cookie}={self._session}; Path=/; HttpOnly; SameSite=Strict"
            start("303 See Other", [*_HEADERS, ("Location", "/"), ("Set-Cookie", cookie)])
            return [b""]
        if not self._is_known(environ):
            words = "Open the address that `panellint desk` printed; it counts once."
            return _refused(start, "403 Forbidden", words)
        if environ["REQUEST_METHOD"] == "POST" and not self._is_own(environ):
            return _refused(start, "403 Forbidden", "Another site's page may not send here.")
        if _length(environ) > _LARGEST:
            return _refused(start, "413 Content Too Large", "This is larger than any label.")

        def started(status: str, headers: list[tuple[str, str]], *more: Any) -> Any:
            names = {name for name, _ in _HEADERS}
            return start(status, [*_HEADERS, *(h for h in headers if h[0] not in names)], *more)

        return self._inside(environ, started)

    def _exchanged(self, environ: dict[str, Any]) -> bool:
        """Whether a request brings the token, which then counts no longer."""
        given = parse_qs(environ.get("QUERY_STRING", "")).get("token", [""])[0]
        if environ["REQUEST_METHOD"] != "GET" or not given or self._token is None:
            return False
        if not hmac.compare_digest(given.encode(), self._token.encode()):
            return False
        self._token = None
        return True

    def _is_known(self, environ: dict[str, Any]) -> bool:
        try:
            cookie = SimpleCookie(environ.get("HTTP_COOKIE", "")).get(self._cookie)
        except CookieError:
            return False
        given = cookie.value if cookie else ""
        return hmac.compare_digest(given.encode(), self._session.encode())

    def _is_own(self, environ: dict[str, Any]) -> bool:
        """Whether the page that sends is the desk's own."""
        site = environ.get("HTTP_SEC_FETCH_SITE", "same-origin")
        return environ.get("HTTP_ORIGIN") == f"http://{self.host}" and site == "same-origin"


def _length(environ: dict[str, Any]) -> int:
    try:
        return int(environ.get("CONTENT_LENGTH") or 0)
    except ValueError:
        return _LARGEST + 1


def _refused(start: Start, status: str, words: str) -> list[bytes]:
    body = f"panellint desk: {words}\n".encode()
    kind = ("Content-Type", "text/plain; charset=utf-8")
    start(status, [*_HEADERS, kind, ("Content-Length", str(len(body)))])
    return [body]
