"""The printable report: one document with its style inside, no script and nothing from outside.

Built as element trees from the result alone, so that every text of a job stays text.
"""

import re
from collections.abc import Iterable, Sequence
from itertools import takewhile
from typing import Literal

from engine.physics.quantities import size
from engine.report.drawing import drawing, drawing_text
from engine.report.elements import Content, Element, as_html, element, free
from engine.report.style import style_sheet
from engine.report.words import (
    ADVICE_WORDS,
    AID,
    CONTRADICTIONS,
    CONTRADICTIONS_NOTE,
    DECIDES,
    KNOWN_WORDS,
    NO_CERTIFICATE,
    OVERALL_VERDICT,
    SEVERITY_WORDS,
    UNWISE,
    VERDICT_WORDS,
    code_words,
    conflicts,
    job_name,
    section_words,
    shape,
    shown_as,
    unwise,
    verdict_words,
)
from engine.result import Check, Contradiction, Result, SheetTable, Value

Paper = Literal["Letter", "A4"]
Photos = Sequence[tuple[str, str, str]]

LONGEST_NOTE = 160
MOST_NAMED = 4
# Conductors too small for their device are changed, and what is sized by them changes with them.
SIZED_BY = ("primary_conductors", "primary_conductor_protection", "secondary_conductors")
_PICTURE = re.compile(r"data:image/(jpeg|png);base64,[A-Za-z0-9+/=]+")
# A trade size such as 3-1/2 in. is let go at its unit: held there, it would part at its hyphen.
_NO_BREAK = re.compile(
    r"(?<!-\d/\d)(?<=\d) (?=(?:k?VA|k?A|V|AWG|kcmil|%Z?|°C?|ft|in\.|in²|lb|kg|mm|ohm|megohm)(?![A-Za-z²]))"
    r"|(?<=\bTable) (?=\d)|(?<=\bA) (?=device\))"
)
_POLICY = "default-src 'none'; img-src data:; style-src 'unsafe-inline'"


def _terms(*pairs: tuple[str, Content]) -> Element:
    """Names with their texts; empty ones are left out."""
    return element(
        "dl",
        [
            element("div", element("dt", name), element("dd", text))
            for name, text in pairs
            if text is not None and text != ""
        ],
        class_="facts",
    )


def _typed(text: str) -> Element | None:
    return free(text) if text.strip() else None


def _table(
    widths: Sequence[int], heads: Sequence[str], bodies: Iterable[Element], label: str
) -> Element:
    """A table whose columns keep their share of the width; widths in percent."""
    return element(
        "table",
        element("colgroup", [element("col", width=f"{width}%") for width in widths]),
        element("thead", element("tr", [element("th", head, scope="col") for head in heads])),
        bodies,
        class_="rows",
        aria_label=label,
    )


def _group_rows(title: str, columns: int, rows: Sequence[Element]) -> Element:
    return element(
        "tbody",
        element(
            "tr",
            element("th", title, class_="group", colspan=str(columns), scope="rowgroup"),
            class_="group-row",
        ),
        rows,
    )


def _verdict(check: Check) -> Element:
    return element("span", shape(shown_as(check)), verdict_words(check), class_="verdict")


def _heading(result: Result) -> Element:
    job = result.job
    return element(
        "header",
        element("h1", free(job_name(result))),
        element("p", job.purpose, class_="lead"),
        _terms(
            ("Place", _typed(job.place)),
            ("Date", _typed(job.date)),
            ("Read by", _typed(job.person)),
            ("License", _typed(job.licence)),
            ("Permit", _typed(job.permit)),
            ("Code", code_words(result.edition)),
            ("Transformer", job.transformer),
            ("Notes", _typed(job.notes)),
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
                for name, words in {**VERDICT_WORDS, **ADVICE_WORDS}.items()
                if counts.get(name, 0) or name in VERDICT_WORDS
            ),
            ". ",
            NO_CERTIFICATE if DECIDES in result.overall.text else AID,
            class_="small",
        ),
        class_="overall",
    )


def _conflict(check: Check) -> Element:
    advice = check.severity == "advice"
    return element(
        "section",
        element("h3", shape(shown_as(check)), f"{check.title} ({SEVERITY_WORDS[check.severity]})"),
        _terms(
            ("Advised" if advice else "Required", check.required),
            ("Found", check.found),
            ("Why", check.reason),
            ("What would help" if advice else "Remedy", check.remedy),
            ("Section", section_words(check)),
            ("Editions", check.editions_differ or ""),
        ),
        class_="conflict",
    )


