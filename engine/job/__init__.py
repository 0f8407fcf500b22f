"""What was read and seen on site, how a rule reads it, and the job of one run among several."""

from engine.code.sizes import Size, TradeSize
from engine.job.conductors import Conductors, Load, Raceway
from engine.job.grounding import AreaBond
from engine.job.kinds import (
    HIGHEST_INSTANTANEOUS_MULTIPLE,
    MOST_SETS,
    NAMEPLATE,
    Electrode,
    ProtectionKind,
    RatingBasis,
    SecondaryRule,
)
from engine.job.record import Job
from engine.job.secondary import (
    MOST_FURTHER_RUNS,
    GroundedConductor,
    RunFacts,
    RunObservations,
    Secondary,
    SecondaryRun,
)
from engine.job.seen import Observations, Readings
from engine.job.transformer import OldTransformer, Transformer

__all__ = [
    "HIGHEST_INSTANTANEOUS_MULTIPLE",
    "MOST_FURTHER_RUNS",
    "MOST_SETS",
    "NAMEPLATE",
    "AreaBond",
    "Conductors",
    "Electrode",
    "GroundedConductor",
    "Job",
    "Load",
    "Observations",
    "OldTransformer",
    "ProtectionKind",
    "Raceway",
    "RatingBasis",
    "Readings",
    "RunFacts",
    "RunObservations",
    "Secondary",
    "SecondaryRule",
    "SecondaryRun",
    "Size",
    "TradeSize",
    "Transformer",
]
