"""What the engine answers: values, checks, cautions and written questions."""

from typing import Literal

from pydantic import Field

from engine.job.base import Record
from engine.judging.verdicts import Severity, Verdict


class Alternative(Record):
    """The same minimum under another condition."""

    label: str
    shown: str


class Value(Record):
    """One number or size, with its section and arithmetic."""

    value: float | str
    """The number, not rounded, or the size."""
    unit: str
    """Unit; `AWG or kcmil` for a size, `kcmil` for an area, `trade size` for a raceway."""
    shown: str
    """As people write it."""
    title: str
    section: str
    section_confirmed: bool
    steps: list[str]
    """The arithmetic, a line a step."""
    assumed: bool
    """Whether anything had to be assumed to work it out; the steps say what. No check is judged by it."""
    group: str
    standard_rating: float | None = None
    """For a device limit: the largest standard rating that keeps it; null when none does."""
    size: str | None = None
    """For an area: the smallest size that has it."""
    alternatives: list[Alternative] = Field(default=[])
    """The same minimum in the other metal, or at other terminals."""


class SheetRow(Record):
    """One line of a table to compare with the gear."""

    label: str
    cells: list[str]
    """As people write them, one for each column; empty where there is none."""
    section: str
    assumed: bool
    """Whether anything had to be assumed to work it out."""


class SheetTable(Record):
    """The limits in few words: sizes by metal and terminals, side by side."""

    id: str
    title: str
    columns: list[str]
    rows: list[SheetRow]


class Compared(Record):
    """One line of the old nameplate beside the new one."""

    label: str
    old: str
    new: str
    change: Literal["same", "changed", "not_known"]
    effect: str
    """What the difference changes downstream; empty where nothing changed."""


class Check(Record):
    """One requirement held against what was found."""

    id: str
    title: str
    verdict: Verdict
    required: str
    found: str
    section: str
    section_confirmed: bool
    reason: str
    remedy: str
    severity: Severity
    group: str
    steps: list[str]
    missing: list[str]
    """Paths of the facts that would settle a `cannot_tell`."""
    questions: list[str]
    """Paths of all facts this check may read."""
    even_if: list[str]
    """Unknowns that could not change the verdict, in their worst case."""
    editions_differ: str | None
    """Where a neighbouring edition would give another verdict."""
    asked: bool
    """Whether the purpose of this visit looks at it."""


class Fact(Record):
    """One thing that was read, measured, told or assumed."""

    path: str
    label: str
    shown: str
    known: str
    group: str


class Contradiction(Record):
    """Facts that cannot all be true. No verdict rests on any of them until one is corrected."""

    id: str
    why: str
    """Why they cannot all be true, in words."""
    facts: list[Fact]


class OpenItem(Record):
    """One fact that nobody has read yet and that a check of this visit depends on."""

    path: str
    label: str
    where: str
    """What to read, and where to find it."""
    group: str
    checks: list[str]
    """Ids of the checks that wait for it."""


class Group(Record):
    """A stop on the walk round the installation."""

    id: str
    title: str


class Overall(Record):
    """The worst of the parts, in words that never say that anything complies."""

    verdict: Literal["conflict_found", "not_determined", "no_conflict_found"]
    text: str
    counts: dict[str, int]
    """Requirements of this visit by verdict; `advice_not_met` and `advice_open` count what is no requirement."""


class Heading(Record):
    """What identifies the job on paper."""

    name: str
    place: str
    date: str
    person: str
    licence: str
    permit: str
    purpose: str
    transformer: str
    """The transformer in words: kVA, phases, voltages."""
    notes: str


class Drawn(Record):
    """One conductor or connection of the bonding drawing."""

    id: str
    label: str
    size: str
    state: Verdict
    where: str


class Drawing(Record):
    """What the bonding drawing shows; made from the facts, drawn by the report."""

    system: str
    grounded: bool | None
    jumper: str
    electrode: str
    electrode_at: str
    downstream_bond: bool | None
    parts: list[Drawn]


class Result(Record):
    """The whole answer for one job under one edition."""

    format: Literal["platepath.result/1"]
    edition: int
    job: Heading
    overall: Overall
    values: dict[str, Value]
    sheet: list[SheetTable]
    """The same minimums and maximums on one page, to compare with what is there."""
    nameplates: list[Compared]
    """Old and new nameplate side by side; empty where nothing is known of an old one."""
    checks: list[Check]
    written_questions: list[str]
    cautions: list[str]
    contradictions: list[Contradiction]
    """Facts that cannot all be true; no check is judged by any of them."""
    facts: list[Fact]
    open_items: list[OpenItem]
    groups: list[Group]
    drawing: Drawing
    engine_version: str