def _contradiction(clash: Contradiction) -> Element:
    return element(
        "section",
        element("h3", clash.why),
        _terms(*((fact.label, free(_no_break(fact.shown))) for fact in clash.facts)),
        class_="conflict",
    )


def _contradictions(result: Result) -> Content:
    if not result.contradictions:
        return None
    return (
        element("h2", CONTRADICTIONS),
        element("p", CONTRADICTIONS_NOTE, class_="note"),
        [_contradiction(clash) for clash in result.contradictions],
    )


def _conflicts(result: Result) -> Content:
    broken = conflicts(result)
    asked = [check for check in broken if check.asked]
    beside = [check for check in broken if not check.asked]
    return (
        element("h2", "Conflicts") if broken else None,
        [_conflict(check) for check in asked],
        element("h3", "Also seen, outside the purpose of this visit") if beside else None,
        [_conflict(check) for check in beside],
    )


def _unwise(result: Result) -> Content:
    advice = unwise(result)
    return (
        element("h2", UNWISE) if advice else None,
        [_conflict(check) for check in advice],
    )


CHANGES = {"same": "Same.", "changed": "Changed.", "not_known": "Can't be compared yet."}


def _nameplates(result: Result) -> Content:
    """Old and new side by side, with what each difference changes."""
    if not result.nameplates:
        return None
    rows = [
        element(
            "tr",
            element("th", line.label, scope="row"),
            element("td", line.old, data_label="Old"),
            element("td", line.new, data_label="New"),
            element(
                "td",
                element("strong", CHANGES[line.change]),
                f" {line.effect}",
            ),
        )
        for line in result.nameplates
    ]
    return (
        element("h2", "Old and new nameplate, side by side"),
        _table(
            (28, 17, 17, 38),
            ("Nameplate", "Old", "New", "What that changes"),
            [element("tbody", rows)],
            "Old and new nameplate",
        ),
    )


def _sheet_table(table: SheetTable) -> Element:
    whole = all(row.assumed for row in table.rows)
    # A single column needs no name of its own.
    named = len(table.columns) > 1
    head = element(
        "thead",
        element(
            "tr",
            element("td"),
            [element("th", column, scope="col") for column in table.columns],
        ),
    )
    return element(
        "table",
        element("caption", table.title, " (assumed)" if whole else None),
        head if named else None,
        element(
            "tbody",
            [
                element(
                    "tr",
                    element(
                        "th",
                        row.label,
                        " (assumed)" if row.assumed and not whole else None,
                        scope="row",
                    ),
                    [element("td", cell or "none") for cell in row.cells],
                )
                for row in table.rows
            ],
        ),
        class_="sizes" if named else "sizes wordy",
    )


# What tells one secondary run from another at a glance; the rest stands in the facts.
_OF_A_RUN = (
    ("Rule", "rule"),
    ("Conductors", "conductors.size"),
    ("Metal", "conductors.material"),
    ("In parallel", "conductors.sets"),
    ("Length", "conductors.length_feet"),
    ("Grounded conductor", "grounded_conductor.size"),
    ("Raceway", "raceway.type"),
    ("Trade size", "raceway.trade_size"),
    ("Supply-side bonding jumper", "supply_side_bonding_jumper.size"),
    ("Ends at", "protection.kind"),
    ("Device", "protection.rating"),
    ("Devices", "protection.ratings"),
    ("Panelboard", "panelboard.rating"),
)
_FURTHER_RUN = re.compile(r"secondary\.further_runs\.(\d+)\.(.+)")


def _in_run(path: str) -> tuple[int, str]:
    """The run that a path is of, counted from 0, and what is left of it there."""
    further = _FURTHER_RUN.fullmatch(path)
    if further:
        return int(further[1]) + 1, further[2]
    return 0, path.removeprefix("secondary.").removeprefix("bonding.")


