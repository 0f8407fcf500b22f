"""The worker's single entry: JSON text in, JSON text out, never an exception."""

import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter

from engine import __version__, evaluate
from engine.code import EDITIONS
from engine.interfaces.handle import handle
from engine.interfaces.messages import Reply
from engine.wizard.questions import catalogue
from engine.wizard.walk import questions
from tests.engine.examples import examples
from tests.engine.jobs import job, nameplate, sound, with_facts
from tests.engine.strategies import JOBS

NUMBERS = Path(__file__).resolve().parents[2] / "fixtures" / "numbers.json"
REPLIES = TypeAdapter(Reply)
PICTURE = "data:image/png;base64,iVBORw0KGgo="


def ask(**request):
    """One request and its reply as plain data; every reply is one of the contract's."""
    text = handle(json.dumps(request))
    REPLIES.validate_json(text)
    return json.loads(text)


def test_hello_says_who_is_there() -> None:
    reply = ask(op="hello")
    assert reply["op"] == "hello"
    assert reply["engine_version"] == __version__
    assert reply["contract"] == "platepath.job/1"
    assert reply["editions"] == list(EDITIONS)
    assert reply["build"]


def test_evaluate_gives_the_result_of_the_library() -> None:
    reply = ask(op="evaluate", job=sound())
    assert reply["op"] == "result"
    assert reply["result"] == json.loads(evaluate(job(sound())).model_dump_json())


def test_a_job_that_cannot_be_is_refused_with_every_problem() -> None:
    reply = ask(op="evaluate", job=with_facts(nameplate(0, 3, 480, 208), edition=1999))
    assert reply["op"] == "refused"
    assert {p["path"] for p in reply["problems"]} == {"edition", "transformer.kva"}


@examples(60)
@given(JOBS)
def test_any_job_gets_a_result_or_a_refusal(data) -> None:
    assert ask(op="evaluate", job=data)["op"] in ("result", "refused")


def test_report_is_one_document_with_its_drawing() -> None:
    reply = ask(
        op="report",
        job=sound(),
        photos=[{"check": "system_bonding_jumper", "name": "x.png", "data_url": PICTURE}],
        signature_data_url=PICTURE,
    )
    assert reply["op"] == "document"
    assert reply["html"].lower().startswith("<!doctype html>")
    assert reply["drawing_svg"].startswith("<svg")
    assert "system bonding jumper" in reply["drawing_text"].lower()
    assert reply["file_name"].endswith(".html")


def test_a_photo_that_is_no_picture_is_refused() -> None:
    for url in (
        "data:text/html;base64,AAAA",
        "javascript:alert(1)",
        "data:image/png;base64,<script>",
    ):
        reply = ask(op="report", job=sound(), photos=[{"check": "x", "name": "x", "data_url": url}])
        assert reply["op"] == "refused"


def test_open_reads_a_file_and_gives_what_it_held() -> None:
    reply = ask(op="open", text=json.dumps(sound()))
    assert reply["op"] == "job"
    assert reply["migrated_from"] is None
    assert job(reply["job"]) == job(sound())


def test_open_refuses_what_is_no_job() -> None:
    for text in ("", "{}", "[]", "hello", json.dumps({"format": "platepath.job/9"})):
        assert ask(op="open", text=text)["op"] == "refused"


@pytest.mark.parametrize(
    ("path", "value", "kept", "shown"),
    [
        ("transformer.kva", "75", 75, "75 kVA"),
        ("transformer.kva", " 112.5 ", 112.5, "112.5 kVA"),
        ("transformer.kva", "112,5", 112.5, "112.5 kVA"),
        ("transformer.kva", "1,000", 1000, "1,000 kVA"),
        ("transformer.primary_volts", "4,160", 4160, "4,160 V"),
        ("primary.device.rating", 125, 125, "125 A"),
        ("secondary.protection.ratings", "60 60; 100", [60, 60, 100], "60 A, 60 A, 100 A"),
        ("secondary.protection.ratings", [60, "60"], [60, 60], "60 A, 60 A"),
        ("electrode.available", [], [], "none found"),
        ("primary.conductors.size", "1/0", "1/0", "1/0 AWG"),
        ("observations.anchored", True, True, "yes"),
        ("observations.anchored", False, False, "no"),
        ("observations.anchored", None, None, ""),
        ("transformer.secondary_system", "wye_4_wire", "wye_4_wire", "Wye, 4-wire"),
        (
            "transformer.secondary_system",
            "single_phase_3_wire",
            "single_phase_3_wire",
            "Single-phase, 3-wire",
        ),
        ("name", "T-1", "T-1", "T-1"),
        ("secondary.further_runs.1.protection.rating", "100", 100, "100 A"),
        ("secondary.further_runs.0.conductors.size", "1/0", "1/0", "1/0 AWG"),
        ("secondary.further_runs.0.supply_side_bonding_jumper.kind", "wire", "wire", "A wire"),
        ("secondary.further_runs.4.observations.torque_recorded", True, True, "yes"),
        ("secondary.further_runs.2.in_first_enclosure", False, False, "no"),
    ],
)
def test_an_answer_is_read_as_people_type_it(path, value, kept, shown) -> None:
    reply = ask(op="check_answer", path=path, value=value)
    assert reply["op"] == "ok", reply
    assert (reply["value"], reply["shown"]) == (kept, shown)


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("transformer.kva", "seventy-five"),
        ("transformer.kva", "0"),
        ("transformer.kva", "-5"),
        ("transformer.secondary_volts", "4160"),
        ("primary.device.rating", "125 A or so"),
        ("primary.device.rating", True),
        ("secondary.further_runs.0.protection.rating", "0"),
        ("secondary.protection.ratings", "60 sixty"),
        ("secondary.protection.ratings", 60),
        ("primary.conductors.size", "5"),
        ("transformer.secondary_system", "star"),
        ("date", "tomorrow"),
        ("transformer.colour", "blue"),
    ],
)
def test_an_answer_that_cannot_be_is_refused_at_its_field(path, value) -> None:
    reply = ask(op="check_answer", path=path, value=value)
    assert reply["op"] == "refused"
    assert all(problem["path"].startswith(path) for problem in reply["problems"])


