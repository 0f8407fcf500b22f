"""Reads the published examples of fixtures/published and says what is wrong with one."""

import ast
import math
import operator
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

import yaml

FOLDER = Path(__file__).parents[2] / "fixtures" / "published"
EDITIONS = (2017, 2020, 2023)
TRUST = ("A", "B", "C")


class Case(NamedTuple):
    """One question to the engine, under one edition."""

    example: dict[str, Any]
    number: int
    edition: int

    @property
    def question(self) -> dict[str, Any]:
        return self.example["cases"][self.number]

    @property
    def name(self) -> str:
        return f"{self.example['id']}-{self.number + 1}-{self.edition}"


def sources() -> dict[str, dict[str, str]]:
    """Publications by key."""
    return yaml.safe_load((FOLDER / "sources.yaml").read_text(encoding="utf-8"))["sources"]


def examples() -> list[dict[str, Any]]:
    """All examples of all files, in the order of the files."""
    found: list[dict[str, Any]] = []
    for file in sorted(FOLDER.glob("*.yaml")):
        if file.name != "sources.yaml":
            for example in yaml.safe_load(file.read_text(encoding="utf-8"))["examples"]:
                found.append({**example, "file": file.name})
    return found


def cases() -> list[Case]:
    """Every question of every example under every edition that it is run in."""
    return [
        Case(example, number, edition)
        for example in examples()
        for number in range(len(example["cases"]))
        for edition in example.get("evaluate_in", EDITIONS)
    ]


def told(example: dict[str, Any]) -> str:
    """The example in words: what is asked, who printed the answer, and how far we trust it."""
    source = sources()[example["source"]]
    lines = [
        f"{example['id']} ({example['file']}): {example['problem']}",
        f"  source: {source['title']}; {source['author']}; {source['publisher']}; {source['where']}",
        f"  printed answer: {example['published']}",
        f"  trust {example['trust']}: {example['note']}",
    ]
    if "expected_per_code" in example:
        lines.append(f"  expected by the code: {example['expected_per_code']}")
    return "\n".join(lines)


_OPERATORS: dict[type[ast.operator], Callable[[float, float], float]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: lambda left, right: left / right,
    ast.Pow: lambda left, right: left**right,
}
_FUNCTIONS: dict[str, Callable[..., float]] = {"sqrt": math.sqrt, "min": min, "max": max}


def worked_out(expression: str) -> float:
    """Value of a line of hand arithmetic: numbers, + - * / **, sqrt, min and max.

    Raises ValueError for anything else.
    """

    def value(node: ast.AST) -> float:
        match node:
            case ast.Constant(value=int() | float() as number):
                return number
            case ast.BinOp(left=left, op=op, right=right) if type(op) in _OPERATORS:
                return _OPERATORS[type(op)](value(left), value(right))
            case ast.UnaryOp(op=ast.USub(), operand=operand):
                return -value(operand)
            case ast.Call(func=ast.Name(id=name), args=arguments, keywords=[]) if (
                name in _FUNCTIONS
            ):
                return _FUNCTIONS[name](*(value(argument) for argument in arguments))
            case _:
                pass
        raise ValueError(f"not hand arithmetic: {expression}")

    return value(ast.parse(expression, mode="eval").body)


def line_holds(line: str) -> bool:
    """Whether a line such as `75*1000/(sqrt(3)*480) = 90.21` holds to the digits that it prints."""
    left, right = (part.strip() for part in line.split("="))
    decimals = len(right.partition(".")[2])
    return abs(worked_out(left) - float(right)) <= 0.501 * 10**-decimals
