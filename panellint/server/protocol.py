"""What the protocol asks of a server before it is ready and after it was shut down, and the answer
to a request whose parameters are none."""

from typing import Any

from lsprotocol import types
from pygls.exceptions import JsonRpcException
from pygls.protocol import LanguageServerProtocol


class Protocol(LanguageServerProtocol):
    """Answers each request, with an error where nothing else can be said (Language Server Protocol
    3.17, "Lifecycle Messages" and "ErrorCodes")."""

    #: Whether `shutdown` was asked for: only then is `exit` a success.
    ended = False
    #: The exit status of the server: 1 where `exit` came without `shutdown` before it.
    exit_status = 0

    def structure_message(self, data: dict[str, Any]) -> Any:
        """Returns a message with its types. Where a request has wrong parameters, the client is
        answered before the exception goes on."""
        try:
            return super().structure_message(data)
        except JsonRpcException as error:
            if "jsonrpc" in data and "id" in data and "method" in data:
                self._send_response(data["id"], error=error.to_response_error())
            raise

    def handle_message(self, message: Any) -> None:
        """Passes a message on; a request out of its time gets an error, a notification is
        dropped."""
        method, identity = getattr(message, "method", None), getattr(message, "id", None)
        code: int | None = None
        if method not in (None, types.EXIT):
            if self.ended:
                code = types.ErrorCodes.InvalidRequest
            elif self._workspace is None and method != types.INITIALIZE:
                code = types.ErrorCodes.ServerNotInitialized
        if method == types.EXIT and not self.ended:
            self.exit_status = 1
        if code is None:
            self.ended = self.ended or method == types.SHUTDOWN
            super().handle_message(message)
        elif identity is not None:
            words = "the server was shut down" if self.ended else "the server is not initialized"
            self._send_response(identity, error=types.ResponseError(code, words))
