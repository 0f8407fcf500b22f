"""The worker's single entry: one request as text, one reply as text. Never raises."""

import json
import re
from importlib import import_module
from typing import Any, cast

from pydantic import ValidationError

from engine import __version__
from engine.code import EDITIONS
from engine.evaluation.evaluate import evaluate
from engine.evaluation.facts import shown_answer
from engine.files.migrations import CURRENT
from engine.files.refusals import Problem, Refusal, job_from_data, job_from_text
from engine.interfaces.messages import (
    REQUESTS,
    CheckAnswerRequest,
    DocumentReply,
    EvaluateRequest,
    FailedReply,
    HelloReply,
    HelloRequest,
    JobReply,
    OkReply,
    RefusedReply,
    Reply,
    ReportRequest,
    Request,
    ResultReply,
)
from engine.job import Job
from engine.job.missing import reader
from engine.wizard.questions import question_at


def _build_id() -> str:
    try:
        return str(import_module("engine._build").BUILD)
    except ImportError:
        return "development"


# The worker brings the id of its build, so that page and engine of different builds never work together.
BUILD = _build_id()


def _least_job(path: str, value: Any) -> dict[str, Any]:
    """The smallest job that holds one answer, to have the model itself judge it."""
    job: dict[str, Any] = {
        "format": CURRENT,
        "transformer": {"kva": 75, "phases": 3, "primary_volts": 480, "secondary_volts": 208},
    }
    place: Any = job
    *parts, last = path.split(".")
    for at, name in enumerate(parts):
        # A number names one of a list.
        inner: Any = [{}] if parts[at + 1 :] and parts[at + 1].isdecimal() else {}
        place = place[int(name)] if name.isdecimal() else place.setdefault(name, inner)
    place[last] = value
    return job


_WITH_THOUSANDS = re.compile(r"[1-9]\d{0,2}(,\d{3})+(\.\d+)?", re.ASCII)
_PLAIN_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)", re.ASCII)


def _as_number(value: str) -> float | str:
    """A number as people type it, as `parseNumber` of the web reads it: `fixtures/numbers.json` holds both to it."""
    packed = re.sub(r"\s", "", value)
    if _WITH_THOUSANDS.fullmatch(packed):
        packed = packed.replace(",", "")
    plain = packed.replace(",", ".", 1)
    if not _PLAIN_NUMBER.fullmatch(plain):
        return value
    number = float(plain)
    return int(number) if number.is_integer() and abs(number) < 1e15 else number


def _as_numbers(value: Any) -> Any:
    """Numbers as people type them one after the other; what is no list stays as it is."""
    items = value.replace(";", " ").split() if isinstance(value, str) else value
    if not isinstance(items, list):
        return items
    return [_as_number(v) if isinstance(v, str) else v for v in cast("list[Any]", items)]


def _check_answer(request: CheckAnswerRequest) -> OkReply | RefusedReply:
    question = question_at(request.path)
    if question is None:
        return RefusedReply(
            problems=[
                Problem(
                    path=request.path, wrong="no such question", right="a path of the questions"
                )
            ]
        )
    value = request.value
    if question["kind"] == "number" and isinstance(value, str):
        value = _as_number(value)
    if question["kind"] == "number_list":
        value = _as_numbers(value)
    # All secondary runs are asked the same, so an answer is held against the model as one of the first.
    path = question["path"]
    try:
        job, _ = job_from_data(_least_job(path, value))
    except Refusal as refusal:
        mine = [p for p in refusal.problems if p.path.startswith(path)]
        # Phases and connection are judged together once the whole job is there.
        offered = [choice["value"] for choice in question["choices"]]
        if mine and not (path.endswith("_system") and value in offered):
            problems = [
                p.model_copy(update={"path": p.path.replace(path, request.path, 1)}) for p in mine
            ]
            return RefusedReply(problems=problems)
        return OkReply(path=request.path, value=value, shown=shown_answer(question, value))
    kept = reader(path)(job)
    return OkReply(
        path=request.path,
        value=kept,
        shown=shown_answer(question, kept) if kept is not None else "",
    )


def _report(request: ReportRequest, job: Job) -> DocumentReply:
    from engine.report import document  # noqa: PLC0415  (the start in the browser is sooner without)

    made = document(
        evaluate(job),
        photos=[(photo.check, photo.name, photo.data_url) for photo in request.photos],
        signature_data_url=request.signature_data_url,
        paper=request.paper,
    )
    return DocumentReply(**made._asdict())


def _answer(request: Request) -> Reply:
    if isinstance(request, HelloRequest):
        return HelloReply(
            engine_version=__version__, contract=CURRENT, editions=[*EDITIONS], build=BUILD
        )
    if isinstance(request, CheckAnswerRequest):
        return _check_answer(request)
    if isinstance(request, EvaluateRequest):
        return ResultReply(result=evaluate(job_from_data(request.job)[0]))
    if isinstance(request, ReportRequest):
        return _report(request, job_from_data(request.job)[0])
    job, came_from = job_from_text(request.text)
    return JobReply(
        job=json.loads(job.model_dump_json(exclude_unset=True)),
        migrated_from=came_from,
    )


def handle(request: str) -> str:
    """Answer one request with one reply, both JSON text. Never raises: what is our fault comes back as `failed`.

    Unit: none. Section: the message contract.
    """
    try:
        asked = REQUESTS.validate_json(request)
        return _answer(asked).model_dump_json()
    except Refusal as refusal:
        return RefusedReply(problems=refusal.problems).model_dump_json()
    except ValidationError as error:
        problems = [
            Problem(
                path=".".join(str(part) for part in item["loc"]) or "request",
                wrong=str(item["msg"]),
                right="a request of the contract",
            )
            for item in error.errors(include_url=False)
        ]
        return RefusedReply(problems=problems).model_dump_json()
    except Exception as error:
        return FailedReply(id=type(error).__name__, message=str(error)[:500]).model_dump_json()
