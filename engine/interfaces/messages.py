"""Requests and replies between the screen and the engine: the whole contract, as tagged unions."""

from typing import Annotated, Any, Literal, cast

from pydantic import BaseModel, Field, TypeAdapter
from pydantic.json_schema import JsonSchemaMode, models_json_schema

from engine.files.refusals import Problem
from engine.job import Job
from engine.job.base import Record
from engine.job.kinds import Purpose
from engine.result import Result


class Photo(Record):
    """A photo that goes with a check, already scaled down."""

    check: str
    name: str
    data_url: Annotated[
        str, Field(max_length=8_000_000, pattern=r"^data:image/(jpeg|png);base64,[A-Za-z0-9+/=]+$")
    ]


Signature = Annotated[
    str, Field(max_length=2_000_000, pattern=r"^data:image/(jpeg|png);base64,[A-Za-z0-9+/=]+$")
]


class HelloRequest(Record):
    """Who is there, and which editions?"""

    op: Literal["hello"]


class EvaluateRequest(Record):
    """Everything the code asks of a job."""

    op: Literal["evaluate"]
    job: dict[str, Any]


class CheckAnswerRequest(Record):
    """Whether one answer can be a reading."""

    op: Literal["check_answer"]
    path: str
    value: Any


class ReportRequest(Record):
    """The printable report of a job."""

    op: Literal["report"]
    job: dict[str, Any]
    photos: list[Photo] = Field(default=[])
    signature_data_url: Signature | None = None
    paper: Literal["Letter", "A4"] = "Letter"


class OpenRequest(Record):
    """A job file, as text."""

    op: Literal["open"]
    text: str


class HelloReply(Record):
    """Version, contract, editions and build of the engine."""

    op: Literal["hello"] = "hello"
    engine_version: str
    contract: str
    editions: list[int]
    build: str


class ResultReply(Record):
    """The result of a job."""

    op: Literal["result"] = "result"
    result: Result


class RefusedReply(Record):
    """What is wrong with an input, all of it at once."""

    op: Literal["refused"] = "refused"
    problems: list[Problem]


class OkReply(Record):
    """An answer that can be a reading, and how it is shown."""

    op: Literal["ok"] = "ok"
    path: str
    value: Any
    shown: str


class DocumentReply(Record):
    """The report and the drawing."""

    op: Literal["document"] = "document"
    html: str
    drawing_svg: str
    drawing_text: str
    correction_notice: str
    file_name: str


class JobReply(Record):
    """A job read from a file, and the format it came from."""

    op: Literal["job"] = "job"
    job: dict[str, Any]
    migrated_from: str | None


class FailedReply(Record):
    """A fault of ours, with an id to report."""

    op: Literal["failed"] = "failed"
    id: str
    message: str


class Choice(Record):
    """One answer that can be tapped."""

    value: Any
    label: str
    when: dict[str, Any] | None = None


class Metric(Record):
    """How to show the metric value beside: value × per_unit + offset."""

    unit: str
    per_unit: float
    offset: float = 0.0


class QuestionWords(Record):
    """A question's words in another language; `choices` by value, only those that differ."""

    label: str
    ask: str
    help: str
    choices: dict[str, str]


class TitleWords(Record):
    """The words of a purpose or a group in another language."""

    title: str
    text: str


class Question(Record):
    """One question of the wizard."""

    path: str
    group: str
    label: str
    ask: str
    help: str
    kind: Literal["number", "choice", "yes_no", "many", "text", "text_long", "date", "number_list"]
    unit: str | None
    choices: list[Choice]
    other: bool
    picker: bool
    required: bool
    when: dict[str, Any] | None
    purposes: list[str]
    metric: Metric | None
    translations: dict[str, QuestionWords]


class ChoiceOfSeveral(Record):
    """One answer that can be tapped and that says several facts; `values` by path."""

    value: str
    label: str
    values: dict[str, Any]


class TogetherWords(Record):
    """The words of questions asked together in another language."""

    ask: str
    help: str
    choices: dict[str, str]


