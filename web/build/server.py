"""Serves the static folder on this machine, as a static host would: packed copies, policy, types."""

import http
import http.server
import itertools
import mimetypes
import shutil
import socket
import threading
from collections.abc import Callable
from pathlib import Path
from urllib.parse import unquote, urlsplit

TYPES = {
    ".mjs": "text/javascript",
    ".js": "text/javascript",
    ".wasm": "application/wasm",
    ".webmanifest": "application/manifest+json",
    ".zip": "application/zip",
    ".so": "application/octet-stream",
    ".json": "application/json",
    ".txt": "text/plain; charset=utf-8",
}
# What the library's server hands on.
Request = socket.socket | tuple[bytes, socket.socket]
Address = tuple[str, int]
ENCODINGS = (("br", ".br"), ("gzip", ".gz"))


class Server:
    """A static file server that can be stopped and started again on the same port.

    `folder` may be changed while it runs. `requests` lists the paths asked for. `before` is called
    with a handler and a path before the content is sent, and may send something else: when it
    returns True nothing more is sent. `policy` replaces the policy of the folder's header file.
    """

    def __init__(self, folder: Path, port: int = 0, address: str = "127.0.0.1") -> None:
        self.folder = folder
        self.address = address
        self.port = port
        self.requests: list[str] = []
        self.sent = 0
        self.before: Callable[[Handler, str], bool] | None = None
        self.policy: str | None = None
        self._running: _Threads | None = None

    @property
    def url(self) -> str:
        """The address of the start page."""
        return f"http://{self.address}:{self.port}/"

    def headers(self) -> dict[str, str]:
        """What the folder's `_headers` file wants sent with every file."""
        lines = (self.folder / "_headers").read_text().splitlines()
        ours = itertools.takewhile(lambda line: line.startswith("  "), lines[1:])
        found = dict(line.strip().split(": ", 1) for line in ours)
        return found | ({"Content-Security-Policy": self.policy} if self.policy else {})

    def start(self) -> None:
        """Starts serving in a thread of its own."""
        running = _Threads(self, (self.address, self.port))
        self.port = running.server_address[1]
        self._running = running
        threading.Thread(target=running.serve_forever, kwargs={"poll_interval": 0.05}).start()

    def stop(self) -> None:
        """Stops serving and breaks every connection; the port stays ours to start on again."""
        if self._running:
            self._running.shutdown()
            self._running.break_connections()
            self._running.server_close()
            self._running = None


def _connection(request: Request) -> socket.socket:
    # A pair is what a server of datagrams would be given.
    assert isinstance(request, socket.socket)
    return request


class _Threads(http.server.ThreadingHTTPServer):
    daemon_threads = True

    def __init__(self, owner: Server, address: tuple[str, int]) -> None:
        super().__init__(address, Handler)
        self.owner = owner
        self.open: set[socket.socket] = set()

    def process_request(self, request: Request, client_address: Address) -> None:
        self.open.add(_connection(request))
        super().process_request(request, client_address)

    def shutdown_request(self, request: Request) -> None:
        self.open.discard(_connection(request))
        super().shutdown_request(request)

    def break_connections(self) -> None:
        for connection in list(self.open):
            try:
                connection.shutdown(socket.SHUT_RDWR)
            except OSError:
                continue

    def handle_error(self, request: object, client_address: object) -> None:
        """A browser that goes away in the middle is no error of ours."""


class Handler(http.server.BaseHTTPRequestHandler):
    """Answers one connection."""

    protocol_version = "HTTP/1.1"

    @property
    def owner(self) -> Server:
        """The server that it answers for."""
        assert isinstance(self.server, _Threads)
        return self.server.owner

    def do_GET(self) -> None:
        """Sends a file, its packed copy where the browser takes one."""
        owner = self.owner
        path = unquote(urlsplit(self.path).path).lstrip("/") or "index.html"
        owner.requests.append(path)
        file = (owner.folder / path).resolve()
        if not file.is_relative_to(owner.folder.resolve()) or not file.is_file():
            return self._refuse()
        if owner.before and owner.before(self, path):
            return None
        kind = TYPES.get(file.suffix) or mimetypes.guess_type(file.name)[0]
        accepted = {
            part.split(";")[0].strip()
            for part in self.headers.get("Accept-Encoding", "").split(",")
        }
        encoding = None
        for name, suffix in ENCODINGS:
            packed = file.with_name(file.name + suffix)
            if name in accepted and packed.is_file():
                file, encoding = packed, name
                break
        with file.open("rb") as content:
            size = file.stat().st_size
            self.send_response(http.HTTPStatus.OK)
            self.send_header("Content-Type", kind or "application/octet-stream")
            self.send_header("Content-Length", str(size))
            self.send_header("Cache-Control", "no-cache")
            self.send_header("Vary", "Accept-Encoding")
            if encoding:
                self.send_header("Content-Encoding", encoding)
            self._send_policy()
            self.end_headers()
            owner.sent += size
            if self.command == "GET":
                shutil.copyfileobj(content, self.wfile)
        return None

    do_HEAD = do_GET  # noqa: N815  the library looks for this name

    def _refuse(self) -> None:
        self.send_response(http.HTTPStatus.NOT_FOUND)
        self.send_header("Content-Length", "0")
        self._send_policy()
        self.end_headers()

    def _send_policy(self) -> None:
        for name, value in self.owner.headers().items():
            self.send_header(name, value)

    def log_message(self, format: str, *arguments: object) -> None:
        """Says nothing: the address and the build are what a person needs to see."""
