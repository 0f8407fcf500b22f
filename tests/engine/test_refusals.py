"""Input that cannot be used is refused: every problem at once, in plain words, and nothing else ever happens to it."""

import csv
import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.code.editions import EDITIONS
from engine.files.refusals import LARGEST_FILE, Refusal, job_from_data, job_from_text
from tests.engine.examples import examples
from tests.engine.jobs import fields, get, nameplate, put, sound, with_facts
from tests.engine.strategies import VALUES

BROKEN = Path(__file__).resolve().parents[2] / "fixtures" / "broken"
EDITIONS_IN_WORDS = " or ".join((", ".join(map(str, EDITIONS[:-1])), str(EDITIONS[-1])))
with (BROKEN / "refusals.csv").open(encoding="utf-8", newline="") as _file:
    EXPECTED: dict[str, list[tuple[str, str, str]]] = {}
    for _row in csv.DictReader(_file):
        _right = _row["right"].replace("{editions}", EDITIONS_IN_WORDS)
        EXPECTED.setdefault(_row["file"], []).append((_row["path"], _row["wrong"], _right))
BLAME = (
    "invalid",
    "please",
    "illegal",
    "error",
    "bad ",
    "must",
    "exception",
    "pydantic",
    "validation",
)


def _refused(text: bytes | str) -> list[tuple[str, str, str]]:
    with pytest.raises(Refusal) as refused:
        job_from_text(text)
    return [(p.path, p.wrong, p.right) for p in refused.value.problems]


def test_every_broken_file_has_its_words() -> None:
    assert {path.name for path in BROKEN.glob("*.json")} == set(EXPECTED)
    assert len(EXPECTED) >= 40


@pytest.mark.parametrize("name", sorted(EXPECTED))
def test_a_broken_file_is_refused_in_its_words(name: str) -> None:
    assert _refused((BROKEN / name).read_bytes()) == EXPECTED[name]


@pytest.mark.parametrize("name", sorted(EXPECTED))
def test_the_words_blame_nobody(name: str) -> None:
    for _, wrong, right in EXPECTED[name]:
        assert not [word for word in BLAME if word in f"{wrong} {right}".lower()]
        assert wrong and right


def test_all_problems_come_at_once() -> None:
    assert len(EXPECTED["several_at_once.json"]) == 4


LEAVES = [path for path, _ in fields() if path.split(".")[0] not in ("format", "provenance")]


@examples(300)
@given(
    st.sampled_from(LEAVES),
    st.one_of(
        st.text(max_size=5),
        st.integers(),
        st.floats(allow_nan=False),
        st.booleans(),
        st.lists(st.integers(), max_size=2),
        st.dictionaries(st.text(max_size=3), st.integers(), max_size=1),
    ),
)
def test_any_value_anywhere_is_taken_as_it_is_or_refused_by_name(path, value) -> None:
    data = nameplate(75, 3, 480, 208)
    put(data, path, value)
    try:
        read, _ = job_from_data(data)
    except Refusal as refused:
        assert all(p.path.startswith(path) for p in refused.problems), refused.problems
        return
    kept = get(json.loads(read.model_dump_json()), path)
    assert kept == value
    assert isinstance(kept, bool) == isinstance(value, bool)


@examples(200)
@given(st.sampled_from(sorted(VALUES)).flatmap(lambda p: st.tuples(st.just(p), VALUES[p])))
def test_null_is_the_same_as_missing(pair) -> None:
    path, _ = pair
    if path.count(".") == 0 or path in (
        "transformer.kva",
        "transformer.phases",
        "transformer.primary_volts",
        "transformer.secondary_volts",
    ):
        return
    data = nameplate(75, 3, 480, 208)
    with_null = json.loads(json.dumps(data))
    place = with_null
    *parts, last = path.split(".")
    for name in parts:
        place = place.setdefault(name, {})
    place[last] = None
    assert job_from_data(with_null)[0] == job_from_data(data)[0]


@pytest.mark.parametrize(
    "part",
    [
        "primary",
        "secondary",
        "bonding",
        "electrode",
        "readings",
        "observations",
        "replacement",
        "provenance",
    ],
)
def test_a_part_that_is_null_is_the_same_as_missing(part: str) -> None:
    data = nameplate(75, 3, 480, 208)
    assert job_from_data({**data, part: None})[0] == job_from_data(data)[0]


@pytest.mark.parametrize("setting", ["edition", "purpose", "name", "date", "notes"])
def test_a_setting_that_is_null_is_the_same_as_missing(setting: str) -> None:
    data = nameplate(75, 3, 480, 208)
    assert job_from_data({**data, setting: None})[0] == job_from_data(data)[0]


@examples(200)
@given(st.one_of(st.binary(max_size=200), st.text(max_size=200)))
def test_any_bytes_are_refused_and_nothing_else(text) -> None:
    _refused(text)


@examples(150)
@given(st.integers(0, 4000), st.integers(0, 255))
def test_a_file_with_one_byte_changed_is_read_or_refused(at: int, byte: int) -> None:
    text = bytearray(json.dumps(sound()).encode())
    text[at % len(text)] = byte
    try:
        job_from_text(bytes(text))
    except Refusal as refused:
        assert refused.problems


def test_files_too_large_are_refused_before_they_are_read() -> None:
    assert _refused(b" " * (LARGEST_FILE + 1)) == [("file", "larger than 40 MB", "one job file")]


def test_data_that_json_cannot_hold_is_refused() -> None:
    for value in (float("nan"), float("inf"), object()):
        with pytest.raises(Refusal):
            job_from_data(
                with_facts(nameplate(75, 3, 480, 208), transformer__impedance_percent=value)
            )


def test_a_number_with_thousands_of_digits_is_refused() -> None:
    text = json.dumps(nameplate(75, 3, 480, 208)).replace("75", "7" * 5000, 1)
    assert _refused(text)


def test_bounds_are_said_from_both_ends() -> None:
    for path, ends in (
        ("transformer.kva", ("0.001", "10000")),
        ("secondary.conductors.sets", ("1", "24")),
        ("primary.conductors.ambient_celsius", ("-60", "150")),
    ):
        for value in (-1e6, 1e9):
            data = nameplate(75, 3, 480, 208)
            put(data, path, int(value))
            (problem,) = _refused(json.dumps(data))
            assert problem[0] == path
            assert all(end in problem[2] for end in ends), problem