class Together(Record):
    """Several questions on one screen, with the usual combinations to tap."""

    id: str
    group: str
    ask: str
    help: str
    paths: list[str]
    choices: list[ChoiceOfSeveral]
    translations: dict[str, TogetherWords]


class QuestionGroup(Record):
    """A stop on the walk."""

    id: str
    title: str
    text: str
    translations: dict[str, TitleWords]


class PurposeOffered(Record):
    """One way in."""

    id: Purpose
    title: str
    text: str
    groups: list[str]
    first: list[str]
    """Paths of questions, and ids of those asked together, in their order."""
    translations: dict[str, TitleWords]


class LimitWords(Record):
    """A limit in another language."""

    text: str


class Limit(Record):
    """Something that no question and no check looks at."""

    text: str
    translations: dict[str, LimitWords]


class RunWords(Record):
    """What runs are called in another language."""

    name: str
    title: str
    text: str


class FurtherRuns(Record):
    """How the questions of the first secondary run are asked of a further one."""

    name: str
    """What a run is called, before its number."""
    title: str
    text: str
    most: int
    path: str
    """Of the list of further runs in the job."""
    places: dict[str, str]
    """The parts of the first run by where they stand in the job, and where they stand in a further run."""
    questions: list[Question]
    """What is asked of a further run alone, by the paths of the first of them."""
    translations: dict[str, RunWords]


class Questions(Record):
    """The whole wizard."""

    format: Literal["platepath.questions/1"]
    default_edition: int
    purposes: list[PurposeOffered]
    groups: list[QuestionGroup]
    questions: list[Question]
    together: list[Together]
    further_runs: FurtherRuns
    limits: list[Limit]


Request = Annotated[
    HelloRequest | EvaluateRequest | CheckAnswerRequest | ReportRequest | OpenRequest,
    Field(discriminator="op"),
]
Reply = Annotated[
    HelloReply | ResultReply | RefusedReply | OkReply | DocumentReply | JobReply | FailedReply,
    Field(discriminator="op"),
]
REQUESTS: TypeAdapter[Request] = TypeAdapter(Request, config={"defer_build": True})


def _without_titles(schema: Any) -> Any:
    if isinstance(schema, dict):
        return {
            key: _without_titles(value)
            for key, value in cast("dict[str, Any]", schema).items()
            if not (key == "title" and isinstance(value, str))
        }
    if isinstance(schema, list):
        return [_without_titles(item) for item in cast("list[Any]", schema)]
    return schema


def contract_schema() -> dict[str, Any]:
    """One JSON Schema of everything that crosses the border, for the screen's types. Unit: none. Section: none."""
    requests = (HelloRequest, EvaluateRequest, CheckAnswerRequest, ReportRequest, OpenRequest)
    replies = (HelloReply, ResultReply, RefusedReply, OkReply, DocumentReply, JobReply, FailedReply)
    modes: list[tuple[type[BaseModel], JsonSchemaMode]] = [
        *((model, "validation") for model in (Job, *requests)),
        *((model, "serialization") for model in (*replies, Questions)),
    ]
    _, schema = models_json_schema(modes, title="Platepath contract")
    definitions = _without_titles(schema)["$defs"]
    definitions["Request"] = {
        "oneOf": [{"$ref": f"#/$defs/{model.__name__}"} for model in requests]
    }
    definitions["Reply"] = {"oneOf": [{"$ref": f"#/$defs/{model.__name__}"} for model in replies]}
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", "$defs": definitions}


def job_and_result_schema() -> dict[str, Any]:
    """JSON Schema of job and result, as the command line prints it. Unit: none. Section: none."""
    _, schema = models_json_schema(
        [(Job, "validation"), (Result, "serialization")], title="Platepath job and result"
    )
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$defs": _without_titles(schema)["$defs"],
        "oneOf": [{"$ref": "#/$defs/Job"}, {"$ref": "#/$defs/Result"}],
    }
