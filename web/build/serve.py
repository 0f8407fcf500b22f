"""`python -m web.build.serve [--port N]`: serves web/dist and says where to open it."""

import argparse
import sys
import threading

from web.build.server import Server
from web.build.tools import WEB


def main() -> int:
    """Serves until it is stopped."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--port", type=int, default=0, help="0 takes any free one")
    server = Server(WEB / "dist", parser.parse_args().port)
    try:
        server.start()
    except OSError as problem:
        print(f"Port {server.port} is taken ({problem.strerror}). Choose another with --port.")
        return 1
    print(f"\nPlatepath is ready. Open {server.url} in a browser. Stop with Ctrl+C.", flush=True)
    try:
        threading.Event().wait()
    except KeyboardInterrupt:
        print()
    finally:
        server.stop()
    return 0


if __name__ == "__main__":
    sys.exit(main())
