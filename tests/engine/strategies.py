"""Hypothesis strategies of jobs, built by walking the job model, so that a new field takes part without being listed."""

from typing import Annotated, Any

from hypothesis import strategies as st
from pydantic import TypeAdapter

from engine.code import EDITIONS
from engine.files.refusals import Refusal
from engine.job.runs import FURTHER, OF_A_FURTHER_RUN, path_in_run
from engine.judging.contradictions.found import contradictions, doubted_by

from .jobs import (
    BUILDERS,
    FACTS,
    NEEDED,
    Data,
    fields,
    further_facts,
    get,
    job,
    nameplate,
    put,
    run_of,
    two_runs,
)

# Round figures of the trade and those just beside them, where limits change.
USUAL = (
    *(0.0, 0.1, 0.5, 0.85, 1, 1.9, 2, 3, 3.5, 5, 5.75, 6, 6.01, 8.9, 9, 10, 10.01, 12, 14, 15, 18, 20, 22),
    *(24.99, 25, 25.01, 30, 37.5, 40, 45, 49, 50, 51, 55, 60, 65, 70, 75, 80, 85, 90, 100, 101, 110),
    *(112.5, 113, 115, 120, 125, 130, 149, 150, 151, 160, 175, 200, 208, 225, 230, 240, 250, 277, 300),
    *(400, 480, 500, 600, 601, 750, 800, 801, 1000, 1001, 1200, 1500, 1600, 2000, 2400, 2500, 4000, 4160),
    *(6000, 13800),
)  # fmt: skip


def _of_schema(schema: dict[str, Any]) -> st.SearchStrategy[Any]:
    if "anyOf" in schema:
        return st.one_of(
            *(_of_schema(part) for part in schema["anyOf"] if part.get("type") != "null")
        )
    if "const" in schema:
        return st.just(schema["const"])
    if "enum" in schema:
        return st.sampled_from(schema["enum"])
    kind = schema.get("type")
    if kind == "boolean":
        return st.booleans()
    if kind == "array":
        return st.lists(_of_schema(schema["items"]), max_size=7)
    if kind in ("number", "integer"):
        return _number(schema, kind == "integer")
    if kind == "string":
        return st.sampled_from(["", "2026-05-04"]) if "pattern" in schema else st.text(max_size=20)
    raise AssertionError(f"no strategy for {schema}: teach tests/engine/strategies.py")


def _ends(schema: dict[str, Any]) -> tuple[Any, Any]:
    """The least and the most of a number, whether the least itself is allowed or not."""
    return schema["minimum"] if "minimum" in schema else schema["exclusiveMinimum"], schema[
        "maximum"
    ]


def _number(schema: dict[str, Any], whole: bool) -> st.SearchStrategy[Any]:
    low, high = _ends(schema)
    open_ = "exclusiveMinimum" in schema
    usual = [v for v in USUAL if (v > low if open_ else v >= low) and v <= high]
    if whole:
        small = list(range(int(low), min(int(high), 12) + 1))
        return st.one_of(st.sampled_from(small), st.integers(int(low), int(high)))
    some = st.floats(low, high, exclude_min=open_, allow_subnormal=False)
    return st.one_of(st.sampled_from(usual), some) if usual else some


TYPES: dict[str, Any] = {
    path: Annotated[annotation, *metadata] if metadata else annotation
    for path, (annotation, *metadata) in fields()
    if path in FACTS or path in NEEDED
}
VALUES: dict[str, st.SearchStrategy[Any]] = {
    path: _of_schema(TypeAdapter(type_).json_schema()) for path, type_ in TYPES.items()
}


@st.composite
def facts_of(draw: Any, path: str) -> tuple[str, Any]:
    """One fact: its path and any value that the schema allows."""
    return path, draw(VALUES[path])


ONE_FACT = st.sampled_from(FACTS).flatmap(facts_of)
EDITION = st.sampled_from(EDITIONS)
PURPOSE = st.sampled_from(["installation", "grounding", "replacement"])
NAMEPLATES = st.builds(
    nameplate,
    st.sampled_from([0.5, 1, 3, 5, 15, 25, 45, 75, 112.5, 150, 300, 500, 1000]),
    st.sampled_from([1, 3]),
    st.sampled_from([120, 208, 240, 480, 600, 4160]),
    st.sampled_from([24, 120, 208, 240, 480, 600]),
)


