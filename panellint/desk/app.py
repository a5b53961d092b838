"""The desk's page and what it asks for, served to one browser behind `guard.Guard`."""

import json
from collections.abc import Callable
from pathlib import Path
from socketserver import TCPServer, ThreadingMixIn
from threading import Lock
from typing import Any
from wsgiref.simple_server import WSGIRequestHandler, WSGIServer

import bottle  # type: ignore[import-untyped]

from panellint import __version__
from panellint.core.errors import InputError, NotComputable, PanellintError
from panellint.desk.answers import KINDS, Asked, answer
from panellint.desk.folder import LARGEST, Folder
from panellint.desk.guard import Guard
from panellint.nutrition.energy import ways_of_life
from panellint.output.templates import templates
from panellint.report.page import STYLE
from panellint.rulepacks.settings import Settings

_HERE = Path(__file__).parent / "templates"
_STATIC = {"desk.css": "text/css", "desk.js": "text/javascript"}
#: What a label is called before it is saved.
_UNNAMED = "label.panel"


def make(folder: Folder) -> bottle.Bottle:
    """Returns the application over a folder of labels."""
    app = bottle.Bottle()
    # The solver and the caches are one process's: one answer at a time.
    working = Lock()

    def page() -> str:
        name = bottle.request.query.getunicode("label") or ""
        text = mark = fault = ""
        if name:
            try:
                text, mark = folder.read(name)
            except InputError as error:
                name, fault = "", str(error)
        lives = sorted(
            {*ways_of_life("dog"), *ways_of_life("cat")}, key=lambda life: (life != "adult", life)
        )
        bottle.response.content_type = "text/html; charset=utf-8"
        return templates(_HERE).get_template("desk.html.j2").render(
            name=name, text=text, mark=mark, fault=fault, names=folder.names(), lives=lives,
            kinds=[(kind, title) for kind, (title, _) in KINDS.items()], version=__version__,
        )  # fmt: skip

    def static(name: str) -> str:
        bottle.response.content_type = f"{_STATIC[name]}; charset=utf-8"
        return (_HERE / name).read_text(encoding="utf-8")

    def style() -> str:
        bottle.response.content_type = "text/css; charset=utf-8"
        return STYLE.read_text(encoding="utf-8")

    def answered() -> str:
        def made(sent: dict[str, str]) -> object:
            name = sent.get("name") or _UNNAMED
            place = folder.place(name if name.endswith(".panel") else f"{name}.panel")
            settings = Settings.for_path(str(place))
            asked = Asked(
                sent["text"], str(place), settings, sent.get("weight", ""),
                sent.get("life") or "adult",
            )  # fmt: skip
            with working:
                return answer(sent["kind"], asked)

        return _reply(made, "kind", "text")

    def saved() -> str:
        def made(sent: dict[str, str]) -> object:
            name = sent["name"].strip()
            name = name if name.endswith(".panel") else f"{name}.panel"
            with working:
                mark = folder.save(name, sent["text"], sent["mark"])
            return {"name": name, "mark": mark, "names": folder.names()}

        return _reply(made, "name", "text", "mark")

    app.route("/", callback=page)
    app.route("/<name:re:desk\\.(?:css|js)>", callback=static)
    app.route("/page.css", callback=style)
    app.route("/answer", method="POST", callback=answered)
    app.route("/save", method="POST", callback=saved)
    return app


def _reply(answer: Callable[[dict[str, str]], object], *needed: str) -> str:
    """Returns what comes of the JSON that was sent, as JSON; what cannot be is said as `error`."""
    bottle.response.content_type = "application/json"
    try:
        return json.dumps(answer(_sent(*needed)))
    except (PanellintError, NotComputable) as error:
        bottle.response.status = 400
        return json.dumps({"error": str(error)})


def _sent(*needed: str) -> dict[str, str]:
    """Returns the words that the page sent. Raises PanellintError where they are none."""
    environ = bottle.request.environ
    try:
        sent = json.loads(environ["wsgi.input"].read(int(environ.get("CONTENT_LENGTH") or 0)))
    except (ValueError, RecursionError):
        sent = None
    if (
        not isinstance(sent, dict)
        or not all(isinstance(value, str) for value in sent.values())
        or not sent.keys() >= {*needed}
        or sent.get("kind", "findings") not in KINDS
    ):
        raise PanellintError("what was sent is not understood")
    if len(sent["text"]) > LARGEST:
        raise PanellintError("this is longer than any label")
    return sent


class Desk(ThreadingMixIn, WSGIServer):
    """The server of one desk; `guard.address` is what its browser opens."""

    daemon_threads = True
    guard: Guard

    def server_bind(self) -> None:
        """Binds without asking the network for this machine's name."""
        TCPServer.server_bind(self)
        self.server_name, self.server_port = "127.0.0.1", self.server_address[1]
        self.setup_environ()


class _Quiet(WSGIRequestHandler):
    """Logs nothing, and gives up who says nothing for a while."""

    timeout = 60

    def log_message(self, format: str, *args: Any) -> None:
        """Leaves a request unlogged: what is asked may hold a label's name."""


def serve(folder: Folder) -> Desk:
    """Returns a server on a free port, ready to `serve_forever`."""
    desk = Desk(("127.0.0.1", 0), _Quiet)
    desk.guard = Guard(make(folder), desk.server_port)
    desk.set_app(desk.guard)
    return desk
