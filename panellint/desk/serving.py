"""A small server for the desk: 127.0.0.1 alone, on a port that is free."""

from socketserver import TCPServer, ThreadingMixIn
from typing import Any
from wsgiref.simple_server import WSGIRequestHandler, WSGIServer

from panellint.desk.app import make
from panellint.desk.folder import Folder
from panellint.desk.guard import Guard


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