def _runs(result: Result) -> Content:
    """The secondary runs beside each other, where there are several."""
    asked = (path for check in result.checks for path in check.questions)
    count = 1 + max((_in_run(path)[0] for path in asked), default=0)
    if count == 1:
        return None
    known = {
        _in_run(fact.path): fact.shown
        for fact in result.facts
        if fact.path.startswith(("secondary.", "bonding.supply_side"))
    }
    rows: list[Element] = []
    for title, fact in _OF_A_RUN:
        cells = [known.get((at, fact)) for at in range(count)]
        # Of one device or several, only what is there has a line.
        if any(cells) or title not in ("Device", "Devices"):
            shown = [element("td", _no_break(cell) if cell else "not known") for cell in cells]
            rows.append(element("tr", element("th", title, scope="row"), shown))
    heads = [element("th", f"Run {at + 1}", scope="col") for at in range(count)]
    return (
        element("h2", "Secondary runs"),
        element(
            "p",
            "Each run is judged by itself. The system bonding jumper, the electrode conductor and the bonds are sized "
            "from all runs together.",
        ),
        element(
            "table",
            element("thead", element("tr", element("td"), heads)),
            element("tbody", rows),
            class_="sizes",
            aria_label="Secondary runs",
        ),
    )


def _to_hold_against_the_gear(result: Result) -> Content:
    if not result.sheet:
        return None
    wrong = any(
        check.id in SIZED_BY and check.verdict == "does_not_meet" for check in result.checks
    )
    return (
        element("h2", "Limits at a glance"),
        element(
            "p",
            "Jumpers, bonds, electrode conductor and raceways are those for the conductors found. "
            "These conductors do not meet. Change them, and the rest must be sized again.",
            class_="note",
        )
        if wrong
        else None,
        element("div", [_sheet_table(table) for table in result.sheet], class_="gear"),
    )


def _value_notes(result: Result, id_: str, value: Value) -> list[str]:
    notes: list[str] = []
    run = id_.removesuffix("_conductor_minimum")
    for fact in result.facts:
        if fact.path == f"{run}.conductors.sets" and fact.shown != "1":
            notes.append(f"That is for each of the {fact.shown} conductors in parallel.")
    if value.size is not None and not isinstance(value.value, str):
        notes.append(f"Smallest size that has it: {size(value.size)}.")
    if value.assumed:
        notes.append(_taken_for_granted(value))
    return notes


def _taken_for_granted(value: Value) -> str:
    """The first step names it; where that is a long list, the appendix has it."""
    said = value.steps[0] if value.steps else "Something was assumed."
    if len(said) <= LONGEST_NOTE:
        return said
    return f"Assumed: {said.count(';') + 1} facts, listed with its arithmetic in the appendix."


def _limits(result: Result) -> Content:
    bodies: list[Element] = []
    for group in result.groups:
        rows = [
            element(
                "tr",
                element("th", value.title, scope="row"),
                element(
                    "td", value.shown, " (assumed)" if value.assumed else None, data_label="Value"
                ),
                element(
                    "td",
                    element("span", section_words(value), class_="section"),
                    [
                        (" ", element("span", note, class_="small"))
                        for note in _value_notes(result, id_, value)
                    ],
                    data_label="Section",
                ),
            )
            for id_, value in result.values.items()
            if value.group == group.id
        ]
        if rows:
            bodies.append(_group_rows(group.title, 3, rows))
    heads = ("What", "Value", "Section, note")
    assumed = any(value.assumed for value in result.values.values())
    return (
        element("h2", "Limits"),
        element(
            "p",
            "A value marked (assumed) uses something that was not read. No check is judged by it.",
            class_="note",
        )
        if assumed
        else None,
        _table((40, 18, 42), heads, bodies, "Limits"),
    )


def _check_row(check: Check) -> Element:
    # Advice requires nothing, and stands in the same column all the same.
    advice = check.severity == "advice"
    notes = [
        check.reason,
        f"{'What would help' if advice else 'To correct'}: {check.remedy}" if check.remedy else "",
        check.editions_differ or "",
    ]
    return element(
        "tr",
        element("td", _verdict(check)),
        element(
            "th",
            check.title,
            " ",
            element("span", section_words(check), class_="section"),
            scope="row",
        ),
        element(
            "td",
            f"advised: {check.required}" if advice and check.required else check.required,
            data_label="Required",
        ),
        element("td", check.found, data_label="Found"),
        element("td", [element("p", note.strip(), " ") for note in notes if note.strip()]),
    )


def _is_idle(check: Check) -> bool:
    return check.verdict == "does_not_apply" and not (check.required or check.found)


def _idle_row(checks: Sequence[Check]) -> Element:
    """What does not apply at one place, in one row: there is nothing to compare."""
    return element(
        "tr",
        element("td", _verdict(checks[0])),
        element(
            "td",
            element(
                "ul",
                [
                    element(
                        "li",
                        f"{check.title} ",
                        element("span", section_words(check), class_="section"),
                        f": {' '.join(part for part in (check.reason, check.editions_differ) if part)}",
                    )
                    for check in checks
                ],
                class_="columns small",
            ),
            colspan="4",
        ),
    )


