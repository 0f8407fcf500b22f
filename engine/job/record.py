"""What was read, measured and seen on site.

Every field but a few may be None, and None means *not known*: no rule may read a field except through
`engine.job.missing.need`. An empty list means *looked, and found none*. The text under a field tells where to find it on
site; the wizard shows it as help.
"""

from typing import Annotated, Literal, cast

from pydantic import Field, model_validator

from engine.code.editions import DEFAULT_EDITION, Edition
from engine.job.base import OrEmpty, Record, unread
from engine.job.grounding import Bonding, GroundingElectrode
from engine.job.kinds import Provenance, Purpose, Words
from engine.job.primary import Primary
from engine.job.secondary import Secondary
from engine.job.seen import Observations, Readings
from engine.job.transformer import Replacement, Transformer


class Job(Record):
    """One transformer, as found. Section: the contract platepath.job/1."""

    format: Literal["platepath.job/1"]
    name: Annotated[str, Field(max_length=200)] = ""
    """What you will look for in the list, such as the transformer's tag or its room."""
    place: Annotated[str, Field(max_length=200)] = ""
    """Building, room, panel: where the transformer is."""
    date: Annotated[str, Field(pattern=r"^(\d{4}-\d{2}-\d{2})?$")] = ""
    """The day of the readings, not of the report."""
    person: Annotated[str, Field(max_length=200)] = ""
    """Whoever read and measured. The name is printed in the report."""
    licence: Annotated[str, Field(max_length=200)] = ""
    """As it is on the card. Leave it empty if the report does not need it."""
    permit: Annotated[str, Field(max_length=200)] = ""
    """On the permit card at the site, or from the authority. Leave it empty if there is none."""
    permit_date: Annotated[str, Field(pattern=r"^(\d{4}-\d{2}-\d{2})?$")] = ""
    """Existing work is normally judged by the edition in force on that day."""
    notes: Words = ""
    """Anything no question asked: covers left closed, who said what. It is printed in the report."""
    purpose: Purpose = "installation"
    """What this visit is for."""
    edition: Edition = DEFAULT_EDITION
    """On the permit, or ask the authority: it may not be the newest. Existing work normally goes by its permit date."""
    transformer: Transformer
    primary: OrEmpty[Primary] = unread(Primary)
    secondary: OrEmpty[Secondary] = unread(Secondary)
    bonding: OrEmpty[Bonding] = unread(Bonding)
    electrode: OrEmpty[GroundingElectrode] = unread(GroundingElectrode)
    readings: OrEmpty[Readings] = unread(Readings)
    observations: OrEmpty[Observations] = unread(Observations)
    replacement: OrEmpty[Replacement] = unread(Replacement)
    provenance: OrEmpty[dict[str, Provenance]] = Field(default={})
    """How a fact is known, by its path: read, measured, told or assumed."""

    @model_validator(mode="before")
    @classmethod
    def _null_settings_are_missing(cls, data: object) -> object:
        if not isinstance(data, dict):
            return data
        given = cast("dict[object, object]", data)
        return {k: v for k, v in given.items() if v is not None or k in ("format", "transformer")}
