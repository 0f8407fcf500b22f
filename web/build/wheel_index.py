"""Serves wheels on this machine the way a package index does, for micropip, which reads no folder."""

import functools
import http.server
import re
import shutil
import tempfile
import threading
from collections.abc import Generator, Iterable
from contextlib import contextmanager
from pathlib import Path


class _Quiet(http.server.SimpleHTTPRequestHandler):
    """Lists a folder as links, which is what an index answers."""

    def log_message(self, format: str, *args: object) -> None:
        """Says nothing: what goes wrong, micropip says."""


@contextmanager
def wheel_index(wheels: Iterable[Path]) -> Generator[str]:
    """The address of an index of these wheels and no others, while it lasts."""
    with tempfile.TemporaryDirectory() as folder:
        for wheel in wheels:
            name = re.sub(r"[-_.]+", "-", wheel.name.split("-")[0]).lower()
            (Path(folder) / name).mkdir(exist_ok=True)
            shutil.copy(wheel, Path(folder) / name)
        handler = functools.partial(_Quiet, directory=folder)
        with http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
            thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05})
            thread.start()
            try:
                yield f"http://127.0.0.1:{server.server_port}"
            finally:
                server.shutdown()
                thread.join()
