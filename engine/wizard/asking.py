"""How a question is written down: its kind, choices and help come from the field of the job that it fills."""

from typing import Any, Literal, get_args, get_origin

from engine.job import Job
from engine.wizard.answers import ANSWER_WORDS
from engine.wizard.conditions import Condition
from engine.wizard.purposes import FULL_VISIT

Kind = Literal["number", "choice", "yes_no", "many", "text", "text_long", "date", "number_list"]
FEET = {"unit": "m", "per_unit": 0.3048}
INCHES = {"unit": "mm", "per_unit": 25.4}
POUNDS = {"unit": "kg", "per_unit": 0.45359237}
FAHRENHEIT = {"unit": "°F", "per_unit": 1.8, "offset": 32}


class Catalogue:
    """Collects the questions; what a field may hold is read from the job model, so it stands in one place."""

    def __init__(self) -> None:
        self.questions: list[dict[str, Any]] = []

    def ask(
        self,
        path: str,
        group: str,
        label: str,
        ask: str,
        *,
        kind: Kind | None = None,
        unit: str | None = None,
        first: tuple[Any, ...] = (),
        other: bool | None = None,
        picker: bool = False,
        when: Condition | None = None,
        purposes: tuple[str, ...] = FULL_VISIT,
        required: bool = False,
        metric: dict[str, Any] | None = None,
        choice_when: dict[Any, Condition] | None = None,
    ) -> None:
        """Add a question; `first` are the choices offered, and `other` whether another value may be entered."""
        field, inner = _field(path)
        options = _options(inner)
        if kind is None:
            kind = _kind(inner, options)
        values = first or options
        choices = [_choice(value, (choice_when or {}).get(value)) for value in values]
        self.questions.append(
            {
                "path": path,
                "group": group,
                "label": label,
                "ask": ask,
                "help": field.description or "",
                "kind": kind,
                "unit": unit,
                "choices": choices,
                "other": (not options and kind == "number") if other is None else other,
                "picker": picker or len(choices) > 8,
                "required": required,
                "when": when,
                "purposes": list(purposes),
                "metric": metric,
            }
        )


def _choice(value: Any, when: Condition | None) -> dict[str, Any]:
    if isinstance(value, bool):
        label = "Yes" if value else "No"
    elif isinstance(value, str):
        label = ANSWER_WORDS.get(value, value)
    else:
        label = f"{value:g}"
    choice: dict[str, Any] = {"value": value, "label": label}
    if when is not None:
        choice["when"] = when
    return choice


def _field(path: str) -> tuple[Any, Any]:
    model: Any = Job
    field = None
    for name in path.split("."):
        if name.isdecimal():
            continue
        field = model.model_fields[name]
        inner = _strip(field.annotation)
        if get_origin(inner) is list and hasattr(get_args(inner)[0], "model_fields"):
            inner = get_args(inner)[0]
        model = inner if hasattr(inner, "model_fields") else None
    return field, _strip(field.annotation) if field else None


def _strip(annotation: Any) -> Any:
    """The type without None and without its bounds."""
    arguments = [a for a in get_args(annotation) if a is not type(None)]
    if get_origin(annotation) is Literal or get_origin(annotation) is list:
        return annotation
    if hasattr(annotation, "__metadata__"):
        return _strip(annotation.__origin__)
    if arguments and len(arguments) == 1:
        return _strip(arguments[0])
    return annotation


def _options(inner: Any) -> tuple[Any, ...]:
    if get_origin(inner) is Literal:
        return get_args(inner)
    if get_origin(inner) is list:
        return _options(_strip(get_args(inner)[0]))
    return ()


def _kind(inner: Any, options: tuple[Any, ...]) -> Kind:
    if get_origin(inner) is list:
        return "many" if options else "number_list"
    if options:
        return "choice"
    if inner is bool:
        return "yes_no"
    if inner in (float, int):
        return "number"
    return "text"
