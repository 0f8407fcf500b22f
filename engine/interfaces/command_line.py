"""The command line: evaluate, checklist, report, audit, editions, coverage, schema.

Exit 0 when evaluated, whatever the verdicts; 2 for input that cannot be read or is not valid, or output that cannot be
written, with every problem on stderr, one a line; 130 when stopped, 141 when the reader of the output is gone, as a
shell has it; 1 for a fault of this program. Never a traceback.
"""

import argparse
import json
import textwrap
from collections.abc import Callable, Sequence
from pathlib import Path

from engine.evaluation.evaluate import evaluate
from engine.files.outputs import (
    fault,
    flush_out,
    one_line,
    print_out,
    refused_by,
    say,
    standard_input,
    write_document,
)
from engine.files.refusals import LARGEST_FILE, Problem, Refusal, job_from_text
from engine.interfaces.messages import contract_schema, job_and_result_schema
from engine.result import Check, Result
from engine.result.words import VERDICTS
from engine.wizard.walk import questions
from engine.wizard.words import with_translations

BAD_INPUT = 2
OWN_FAULT = 1
# 128 and the number of the signal, SIGINT or SIGPIPE.
STOPPED = 130
READER_GONE = 141
SHAPES = {"meets": "[=]", "does_not_meet": "[X]", "cannot_tell": "[?]", "does_not_apply": "[-]"}
Call = Callable[[argparse.Namespace], int]


def _read(name: str) -> bytes:
    try:
        if name == "-":
            return standard_input().read(LARGEST_FILE + 1)
        with Path(name).open("rb") as file:
            return file.read(LARGEST_FILE + 1)
    except (OSError, ValueError) as error:
        if isinstance(error, Refusal):
            raise
        raise refused_by(name, error, "the path of a job file, or - for standard input") from None


def _result(name: str) -> Result:
    try:
        return evaluate(job_from_text(_read(name))[0])
    except Refusal as refusal:
        for problem in refusal.problems:
            if problem.path == "file":
                raise Refusal(
                    [
                        p.model_copy(update={"path": name}) if p.path == "file" else p
                        for p in refusal.problems
                    ]
                ) from None
        raise


def _say(problems: list[Problem], as_json: bool) -> None:
    if as_json:
        say(json.dumps([p.model_dump() for p in problems], indent=2))
        return
    for problem in problems:
        say(one_line(f"{problem.path}: {problem.wrong}; expected: {problem.right}"))


def _evaluate(args: argparse.Namespace) -> int:
    results: list[Result] = []
    problems: list[Problem] = []
    for name in args.jobs:
        try:
            results.append(_result(name))
        except Refusal as refusal:
            many = len(args.jobs) > 1
            problems += [
                p.model_copy(update={"path": f"{name}: {p.path}"}) if many and p.path != name else p
                for p in refusal.problems
            ]
    if problems:
        _say(problems, args.json_errors)
    if len(args.jobs) == 1 and results:
        print_out(results[0].model_dump_json(indent=2), as_json=True)
    elif results:
        whole = [json.loads(r.model_dump_json()) for r in results]
        print_out(json.dumps(whole, ensure_ascii=False, indent=2), as_json=True)
    return BAD_INPUT if problems else 0


def _line(check: Check) -> str:
    head = f"{SHAPES[check.verdict]} {VERDICTS[check.verdict]}: {check.title}  ({check.section})"
    rest = [
        ("required", check.required),
        ("found", check.found),
        ("why", check.reason),
        ("remedy", check.remedy),
    ]
    lines = [head]
    for name, text in rest:
        if text:
            lines += textwrap.wrap(
                f"{name}: {text}", 96, initial_indent="      ", subsequent_indent="        "
            )
    return "\n".join(lines)


def _contradictions(result: Result) -> list[str]:
    """Facts that cannot all be true, beside each other, with the question which is wrong."""
    lines: list[str] = []
    for clash in result.contradictions:
        lines += ["", "CONTRADICTION: which of these is wrong?"]
        lines += [f"      {fact.label}: {fact.shown}  ({fact.path})" for fact in clash.facts]
        lines += textwrap.wrap(
            f"why: {clash.why}", 96, initial_indent="      ", subsequent_indent="        "
        )
    return lines


def checklist_text(result: Result) -> str:
    """The result for people, in a terminal. Unit: in each line. Section: in each line."""
    heading = result.job
    lines = [
        f"{heading.name or 'Job without a name'}: {heading.transformer}",
        f"{heading.purpose}, {result.edition} edition{', ' + heading.place if heading.place else ''}",
        *textwrap.wrap(result.overall.text, 96),
        *_contradictions(result),
        "",
        "LIMITS",
    ]
    for value in result.values.values():
        note = "  (assumed)" if value.assumed else ""
        lines.append(f"  {value.title}: {value.shown}  ({value.section}){note}")
    for group in result.groups:
        mine = [
            c
            for c in result.checks
            if c.group == group.id and c.asked and c.verdict != "does_not_apply"
        ]
        if mine:
            lines += ["", group.title.upper(), *(_line(check) for check in mine)]
    for title, texts in (
        ("WRITTEN QUESTIONS", result.written_questions),
        ("CAUTIONS", result.cautions),
    ):
        if texts:
            lines += ["", title]
            for text in texts:
                lines += textwrap.wrap(text, 96, initial_indent="  - ", subsequent_indent="    ")
    return "\n".join(lines)