def _checklist_table(result: Result, checks: Sequence[Check], label: str) -> Element:
    bodies: list[Element] = []
    for group in result.groups:
        mine = [check for check in checks if check.group == group.id]
        idle = [check for check in mine if _is_idle(check)]
        rows = [_check_row(check) for check in mine if check not in idle]
        if idle:
            rows.append(_idle_row(idle))
        if rows:
            bodies.append(_group_rows(group.title, 5, rows))
    heads = ("Verdict", "Requirement, section", "Required", "Found", "Why")
    return _table((12, 24, 22, 18, 24), heads, bodies, label)


def _checklist(result: Result) -> Content:
    asked = [check for check in result.checks if check.asked]
    beside = [check for check in result.checks if not check.asked]
    settled = [check for check in beside if check.verdict in ("meets", "does_not_meet")]
    rest = [check for check in beside if check not in settled]
    return (
        element("h2", "Checklist, in walking order"),
        _checklist_table(result, asked, "Checklist"),
        element("h2", "Not part of this visit") if beside else None,
        _checklist_table(result, settled, "Not part of this visit, but settled")
        if settled
        else None,
        element("ul", [_short(check) for check in rest], class_="columns small") if rest else None,
    )


def _short(check: Check) -> Element:
    return element(
        "li",
        shape(shown_as(check)),
        f"{check.title}: {verdict_words(check)}. {check.reason} ",
        element("span", section_words(check), class_="section"),
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
            bodies.append(_group_rows(group.title, 4, rows))
    if not bodies:
        return None
    return (
        element("h2", "Still to be read"),
        _table(
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
                        free(_no_break(fact.shown)),
                        None
                        if fact.known == "read"
                        else f", {KNOWN_WORDS.get(fact.known, fact.known)}",
                    ),
                )
                for fact in mine
            ]
            made.append(element("section", element("h3", group.title), _terms(*known)))
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


def _arithmetic(result: Result) -> Content:
    """Each calculation once, under the names of all the limits and checks that rest on it."""
    named: dict[tuple[str, ...], list[Content]] = {}

    def add(title: str, said: str, item: Value | Check) -> None:
        name = (
            element("h3", title),
            element("p", f"{said} ", element("span", section_words(item), class_="section")),
        )
        named.setdefault(tuple(item.steps), []).append(name)

    for value in result.values.values():
        shown = f"{value.shown}{' (assumed)' if value.assumed else ''}"
        add(value.title, shown if shown.endswith(".") else f"{shown}.", value)
    for check in result.checks:
        if check.steps:
            add(f"Check: {check.title}", f"{verdict_words(check)}.", check)
    return (
        element("h2", "Appendix: arithmetic"),
        element(
            "div",
            [
                element("section", names, element("ol", [element("li", step) for step in steps]))
                for steps, names in named.items()
            ],
            class_="arithmetic",
        ),
    )


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
        for part in (_no_break(job.transformer), job.permit and f"permit {job.permit}", job.date)
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
            _contradictions(result),
            _conflicts(result),
            _unwise(result),
            _nameplates(result),
            _runs(result),
            _to_hold_against_the_gear(result),
            _limits(result),
            _checklist(result),
            _open_items(result),
            _facts(result),
            _drawing(result),
            _written_questions(result),
            _photos(result, photos),
            _closing(result, signature_data_url),
            _arithmetic(result),
        ),
    )


def _no_break(text: str) -> str:
    return _NO_BREAK.sub("\N{NO-BREAK SPACE}", text)


def _kept_together(root: Element) -> Element:
    """No line ends between a number and its unit, nor between a table's name and its number. Typed text stays as typed."""
    for part in root.iter():
        if part.text and part.tag not in ("bdi", "style"):
            part.text = _no_break(part.text)
        if part.tail:
            part.tail = _no_break(part.tail)
    return root


def _document(title: str, paper: Paper, content: Content) -> str:
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
            element("body", element("main", _kept_together(element("div", content)))),
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
    return _document(_title(result), paper, report_body(result, photos, signature_data_url))


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
        _terms(
            ("Transformers", str(len(results))),
            ("Dates", " to ".join(dict.fromkeys((dates[0], dates[-1]))) if dates else ""),
            ("Code", "; ".join(dict.fromkeys(code_words(result.edition) for result in results))),
        ),
        _table(
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
    return _document(f"Site report: {place}", paper, (summary, reports))
