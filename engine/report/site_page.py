"""The report of a place: a summary of its transformers, then each one's own pages."""

from collections.abc import Sequence
from itertools import takewhile

from engine.report.elements import Element, element, free
from engine.report.page import Paper, as_document, report_body
from engine.report.tables import rows_table, terms
from engine.report.words import (
    AID,
    OVERALL_VERDICT,
    code_words,
    conflicts,
    job_name,
    section_words,
    shape,
    verdict_words,
)
from engine.result import Result


def _shared_place(places: Sequence[str]) -> str:
    """What all places begin with, up to a comma; else all of them."""
    parts = [place.split(", ") for place in places]
    shared = [
        each[0] for each in takewhile(lambda each: len({*each}) == 1, zip(*parts, strict=False))
    ]
    return ", ".join(shared or places)


def _site_row(number: int, result: Result, places: int, editions: int) -> Element:
    """One transformer; its place and its edition only where they are not those of all."""
    place = result.job.place.strip()
    return element(
        "tr",
        element("td", str(number)),
        element(
            "th",
            free(job_name(result)),
            (" ", element("span", free(place), class_="section")) if places > 1 and place else None,
            scope="row",
        ),
        element(
            "td",
            result.job.transformer,
            f"; {result.edition} edition" if editions > 1 else None,
            data_label="Transformer",
        ),
        element(
            "td",
            shape(OVERALL_VERDICT[result.overall.verdict]),
            result.overall.text,
            data_label="Overall",
        ),
    )


def site_report(results: Sequence[Result], *, paper: Paper = "Letter") -> str:
    """The reports of several transformers of one place, with a summary before them.

    Unit: each its own. Section: in each line.
    """
    places = [
        place for place in dict.fromkeys(result.job.place.strip() for result in results) if place
    ]
    place = _shared_place(places) or "Place not given"
    editions = {result.edition for result in results}
    dates = sorted({result.job.date for result in results if result.job.date})
    broken = [(result, check) for result in results for check in conflicts(result) if check.asked]
    summary = (
        element("header", element("h1", "Site report: ", free(place))),
        terms(
            ("Transformers", str(len(results))),
            ("Dates", " to ".join(dict.fromkeys((dates[0], dates[-1]))) if dates else ""),
            ("Code", "; ".join(dict.fromkeys(code_words(result.edition) for result in results))),
        ),
        rows_table(
            (6, 28, 30, 36),
            ("No.", "Job", "Transformer", "Overall"),
            [
                element(
                    "tbody",
                    [
                        _site_row(number, result, len(places), len(editions))
                        for number, result in enumerate(results, 1)
                    ],
                )
            ],
            "Transformers at this place",
        ),
        element("h2", "Conflicts at this place") if broken else None,
        element(
            "ul",
            [
                element(
                    "li",
                    free(job_name(result)),
                    f": {check.title}, {section_words(check)}. {verdict_words(check)}.",
                )
                for result, check in broken
            ],
        )
        if broken
        else None,
        element("p", AID, class_="small soft"),
    )
    reports = [
        element("section", report_body(result, (), None), class_="next-transformer")
        for result in results
    ]
    return as_document(f"Site report: {place}", paper, (summary, reports))