@pytest.mark.parametrize(("typed", "number"), json.loads(NUMBERS.read_text(encoding="utf-8")))
def test_a_number_is_read_as_the_app_reads_it(typed, number) -> None:
    reply = ask(op="check_answer", path="readings.winding_insulation_megohms", value=typed)
    if number is None or number < 0:
        assert reply["op"] == "refused"
    else:
        assert reply["value"] == number


@pytest.mark.parametrize("question", catalogue(), ids=lambda q: q["path"])
def test_every_choice_that_is_offered_is_accepted_and_shown(question) -> None:
    for choice in question["choices"]:
        value = [choice["value"]] if question["kind"] == "many" else choice["value"]
        reply = ask(op="check_answer", path=question["path"], value=value)
        assert reply["op"] == "ok", (choice, reply)
        assert reply["value"] == value
        assert reply["shown"]


@examples(200)
@given(
    st.sampled_from([q["path"] for q in catalogue()]),
    st.one_of(st.text(max_size=12), st.floats(), st.none(), st.integers()),
)
def test_any_answer_is_taken_or_refused(path, value) -> None:
    assert ask(op="check_answer", path=path, value=value)["op"] in ("ok", "refused")


@examples(200)
@given(
    st.one_of(
        st.text(max_size=100),
        st.builds(json.dumps, st.dictionaries(st.text(max_size=5), st.integers(), max_size=3)),
    )
)
def test_any_text_is_answered(text: str) -> None:
    reply = json.loads(handle(text))
    assert reply["op"] == "refused"
    assert reply["problems"]


def test_unknown_operations_and_keys_are_refused() -> None:
    assert ask(op="sing")["op"] == "refused"
    assert ask(op="hello", loud=True)["op"] == "refused"
    assert ask()["op"] == "refused"


def test_a_fault_of_ours_comes_back_as_failed(monkeypatch) -> None:
    import engine.interfaces.handle as module

    def broken(_):
        raise ZeroDivisionError("own fault")

    monkeypatch.setattr(module, "_answer", broken)
    reply = ask(op="hello")
    assert (reply["op"], reply["id"], reply["message"]) == (
        "failed",
        "ZeroDivisionError",
        "own fault",
    )


def test_text_that_no_encoding_holds_is_answered() -> None:
    data = json.dumps(nameplate(75, 3, 480, 208))[:-1] + ', "name": "\\ud800"}'
    assert json.loads(handle('{"op": "evaluate", "job": ' + data + "}"))["op"] in (
        "refused",
        "result",
    )


def test_questions_keep_their_shape() -> None:
    made = questions()
    assert made["format"] == "platepath.questions/1"
    groups = {group["id"] for group in made["groups"]}
    paths = [question["path"] for question in made["questions"]]
    assert len(paths) == len(set(paths))
    for question in made["questions"]:
        assert question["group"] in groups
        assert question["ask"].endswith("?"), question["ask"]
        assert question["label"] and question["purposes"]
        assert question["kind"] in (
            "number",
            "choice",
            "yes_no",
            "many",
            "text",
            "text_long",
            "date",
            "number_list",
        )
    for purpose in made["purposes"]:
        assert set(purpose["groups"]) <= groups
    assert [p["id"] for p in made["purposes"]] == ["installation", "grounding", "replacement"]


def test_the_first_questions_need_no_walk() -> None:
    required = [q["path"] for q in catalogue() if q["required"]]
    assert sorted(required) == sorted(
        [
            "transformer.kva",
            "transformer.phases",
            "transformer.primary_volts",
            "transformer.secondary_volts",
        ]
    )
