"""The printable report: one document with its style inside, no script and nothing from outside.

Built as element trees from the result alone, so that every text of a job stays text.
"""

import re
from collections.abc import Sequence
from typing import Literal

from engine.report.checklist import advice_part, checklist_part, conflicts_part, contradictions_part
from engine.report.drawing import drawing
from engine.report.drawing_words import drawing_text
from engine.report.elements import Content, Element, as_html, element, free
from engine.report.limits import arithmetic_part, glance_part, limits_part
from engine.report.side_by_side import nameplates_part, runs_part
from engine.report.style import style_sheet
from engine.report.tables import group_rows, kept_together, no_break, rows_table, terms, typed
from engine.report.words import (
    ADVICE_WORDS,
    AID,
    DECIDES,
    KNOWN_WORDS,
    NO_CERTIFICATE,
    OVERALL_VERDICT,
    code_words,
    job_name,
    shape,
)
from engine.result import Result
from engine.result.words import VERDICTS

Paper = Literal["Letter", "A4"]
Photos = Sequence[tuple[str, str, str]]
MOST_NAMED = 4
_PICTURE = re.compile(r"data:image/(jpeg|png);base64,[A-Za-z0-9+/=]+")
_POLICY = "default-src 'none'; img-src data:; style-src 'unsafe-inline'"


def _heading(result: Result) -> Element:
    job = result.job
    return element(
        "header",
        element("h1", free(job_name(result))),
        element("p", job.purpose, class_="lead"),
        terms(
            ("Place", typed(job.place)),
            ("Date", typed(job.date)),
            ("Read by", typed(job.person)),
            ("License", typed(job.licence)),
            ("Permit", typed(job.permit)),
            ("Code", code_words(result.edition)),
            ("Transformer", job.transformer),
            ("Notes", typed(job.notes)),
        ),
    )


def _overall(result: Result) -> Element:
    counts = result.overall.counts
    return element(
        "div",
        element(
            "p",
            shape(OVERALL_VERDICT[result.overall.verdict]),
            result.overall.text,
            class_="lead verdict",
        ),
        element(
            "p",
            "; ".join(
                f"{words}: {counts.get(name, 0)}"
                for name, words in {**VERDICTS, **ADVICE_WORDS}.items()
                if counts.get(name, 0) or name in VERDICTS
            ),
            ". ",
            NO_CERTIFICATE if DECIDES in result.overall.text else AID,
            class_="small",
        ),
        class_="overall",
    )


def _first_few(titles: Sequence[str]) -> str:
    """The first few; the checklist says at each check what it waits for."""
    named = titles if len(titles) <= MOST_NAMED + 1 else titles[:MOST_NAMED]
    more = len(titles) - len(named)
    return "; ".join(named) + (f"; and {more} more" if more else "")


def _open_items(result: Result) -> Content:
    titles = {check.id: check.title for check in result.checks}
    bodies: list[Element] = []
    for group in result.groups:
        rows = [
            element(
                "tr",
                element("th", item.label, scope="row"),
                element("td", item.where, data_label="Where"),
                element(
                    "td",
                    _first_few([titles[id_] for id_ in item.checks]),
                    data_label="Needed for",
                    class_="small",
                ),
                element("td", class_="blank"),
            )
            for item in result.open_items
            if item.group == group.id
        ]
        if rows:
            bodies.append(group_rows(group.title, 4, rows))
    if not bodies:
        return None
    return (
        element("h2", "Still to be read"),
        rows_table(
            (22, 38, 22, 18),
            ("What", "What to read, and where", "Needed for", "Found"),
            bodies,
            "Still to be read",
        ),
    )


def _facts(result: Result) -> Content:
    made: list[Element] = []
    for group in result.groups:
        mine = [fact for fact in result.facts if fact.group == group.id]
        if mine:
            known = [
                (
                    fact.label,
                    (
                        free(no_break(fact.shown)),
                        None
                        if fact.known == "read"
                        else f", {KNOWN_WORDS.get(fact.known, fact.known)}",
                    ),
                )
                for fact in mine
            ]
            made.append(element("section", element("h3", group.title), terms(*known)))
    return (
        element("h2", "What was read and seen, and how it is known"),
        element(
            "p",
            "Each was read or seen by whoever entered it, unless it says measured, told or assumed.",
            class_="note",
        ),
        element("div", made, class_="columns small"),
    )


def _drawing(result: Result) -> Content:
    return element(
        "section",
        element("h2", "Bonding drawing"),
        element(
            "figure",
            drawing(result),
            element(
                "figcaption",
                element("h3", "The same in words"),
                element("ul", [element("li", line) for line in drawing_text(result).split("\n")]),
                class_="small",
            ),
            class_="drawing",
        ),
    )


