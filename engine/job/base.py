"""The strict, frozen base of every model that crosses the engine's border."""

from typing import Annotated, Any, Self, TypeVar

from pydantic import BaseModel, BeforeValidator, ConfigDict

_new, _put = object.__new__, object.__setattr__


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

    def but(self, facts: dict[str, Any]) -> Self:
        """A copy with facts in the places of others, taken as they are. Unit: that of each field. Section: none.

        As `model_copy(update=facts)`, without what that does for models that are not frozen: a fleet makes some seventy
        copies a job.
        """
        copy = _new(type(self))
        _put(copy, "__dict__", self.__dict__ | facts)
        _put(copy, "__pydantic_fields_set__", {*self.__pydantic_fields_set__, *facts})
        _put(copy, "__pydantic_extra__", None)
        _put(copy, "__pydantic_private__", None)
        return copy


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
