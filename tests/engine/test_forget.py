"""Unknown never passes: take any job, forget any of its facts, and no check moves to *meets*.

Run long with PLATEPATH_EXAMPLES=20000. No source: it is the contract's own promise.
"""

from copy import deepcopy
from typing import get_args, get_origin

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from engine import Job
from engine.code import EDITIONS, code_for
from engine.evaluation.judge import judge
from engine.evaluation.order import RULES
from engine.files.refusals import job_from_data
from engine.job.site import Site
from engine.judging.contradictions.found import contradictions
from tests.engine.checked import verdicts
from tests.engine.examples import examples
from tests.engine.installations import changed, draw
from tests.engine.jobs import (
    BUILDERS,
    FACTS,
    Data,
    fields,
    get,
    job,
    known,
    put,
    replaced,
    with_facts,
)
from tests.engine.nearly_right import CATALOG
from tests.engine.strategies import (
    JOBS,
    ONE_FACT,
    VALUES,
    consistent,
    partly_forgotten,
    possible,
    values_to_try,
)


def without(data: Data, paths: list[str]) -> Data:
    """The same job with facts forgotten."""
    copy = deepcopy(data)
    for path in paths:
        put(copy, path, None)
    return copy


def _read(data: Data) -> Job | None:
    """The job, or None where it is refused."""
    try:
        return job(data)
    except ValueError:
        return None


def _site(made: Job) -> Site:
    return Site(made, code_for(made.edition))


@examples(300)
@given(partly_forgotten())
def test_forgetting_facts_of_any_job_moves_no_check_to_meets(pair: tuple[Data, list[str]]) -> None:
    data, forgotten = pair
    full_job = _read(data)
    assume(full_job is not None)
    full = verdicts(full_job)
    less = verdicts(job(without(data, forgotten)))
    moved = {id_: full[id_] for id_, verdict in less.items() if verdict == "meets" != full[id_]}
    assert not moved, f"{moved} became meets when {forgotten} were forgotten"
    # That something does not apply needs a known reason.
    dropped = {
        id_: full[id_] for id_, verdict in less.items() if verdict == "does_not_apply" != full[id_]
    }
    assert not dropped, f"{dropped} no longer apply when {forgotten} were forgotten"


@examples(150)
@given(st.integers(0, 10**6), st.integers(1, 40), st.randoms(use_true_random=False))
def test_forgetting_facts_of_a_drawn_installation_moves_no_check(seed, many, chance) -> None:
    installation = draw(seed)
    data = installation.data
    change = chance.choice(CATALOG).facts(installation)
    if change:
        data = changed(installation, change)
    full_job = job_from_data(data)[0]
    assume(not contradictions(full_job))
    some = chance.sample(known(data), many)
    full, less = verdicts(full_job), verdicts(job_from_data(without(data, some))[0])
    moved = {
        id_: (full[id_], verdict)
        for id_, verdict in less.items()
        if verdict in ("meets", "does_not_apply") and verdict != full[id_]
    }
    assert not moved, f"{moved} when {some} were forgotten in installation {seed}"


LISTS = tuple(
    path
    for path, (annotation, *_) in fields()
    if any(get_origin(part) is list for part in get_args(annotation))
)


def test_an_empty_list_is_never_a_sum_of_nothing_that_meets() -> None:
    """What passes with nothing on a list passes with the list unknown as well: it does not rest on the list."""
    assert len(LISTS) >= 5
    wrong = []
    for seed in range(160):
        installation = draw(seed)
        change = CATALOG[seed % len(CATALOG)].facts(installation) or {}
        for path in LISTS:
            unknown, none = (
                verdicts(job_from_data(changed(installation, {**change, path: value}))[0])
                for value in (None, [])
            )
            wrong += [
                (id_, path, seed)
                for id_, verdict in none.items()
                if verdict == "meets" != unknown[id_]
            ]
    assert not wrong


def _impossible(data: Data) -> bool:
    """Whether a job is refused, or holds facts that cannot all be true."""
    try:
        return bool(contradictions(job(data)))
    except ValueError:
        return True


@st.composite
def _open_checks(draw):
    """A rule, a job that lacks some of what the rule asks, and values for what is lacking."""
    rule = draw(st.sampled_from(RULES))
    data = deepcopy(draw(st.sampled_from(sorted(BUILDERS)).map(lambda name: BUILDERS[name]())))
    data["edition"] = draw(st.sampled_from(EDITIONS))
    for path, value in draw(st.lists(ONE_FACT, max_size=3)):
        put(data, path, value)
    consistent(possible(data))
    asked = [path for path in dict.fromkeys(rule.asks) if path in FACTS]
    for path in (
        draw(st.lists(st.sampled_from(asked), min_size=1, max_size=4, unique=True)) if asked else []
    ):
        put(data, path, None)
    unknown = [path for path in asked if get(data, path) is None]
    filled = deepcopy(data)
    for path in unknown:
        if draw(st.integers(0, 4)):
            put(filled, path, draw(VALUES[path]))
            if _impossible(filled):
                put(filled, path, None)
    return rule, data, filled


@examples(1000)
@given(_open_checks())
def test_a_check_that_meets_with_facts_unknown_meets_whatever_they_turn_out_to_be(case) -> None:
    rule, data, filled = case
    later = _read(filled)
    assume(later is not None)
    if judge(rule, _site(job(data))).finding.verdict == "meets":
        added = {path: get(filled, path) for path in FACTS if get(filled, path) != get(data, path)}
        finding = judge(rule, _site(later)).finding
        assert finding.verdict == "meets", f"{rule.id} with {added}: {finding.reason}"


@pytest.mark.parametrize(
    ("name", "edition"),
    [*((name, 2023) for name in sorted(BUILDERS)), ("sound", 2014), ("parallel sets", 2026)],
)
def test_no_single_unknown_fact_hides_a_conflict_behind_meets(name: str, edition: int) -> None:
    whole = with_facts(BUILDERS[name](), edition=edition)
    hidden = []
    for path in FACTS:
        site = _site(job(without(whole, [path])))
        asking = [rule for rule in RULES if path in rule.asks]
        open_ = [rule for rule in asking if judge(rule, site).finding.verdict == "meets"]
        for value in values_to_try(path) if open_ else ():
            try:
                made = job_from_data(replaced(whole, **{path.replace(".", "__"): value}))[0]
            except ValueError:
                continue
            if contradictions(made):
                continue  # it cannot turn out to be that beside what is known
            known = _site(made)
            hidden += [
                (r.id, path, value) for r in open_ if judge(r, known).finding.verdict != "meets"
            ]
    assert not hidden


@examples(60)
@given(JOBS)
def test_with_only_the_nameplate_left_nothing_meets_but_what_needs_no_more(data: Data) -> None:
    bare = without(data, list(FACTS))
    meets = {id_ for id_, verdict in verdicts(job(bare)).items() if verdict == "meets"}
    assert not meets