def _checklist(args: argparse.Namespace) -> int:
    print_out(checklist_text(_result(args.job)))
    return 0


def _report(args: argparse.Namespace) -> int:
    from engine.report import document  # noqa: PLC0415  (no other call needs it)

    made = document(_result(args.job), photos=[], signature_data_url=None, paper=args.paper)
    head = made.html[: made.html.index("<title>")]

    def wrong(there: str) -> str:
        if not there.startswith(head):
            return "holds something that is not a report of this program; nothing was changed"
        if "<img" in there:
            return "a report with a signature or photos, which this one lacks; nothing was changed"
        return ""

    write_document(args.output or made.file_name, made.html, args.job, wrong)
    return 0


def _editions(args: argparse.Namespace) -> int:
    from engine.code.provenance import as_markdown, editions_page  # noqa: PLC0415  not needed in the browser

    print_out(as_markdown(editions_page()))
    return 0


def _coverage(args: argparse.Namespace) -> int:
    from engine.code.coverage import covered, home, numbered_by  # noqa: PLC0415  not needed in the browser

    lines = [
        f"| section ({numbered_by()}) | what it asks | where it is looked at | number |",
        "| --- | --- | --- | --- |",
    ]
    lines += [f"| {row.section} | {row.asks} | {home(row)} | {row.mark} |" for row in covered()]
    print_out("\n".join(lines))
    return 0


def _schema(args: argparse.Namespace) -> int:
    made = {
        "schema": job_and_result_schema,
        "contract": contract_schema,
        "questions": lambda: with_translations(questions()),
    }[args.command]()
    print_out(json.dumps(made, ensure_ascii=False, indent=2), as_json=True)
    return 0


def parser(audit: Call) -> argparse.ArgumentParser:
    """The command line's shape, with what it does for a fleet. Unit: none. Section: none."""
    top = argparse.ArgumentParser(
        prog="python -m engine", description=__doc__.split("\n")[0] if __doc__ else None
    )
    calls = top.add_subparsers(dest="command", required=True, metavar="CALL")
    call = calls.add_parser(
        "evaluate", help="print the result of a job as JSON; several jobs give a list"
    )
    call.add_argument(
        "jobs", nargs="+", metavar="JOB.json", help="job file, or - for standard input"
    )
    call.add_argument("--json-errors", action="store_true", help="print problems as JSON")
    call.set_defaults(do=_evaluate)
    call = calls.add_parser("checklist", help="print the result of a job for people")
    call.add_argument("job", metavar="JOB.json", help="job file, or - for standard input")
    call.set_defaults(do=_checklist)
    call = calls.add_parser("report", help="write the printable report of a job")
    call.add_argument("job", metavar="JOB.json", help="job file, or - for standard input")
    call.add_argument("-o", "--output", metavar="FILE.html", help="where to write it")
    call.add_argument("--paper", choices=("Letter", "A4"), default="Letter")
    call.set_defaults(do=_report)
    call = calls.add_parser("audit", help="evaluate a fleet of jobs, one per line, or CSV")
    call.add_argument(
        "jobs", metavar="JOBS.jsonl", help="jobs, one per line; .csv for CSV; - for standard input"
    )
    call.add_argument(
        "-o", "--output", metavar="OUT.jsonl", help="where to write; standard output if not given"
    )
    call.add_argument(
        "--workers", type=int, default=None, help="processes to use; all cores if not given"
    )
    call.add_argument(
        "--resume", action="store_true", help="continue after the last complete line of the output"
    )
    call.add_argument(
        "--full", action="store_true", help="write whole results instead of the summary"
    )
    call.set_defaults(do=audit)
    call = calls.add_parser("editions", help="print how sections and values differ by edition")
    call.set_defaults(do=_editions)
    call = calls.add_parser(
        "coverage", help="print which check looks at each section of the code, or that none does"
    )
    call.set_defaults(do=_coverage)
    for name, words in (
        ("schema", "print the JSON Schema of job and result"),
        ("contract", "print the JSON Schema of all messages"),
        ("questions", "print the questions of the wizard"),
    ):
        call = calls.add_parser(name, help=words)
        call.set_defaults(do=_schema)
    return top


def _call(arguments: Sequence[str] | None, audit: Call) -> int:
    as_json = False
    try:
        try:
            args = parser(audit).parse_args(arguments)
            as_json = getattr(args, "json_errors", False)
            return int(args.do(args))
        finally:
            flush_out()
    except Refusal as refusal:
        _say(refusal.problems, as_json)
        return BAD_INPUT


def run(arguments: Sequence[str] | None, *, audit: Call) -> int:
    """Run one call and give its exit code; `audit` is what it does for a fleet. Unit: none. Section: none."""
    try:
        return _call(arguments, audit)
    except BrokenPipeError:
        return READER_GONE
    except KeyboardInterrupt:
        say("stopped")
        return STOPPED
    except Exception as error:  # whatever it is, nobody at a shell is helped by its whole stack
        say(fault(error))
        return OWN_FAULT
