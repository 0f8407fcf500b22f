"""What is kept on paper: the printable report, the bonding drawing and the correction notice, from the result alone."""

import re
from typing import Literal, NamedTuple

from engine.report.drawing import drawing_svg
from engine.report.drawing_words import drawing_text
from engine.report.notice import correction_notice
from engine.report.page import html
from engine.report.site_page import site_report
from engine.result import Result


class Documents(NamedTuple):
    """Everything that one job leaves on paper, each as text."""

    html: str
    drawing_svg: str
    drawing_text: str
    correction_notice: str
    file_name: str


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
) -> Documents:
    """Everything that one job leaves on paper.

    photos: check id, name and data URL of each. Unit: each its own. Section: in each line.
    """
    return Documents(
        html=html(result, photos=photos, signature_data_url=signature_data_url, paper=paper),
        drawing_svg=drawing_svg(result),
        drawing_text=drawing_text(result),
        correction_notice=correction_notice(result),
        file_name=_file_name(result),
    )


__all__ = [
    "Documents",
    "correction_notice",
    "document",
    "drawing_svg",
    "drawing_text",
    "html",
    "site_report",
]
