"""The strict, frozen base of every model that crosses the engine's border."""

from typing import Annotated, Any, TypeVar

from pydantic import BaseModel, BeforeValidator, ConfigDict


class Record(BaseModel):
    """A strict, frozen record: unknown keys refused, no silent conversion, no NaN."""

    model_config = ConfigDict(
        extra="forbid",
        frozen=True,
        strict=True,
        allow_inf_nan=False,
        use_attribute_docstrings=True,
        json_schema_serialization_defaults_required=True,
        defer_build=True,
    )


def _empty_when_null(value: Any) -> Any:
    return {} if value is None else value


Part = TypeVar("Part")
PartRecord = TypeVar("PartRecord", bound=Record)

# The contract: null is the same as missing. A part of the job is therefore never None.
OrEmpty = Annotated[Part, BeforeValidator(_empty_when_null)]


def unread(part: type[PartRecord]) -> PartRecord:
    """A part of the job of which nothing was read yet, as the default of its field.

    Its defaults need no validation, which would have pydantic build a validator for every part at import.
    Unit: none. Section: none.
    """
    return part.model_construct()
