"""What is kept on paper: the printable report, the bonding drawing and the correction notice, from the result alone."""

import re
from typing import Literal

from engine.messages import DocumentReply
from engine.report.drawing import drawing_svg, drawing_text
from engine.report.notice import correction_notice
from engine.report.page import html, site_report
from engine.result import Result


def _file_name(result: Result) -> str:
    """A name that every file system takes."""
    parts = (result.job.name or result.job.transformer, result.job.date)
    words = re.findall(r"[A-Za-z0-9]+", " ".join(part for part in parts if part))
    return f"report-{'-'.join(words).lower()[:80].strip('-') or 'transformer'}.html"


def document(
    result: Result,
    *,
    photos: list[tuple[str, str, str]],
    signature_data_url: str | None,
    paper: Literal["Letter", "A4"],
) -> DocumentReply:
    """Everything that one job leaves on paper.

    photos: check id, name and data URL of each. Unit: each its own. Section: in each line.
    """
    return DocumentReply(
        html=html(result, photos=photos, signature_data_url=signature_data_url, paper=paper),
        drawing_svg=drawing_svg(result),
        drawing_text=drawing_text(result),
        correction_notice=correction_notice(result),
        file_name=_file_name(result),
    )


__all__ = ["correction_notice", "document", "drawing_svg", "drawing_text", "html", "site_report"]
