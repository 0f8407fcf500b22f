"""Prints the policy's hashes of the style sheets that the engine writes into its documents.

Run with the engine that is built: the page shows documents in a frame, which takes over the page's
policy, and that allows no style written into a page unless it is one of these.
"""

import base64
import hashlib
import json
import re
from pathlib import Path
from typing import Any

from engine.interfaces.handle import handle

DEMO_JOBS = Path(__file__).resolve().parents[2] / "fixtures" / "jobs"
PAPERS = ("Letter", "A4")
STYLE = re.compile(r"<style[^>]*>(.*?)</style>", re.DOTALL)


def hashes() -> list[str]:
    """The hash of every style sheet in the report of any demo job."""
    found: set[bytes] = set()
    for path in sorted(DEMO_JOBS.glob("*.json")):
        for paper in PAPERS:
            asked: dict[str, Any] = {
                "op": "report",
                "job": json.loads(path.read_text()),
                "photos": [],
                "signature_data_url": None,
                "paper": paper,
            }
            reply = json.loads(handle(json.dumps(asked)))
            for part in ("html", "drawing_svg"):
                found |= {style.encode() for style in STYLE.findall(reply.get(part) or "")}
    return sorted(
        f"'sha256-{base64.b64encode(hashlib.sha256(style).digest()).decode()}'" for style in found
    )


if __name__ == "__main__":
    print(json.dumps(hashes()))
