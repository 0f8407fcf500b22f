"""Sound installations with one or two things wrong: none may end as if nothing were.

The installations come from `installations.py`, the changes from `nearly_right.py`. The same seeds every time;
PLATEPATH_EXAMPLES=20000 tries that many installations, and every change that fits each of them.
"""

import random
from collections import Counter
from typing import NamedTuple

import pytest

from engine import Result, evaluate
from engine.code import EDITIONS
from engine.evaluation.order import RULES
from engine.files.refusals import job_from_data
from engine.job import SecondaryRule
from tests.engine.examples import MANY
from tests.engine.installations import CONNECTIONS, Installation, changed, draw
from tests.engine.jobs import Data
from tests.engine.nearly_right import CATALOG, Change

DRAWN = max(260, MANY)
# In every run each change is tried on this many installations that it fits; in a long one on all of them.
TRIED = DRAWN if MANY else 14
PAIRS = 4

BAD = ("does_not_meet", "cannot_tell")


def _evaluate(data: Data) -> Result:
    return evaluate(job_from_data(data)[0], compare_editions=False)


def _condemned(result: Result) -> list[str]:
    return [
        check.id
        for check in result.checks
        if check.verdict == "does_not_meet" and check.severity != "advice"
    ]


def _silent(result: Result, change: Change) -> bool:
    """Whether nothing that the change concerns speaks of it."""
    if result.contradictions and not change.firm:
        return False
    wanted = ("does_not_meet",) if change.firm else BAD
    return not any(c.verdict in wanted for c in result.checks if c.id in change.checks)


def _passes(result: Result, *changes: Change) -> bool:
    """Whether the whole passes. A visit may leave out a line that can't be told, never one that is broken."""
    if result.overall.verdict != "no_conflict_found" or any(change.advice for change in changes):
        return False
    named = {id_ for change in changes for id_ in change.checks}
    return not any(
        check.verdict == "cannot_tell" and not check.asked
        for check in result.checks
        if check.id in named
    )


class Tried(NamedTuple):
    """What came of all draws."""

    condemned: list[str]
    open: list[str]
    silent: list[str]
    passing: list[str]
    applied: Counter[str]
    kinds: Counter[object]


@pytest.fixture(scope="module")
def tried() -> Tried:
    out = Tried([], [], [], [], Counter(), Counter())
    for seed in range(DRAWN):
        installation = draw(seed)
        _look_at(installation, seed, out)
        fitting = []
        for change in CATALOG:
            facts = change.facts(installation)
            if facts is None:
                continue
            fitting.append((change, facts))
            if out.applied[change.id] >= TRIED:
                continue
            out.applied[change.id] += 1
            result = _evaluate(changed(installation, facts))
            said = f"{change.id} {change.sections} in installation {seed}: {facts}"
            if _silent(result, change):
                out.silent.append(said)
            if _passes(result, change):
                out.passing.append(said)
        _two_at_once(installation, seed, fitting, out)
    return out


def _look_at(installation: Installation, seed: int, out: Tried) -> None:
    result = _evaluate(installation.data)
    out.kinds.update(
        (
            installation.connection,
            installation.edition,
            installation.data["purpose"],
            installation.get("secondary.rule"),
            installation.get("transformer.location"),
            ("sets", min(installation.secondary.sets, 2)),
            ("on a roof", bool(installation.get("secondary.raceway.on_sunny_rooftop"))),
            ("metal", installation.secondary.metal),
            ("protection", installation.get("secondary.protection.kind")),
        )
    )
    out.condemned.extend(f"{id_} in installation {seed}" for id_ in _condemned(result))
    # No reading proves that a neutral is joined once.
    out.open.extend(
        f"{check.id} in installation {seed}: {check.reason}"
        for check in result.checks
        if check.asked
        and check.verdict == "cannot_tell"
        and check.severity != "advice"
        and check.group != "readings"
    )
    out.open.extend(f"{clash.id} in installation {seed}" for clash in result.contradictions)


def _two_at_once(
    installation: Installation, seed: int, fitting: list[tuple[Change, Data]], out: Tried
) -> None:
    chance = random.Random(seed)
    for _ in range(PAIRS):
        (one, facts), (other, more) = chance.sample(fitting, 2)
        if {*facts} & {*more}:
            continue
        result = _evaluate(changed(installation, {**facts, **more}))
        said = f"{one.id} and {other.id} in installation {seed}"
        speaks = any(c.verdict in BAD for c in result.checks if c.id in one.checks + other.checks)
        if not (speaks or result.contradictions) or _passes(result, one, other):
            out.passing.append(said)


def test_a_sound_installation_is_not_condemned(tried: Tried) -> None:
    assert tried.condemned == []


def test_a_sound_installation_of_which_all_is_known_is_told(tried: Tried) -> None:
    assert tried.open == []


def test_every_change_is_spoken_of_by_what_it_concerns(tried: Tried) -> None:
    assert tried.silent == []


def test_nothing_with_one_or_two_things_wrong_passes(tried: Tried) -> None:
    assert tried.passing == []


def test_every_change_was_tried(tried: Tried) -> None:
    assert [change.id for change in CATALOG if not tried.applied[change.id]] == []


def test_every_kind_of_installation_was_drawn(tried: Tried) -> None:
    wanted = [
        *CONNECTIONS,
        *EDITIONS,
        *("installation", "grounding", "replacement", "indoors", "outdoors"),
        *SecondaryRule.__args__,
        *(("sets", 1), ("sets", 2), ("on a roof", True), ("metal", "copper"), ("metal", "aluminum")),
        *(("protection", kind) for kind in ("main_device", "grouped_devices", "main_lugs_only")),
    ]  # fmt: skip
    assert [kind for kind in wanted if not tried.kinds[kind]] == []


def test_the_catalog_is_large_and_names_its_sections_and_checks() -> None:
    assert len(CATALOG) >= 120
    assert len({change.id for change in CATALOG}) == len(CATALOG)
    ids = {rule.id for rule in RULES}
    for change in CATALOG:
        assert change.checks and set(change.checks) <= ids, change.id
        assert all(change.sections), change.id