def _written_questions(result: Result) -> Content:
    if not result.written_questions:
        return None
    return (
        element("h2", "Written questions"),
        element("p", "Legal but unwise, for the customer to answer in writing.", class_="note"),
        element("ol", [element("li", text) for text in result.written_questions]),
    )


def _photo(name: str, data_url: str) -> Element:
    caption = name.strip() or "Photo"
    shown = (
        element("img", src=data_url, alt=f"Photo: {caption}")
        if _PICTURE.fullmatch(data_url)
        else element("p", "This photo is not a JPEG or PNG picture and is not shown.")
    )
    return element("figure", shown, element("figcaption", free(caption), class_="small"))


def _photos(result: Result, photos: Photos) -> Content:
    if not photos:
        return None
    titles = {check.id: check.title for check in result.checks}
    made: list[Element] = [element("h2", "Photos")]
    for id_ in [*titles, ""]:
        mine = [p for p in photos if p[0] == id_ or (id_ == "" and p[0] not in titles)]
        if mine:
            made.append(element("h3", titles.get(id_, "Other photos")))
            made.append(
                element("div", [_photo(name, url) for _, name, url in mine], class_="photos")
            )
    return made


def _closing(result: Result, signature_data_url: str | None) -> Content:
    job = result.job
    drawn = (
        element("img", src=signature_data_url, alt="Drawn signature")
        if signature_data_url and _PICTURE.fullmatch(signature_data_url)
        else None
    )
    lines: tuple[tuple[str, Content], ...] = (
        (
            "Name, license",
            free(", ".join(part for part in (job.person, job.licence) if part.strip())),
        ),
        ("Signature", drawn),
        ("Date", free(job.date)),
    )
    return element(
        "div",
        element("h2", "Cautions"),
        element("ul", [element("li", text) for text in result.cautions]),
        element(
            "div",
            [
                element(
                    "div",
                    element("div", content, class_="line"),
                    element("p", label, class_="small label"),
                )
                for label, content in lines
            ],
            class_="signing",
        ),
        element(
            "p",
            f"Made by engine version {result.engine_version} under the {code_words(result.edition)}. {NO_CERTIFICATE}",
            class_="small soft",
        ),
        class_="closing",
    )


def _sheet(result: Result, content: Content) -> Element:
    """The content in a frame whose head print repeats on each page."""
    job = result.job
    identity = ", ".join(part for part in (job_name(result), job.place) if part.strip())
    detail = ", ".join(
        part
        for part in (no_break(job.transformer), job.permit and f"permit {job.permit}", job.date)
        if part.strip()
    )
    return element(
        "table",
        element(
            "thead",
            element(
                "tr",
                element(
                    "td",
                    element("span", free(identity), free(detail)),
                    class_="running",
                ),
            ),
            aria_hidden="true",
        ),
        element("tbody", element("tr", element("td", content))),
        class_="sheet",
        role="presentation",
    )


def report_body(result: Result, photos: Photos, signature_data_url: str | None) -> Element:
    """One transformer's pages in the order they are read. Unit: each its own. Section: in each line."""
    return _sheet(
        result,
        (
            _heading(result),
            _overall(result),
            contradictions_part(result),
            conflicts_part(result),
            advice_part(result),
            nameplates_part(result),
            runs_part(result),
            glance_part(result),
            limits_part(result),
            checklist_part(result),
            _open_items(result),
            _facts(result),
            _drawing(result),
            _written_questions(result),
            _photos(result, photos),
            _closing(result, signature_data_url),
            arithmetic_part(result),
        ),
    )


def as_document(title: str, paper: Paper, content: Content) -> str:
    """A whole document of some content. Unit: none. Section: none."""
    return as_html(
        element(
            "html",
            element(
                "head",
                element("meta", charset="utf-8"),
                element("meta", http_equiv="Content-Security-Policy", content=_POLICY),
                element("meta", name="viewport", content="width=device-width, initial-scale=1"),
                element("title", title),
                element("style", style_sheet(paper)),
            ),
            element("body", element("main", kept_together(element("div", content)))),
            lang="en",
        )
    )


def _title(result: Result) -> str:
    return " · ".join(
        part
        for part in (f"Report: {job_name(result)}", result.job.place, result.job.date)
        if part.strip()
    )


def html(
    result: Result,
    *,
    photos: Photos = (),
    signature_data_url: str | None = None,
    paper: Paper = "Letter",
) -> str:
    """The printable report of one job as one document. Unit: each its own. Section: in each line.

    photos: check id, name and data URL of each. paper: what the page is cut for.
    """
    return as_document(_title(result), paper, report_body(result, photos, signature_data_url))
