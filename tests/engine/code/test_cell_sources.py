"""Every cell names its source, and the made pages and modules say the same as the tables."""

from pathlib import Path

import pytest

from engine.code import EDITIONS, code_for, lookups_from_tables
from engine.code.compile_tables import compiled_cells_source, compiled_source, write_compiled
from engine.code.fill_table import equal_conductors
from engine.code.loader import load_choices, load_tables
from engine.code.provenance import (
    as_html,
    as_markdown,
    editions_page,
    fill_page,
    provenance_page,
    write_pages,
)
from engine.code.rows import TABLE_KEYS, Row

TABLES = load_tables()


@pytest.mark.parametrize("name", list(TABLE_KEYS))
def test_every_cell_has_a_source_or_says_that_it_rests_on_memory_or_a_formula(name: str) -> None:
    # source: the issue text, each cell of a table has a source
    for row in TABLES[name]:
        assert row.source1 or (row.status in ("memory", "formula")), row.key
        assert row.status != "formula" or row.note, row.key


def test_a_cell_tells_value_unit_sources_and_section() -> None:
    cell = code_for(2023).cell("ampacity", size="4/0", material="copper", column=75)
    assert (cell.value, cell.unit, cell.section, cell.confirmed) == (
        "230",
        "A",
        "Table 310.16",
        True,
    )
    assert cell.source1
    assert cell.source2
    assert (
        code_for(2017).cell("ampacity", size="4/0", material="copper", column=75).section
        == "Table 310.15(B)(16)"
    )
    # 2014 was not read in any source, so its cell is carried over and says so
    assert not code_for(2014).cell("ampacity", size="4/0", material="copper", column=75).confirmed


def test_a_cell_that_does_not_exist_is_a_programmers_error() -> None:
    code = code_for(2023)
    with pytest.raises(KeyError):
        code.cell("no_such_table", size="4/0")
    with pytest.raises(KeyError, match="is looked up by"):
        code.cell("ampacity", size="4/0")
    with pytest.raises(KeyError):
        code.cell("ampacity", size="5", material="copper", column=75)


def test_compiled_lookups_are_those_of_the_tables() -> None:
    namespace: dict[str, object] = {}
    exec(compiled_source(), namespace)
    assert namespace["LOOKUPS"] == {edition: lookups_from_tables(edition) for edition in EDITIONS}
    assert namespace["CHOICES"] == load_choices()


def test_compiled_cells_are_those_of_the_tables() -> None:
    namespace: dict[str, object] = {}
    exec(compiled_cells_source(), namespace)
    texts: tuple[str, ...] = namespace["TEXTS"]  # type: ignore[assignment]
    tables: dict[str, tuple[tuple[object, ...], ...]] = namespace["TABLES"]  # type: ignore[assignment]
    unpacked = {
        name: tuple(Row(*row[:4], *(texts[index] for index in row[4:])) for row in rows)  # type: ignore[arg-type,index]
        for name, rows in tables.items()
    }
    assert unpacked == TABLES


def test_compiled_modules_are_written_where_asked(tmp_path: Path) -> None:
    lookups, cells = write_compiled(tmp_path)
    assert lookups.name == "_compiled.py"
    assert lookups.read_text(encoding="utf-8") == compiled_source()
    assert cells.name == "_compiled_cells.py"
    assert cells.read_text(encoding="utf-8") == compiled_cells_source()


def test_the_provenance_page_lists_every_cell_once() -> None:
    page = provenance_page()
    summary, *lists = page.blocks[:-1]
    assert sum(len(block.rows) for block in lists) == sum(len(rows) for rows in TABLES.values())
    assert summary.rows[-1][-1] == str(sum(len(rows) for rows in TABLES.values()))
    text = as_markdown(page)
    assert "From memory" in text
    assert "size 1500, material copper, column 60" in text


def test_the_editions_page_shows_what_changed() -> None:
    text = as_markdown(editions_page())
    assert "rating_up_to 6000, material aluminum" in text
    assert "section not confirmed for this edition (not confirmed)" in text


def test_pages_escape_what_they_show_and_use_nothing_from_outside() -> None:
    html = as_html(provenance_page())
    assert "<script" not in html
    assert "EC&amp;M" in html
    assert "src=" not in html


def test_pages_are_written_as_markdown_and_html(tmp_path: Path) -> None:
    names = {path.name for path in write_pages(tmp_path / "pages")}
    assert names == {
        f"{stem}{end}"
        for stem in ("provenance", "editions", "raceway_fill")
        for end in (".md", ".html")
    }


@pytest.mark.parametrize(
    ("raceway", "trade_size", "size", "insulation", "count"),
    [
        # source: fill chart at allclearmister.com, EMT with 14 and 12 AWG
        ("EMT", "1/2", "14", "THHN", 12), ("EMT", "1/2", "12", "THHN", 9), ("EMT", "3/4", "14", "THHN", 22),
        ("EMT", "3/4", "12", "THHN", 16), ("EMT", "1", "14", "THHN", 35), ("EMT", "1", "12", "THHN", 26),
        ("EMT", "1-1/2", "14", "THHN", 84), ("EMT", "1-1/2", "12", "THHN", 61),
        # source: the same page, three quarter inch conduit for four 6 AWG
        ("EMT", "3/4", "6", "THHN", 4),
        # source: NEC Annex C Table C.1, from memory; one and two conductors by 53 and 31 per cent
        ("EMT", "1/2", "4", "THHN", 1), ("EMT", "3/4", "4", "THHN", 2), ("EMT", "2", "4/0", "THHN", 4),
    ],
)  # fmt: skip
def test_equal_conductors_in_a_raceway(
    raceway: str, trade_size: str, size: str, insulation: str, count: int
) -> None:
    assert equal_conductors(code_for(2023), raceway, trade_size, size, insulation) == count


def test_a_decimal_of_eight_tenths_rounds_up() -> None:
    # source: Chapter 9 Table 1 note 7 (Mike Holt forum 186679); 0.8 x area over 40 % is checked by its own arithmetic
    code = code_for(2023)
    rounded_up = 0
    for raceway in ("EMT", "RMC", "PVC40"):
        for trade_size in code.raceway_trade_sizes(raceway):
            for size in ("12", "8", "4", "1/0", "250"):
                exact = (
                    0.4
                    * (code.raceway_area(raceway, trade_size) or 0)
                    / (code.conductor_area(size, "THWN-2") or 1)
                )
                count = equal_conductors(code, raceway, trade_size, size, "THWN-2")
                assert count is not None
                if count >= 3:
                    assert -0.2 - 1e-9 <= exact - count < 0.8
                    rounded_up += exact < count
    assert rounded_up


def test_the_fill_page_leaves_no_gap() -> None:
    page = fill_page()
    assert len(page.blocks) == 9 * 4
    emt = next(block for block in page.blocks if block.heading == "EMT, THHN/THWN/THWN-2")
    assert next(row for row in emt.rows if row[0] == "8") == (
        "8",
        "3",
        "6",
        "9",
        "16",
        "22",
        "36",
        "64",
        "96",
        "126",
        "161",
    )


def test_a_combination_outside_the_tables_has_no_count() -> None:
    assert equal_conductors(code_for(2023), "EMT", "6", "12", "THHN") is None
    assert equal_conductors(code_for(2023), "EMT", "2", "1250", "THHN") is None
