"""Tables that contradict themselves are refused, with words that say where and why."""

import pytest

from engine.code.editions import EDITIONS
from engine.code.loader import (
    BrokenTable,
    check_ranges,
    load_choices,
    read_choices,
    read_sections,
    read_table,
)

HEAD = "# what: a shelf\n# unit: kg\n"
COLUMNS = "size,material,from_edition,to_edition,confirmed_editions,value,unit,cite_id,source1,source2,status,note\n"
KNOWN = frozenset({"shelf"})


def row(**changes: str) -> str:
    cells = {
        "size": "14", "material": "copper", "from_edition": "2014", "to_edition": "", "confirmed_editions": "2023",
        "value": "15", "unit": "A", "cite_id": "shelf", "source1": "a book", "source2": "", "status": "one-source",
        "note": "",
    }  # fmt: skip
    return ",".join((cells | changes).values()) + "\n"


def test_a_sound_table_is_read() -> None:
    rows = read_table("small_conductors", HEAD + COLUMNS + row(), KNOWN)
    assert rows[0].key == ("14", "copper")
    assert rows[0].confirmed_editions == (2023,)


def test_an_empty_last_edition_is_still_in_force() -> None:
    text = HEAD + COLUMNS + row(to_edition="2020") + row(from_edition="2023", value="20")
    closed, still = read_table("small_conductors", text, KNOWN)
    assert [closed.holds_in(edition) for edition in EDITIONS] == [e <= 2020 for e in EDITIONS]
    assert [still.holds_in(edition) for edition in EDITIONS] == [e >= 2023 for e in EDITIONS]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (COLUMNS + row(), "no comment header"),
        (HEAD + "size,value\n14,15\n", "columns are"),
        (HEAD + COLUMNS, "no rows"),
        (HEAD + COLUMNS + "14,copper,2014\n", "too few or too many cells"),
        (HEAD + COLUMNS + row().replace("\n", ",surplus\n"), "too few or too many cells"),
        (HEAD + COLUMNS + row() + row(), f"duplicate row for 2014 to {EDITIONS[-1]}"),
        (HEAD + COLUMNS + row(to_edition="2020"), "gap, no row for 2023"),
        (HEAD + COLUMNS + row(from_edition="2017"), "gap, no row for 2014"),
        (
            HEAD + COLUMNS + row(to_edition="2017") + row(from_edition="2023"),
            "gap, no row for 2020",
        ),
        (
            HEAD + COLUMNS + row(to_edition="2020") + row(from_edition="2020"),
            "ranges overlap at 2020",
        ),
        (HEAD + COLUMNS + row(from_edition="2020", to_edition="2014"), "runs backwards"),
        # two rows in force for one key: the former one was left open, or its end was set too late
        (HEAD + COLUMNS + row() + row(from_edition="2020"), "ranges overlap at 2020"),
        (HEAD + COLUMNS + row() + row(to_edition="2020"), "ranges overlap at 2014"),
        (HEAD + COLUMNS + row(to_edition=str(EDITIONS[-1])), "leave to_edition empty"),
        (HEAD + COLUMNS + row(to_edition="2030"), "edition '2030' is not one of"),
        (HEAD + COLUMNS + row(from_edition=""), "edition '' is not one of"),
        (HEAD + COLUMNS + row(from_edition="2015"), "edition '2015' is not one of"),
        (HEAD + COLUMNS + row(confirmed_editions="2011"), "edition '2011' is not one of"),
        (HEAD + COLUMNS + row(status="certain"), "status 'certain' is not one of"),
        (HEAD + COLUMNS + row(status="two-sources"), "says two-sources but names 1"),
        (HEAD + COLUMNS + row(status="two-sources", source2="a book"), "the same one twice"),
        (HEAD + COLUMNS + row(source1=""), "says one-source but names 0"),
        (HEAD + COLUMNS + row(status="formula", source1=""), "its note names none"),
        (HEAD + COLUMNS + row(unit=""), "no unit"),
        (HEAD + COLUMNS + row(value=""), "empty value without a note"),
        (HEAD + COLUMNS + row(cite_id="cupboard"), "not in sections.csv"),
    ],
)
def test_a_broken_table_is_refused(text: str, words: str) -> None:
    with pytest.raises(BrokenTable, match=words) as refusal:
        read_table("small_conductors", text, KNOWN)
    assert str(refusal.value).startswith("small_conductors:")


SECTION_COLUMNS = "cite_id,from_edition,to_edition,section,title,mark,source_note\n"


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ("shelf,2014,2023,1.1,Shelf,memory,from memory\n", "gap, no row for 2026"),
        ("shelf,2014,,1.1,Shelf,sure,from memory\n", "mark 'sure' is not one of"),
        ("shelf,2014,,1.1,Shelf,not confirmed,nothing found\n", "does not fit section '1.1'"),
        ("shelf,2014,,,Shelf,memory,from memory\n", "does not fit section ''"),
        ("shelf,2014,,1.1,,memory,from memory\n", "no title"),
        ("shelf,2014,,1.1,Shelf,memory,\n", "no source note"),
    ],
)
def test_broken_sections_are_refused(rows: str, words: str) -> None:
    with pytest.raises(BrokenTable, match=words):
        read_sections(HEAD + SECTION_COLUMNS + rows)


CHOICE_COLUMNS = "choice_id,from_edition,to_edition,choice,mark,note\n"


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ("shelf,2014,2020,oak,memory,from memory\n", "gap, no row for 2023"),
        ("shelf,2014,,oak,memory,from memory\n" * 2, "duplicate row"),
        (
            "shelf,2014,,oak,memory,from memory\nshelf,2023,,elm,memory,from memory\n",
            "ranges overlap at 2023",
        ),
        ("shelf,2020,2017,oak,memory,from memory\n", "runs backwards"),
        ("shelf,2014,2016,oak,memory,from memory\n", "edition '2016' is not one of"),
        (f"shelf,2014,{EDITIONS[-1]},oak,memory,from memory\n", "leave to_edition empty"),
        ("shelf,2014,,oak,sure,from memory\n", "mark 'sure' is not one of"),
        ("shelf,2014,,,memory,from memory\n", "no choice"),
        ("shelf,2014,,oak,memory,\n", "no note"),
    ],
)
def test_broken_choices_are_refused(rows: str, words: str) -> None:
    with pytest.raises(BrokenTable, match=words):
        read_choices(HEAD + CHOICE_COLUMNS + rows)


def test_every_choice_is_made_in_every_edition() -> None:
    choices = load_choices()
    assert tuple(choices) == EDITIONS
    assert len({frozenset(made) for made in choices.values()}) == 1


def test_ranges_that_meet_without_gap_or_overlap_pass() -> None:
    check_ranges(
        "shelf",
        [
            *(("a", edition, edition) for edition in EDITIONS[:-2]),
            ("a", *EDITIONS[-2:]),
            ("b", EDITIONS[0], EDITIONS[-1]),
        ],
    )