def possible(data: Data) -> Data:
    """The same job without what no transformer of this scope can be (and what is refused for that)."""
    if get(data, "transformer.autotransformer"):
        put(data, "transformer.autotransformer", False)
    phases = get(data, "transformer.phases")
    for name in ("transformer.primary_system", "transformer.secondary_system"):
        system = get(data, name)
        if system and system.startswith("single_phase") != (phases == 1):
            put(data, name, None)
    old_phases = get(data, "replacement.old.phases")
    for name in ("replacement.old.primary_system", "replacement.old.secondary_system"):
        system = get(data, name)
        if system and old_phases and system.startswith("single_phase") != (old_phases == 1):
            put(data, name, None)
    return data


def consistent(data: Data) -> Data:
    """The same job without the facts that contradict each other; of the nameplate itself the other side is left out."""
    try:
        read = job(data)
    except Refusal:
        return data
    for path in doubted_by(contradictions(read)):
        if path not in NEEDED:
            put(data, path, None)
    return data


@st.composite
def changed_jobs(draw: Any, most: int = 25) -> Data:
    """A complete job with some of its facts replaced: most of it consistent, some of it contradictory."""
    data = draw(st.sampled_from(sorted(BUILDERS)).map(lambda name: BUILDERS[name]()))
    for path, value in draw(st.lists(ONE_FACT, max_size=most)):
        put(data, path, value)
    if draw(st.booleans()):
        for path in NEEDED:
            if path != "transformer.phases" and draw(st.booleans()):
                put(data, path, draw(VALUES[path]))
    data["edition"], data["purpose"] = draw(EDITION), draw(PURPOSE)
    return possible(data)


@st.composite
def random_jobs(draw: Any) -> Data:
    """Anything that the schema allows, consistent or not; any fact may be unknown."""
    data = draw(NAMEPLATES)
    for path in NEEDED:
        if draw(st.booleans()):
            put(data, path, draw(VALUES[path]))
    for path, value in draw(
        st.fixed_dictionaries({}, optional={p: VALUES[p] for p in FACTS})
    ).items():
        put(data, path, value)
    data["edition"], data["purpose"] = draw(EDITION), draw(PURPOSE)
    return possible(data)


@st.composite
def jobs_of_several_runs(draw: Any, most: int = 8) -> Data:
    """A job that feeds two or three runs, with facts of any of them replaced or not known, and some runs not looked at."""
    start = draw(st.sampled_from([*sorted(BUILDERS), "two runs"]))
    data = two_runs() if start == "two runs" else BUILDERS[start]()
    runs: list[Any] = get(data, FURTHER) or []
    runs += [draw(st.sampled_from([run_of(data), {}])) for _ in range(draw(st.integers(0, 1)))]
    data["secondary"]["further_runs"] = runs or [run_of(data)]
    for path, value in draw(st.lists(ONE_FACT, max_size=most)):
        put(data, path, value)
        number = draw(st.integers(0, len(data["secondary"]["further_runs"])))
        put(data, path_in_run(path, number), value if draw(st.booleans()) else None)
    for number in range(len(data["secondary"]["further_runs"])):
        for name in OF_A_FURTHER_RUN:
            put(data, f"{FURTHER}.{number}.{name}", draw(st.sampled_from([True, False, None])))
    data["edition"], data["purpose"] = draw(EDITION), draw(PURPOSE)
    return possible(data)


JOBS = st.one_of(changed_jobs(), changed_jobs(most=4), random_jobs(), jobs_of_several_runs())


@st.composite
def partly_forgotten(draw: Any, jobs: st.SearchStrategy[Data] = JOBS) -> tuple[Data, list[str]]:
    """A job and some of its known facts, to be forgotten: a few, or most of them."""
    data = consistent(draw(jobs))
    paths = [path for path in FACTS if get(data, path) is not None] + further_facts(data)
    if not paths:
        return data, []
    some = draw(st.lists(st.sampled_from(paths), max_size=8, unique=True))
    if draw(st.integers(0, 3)) == 0:
        some = [path for path in paths if path not in some]
    return data, some


def values_to_try(path: str) -> list[Any]:
    """Every choice of a fact, or figures of the trade within its range, or a few lists."""
    schema = TypeAdapter(TYPES[path]).json_schema()
    return _values(next(part for part in schema["anyOf"] if part.get("type") != "null"))


def _values(schema: dict[str, Any]) -> list[Any]:
    if "const" in schema:
        return [schema["const"]]
    if "enum" in schema:
        return schema["enum"]
    if schema["type"] == "boolean":
        return [True, False]
    if schema["type"] == "array":
        some = _values(schema["items"])
        return [[], some[:1], some[1:3], some[-1:], some[:7], some]
    low, high = _ends(schema)
    if schema["type"] == "integer":
        return list(range(low, min(high, 30) + 1))
    return [
        v
        for v in (*USUAL, high)
        if (v > low if "exclusiveMinimum" in schema else v >= low) and v <= high
    ]
