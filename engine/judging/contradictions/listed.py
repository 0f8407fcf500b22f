"""The one list of all contradictions, in the order in which a result names them."""

from engine.judging.contradictions.conductors import (
    LUGS_MARKED_AND_NOT,
    LUGS_MARKED_FOR_LESS,
    SETS_THAT_DIFFER,
    SEVERAL_GROUNDED_BESIDE_ONE_SET,
)
from engine.judging.contradictions.denied import DENIALS
from engine.judging.contradictions.devices import MAINS, RATING_OF_NO_BOARD, SETTINGS_AND_FUSES
from engine.judging.contradictions.electrodes import ELECTRODES_NOT_THERE, ONLY_ELECTRODE
from engine.judging.contradictions.entry import Contradiction
from engine.judging.contradictions.further_runs import RUNS_IN_ONE_ENCLOSURE
from engine.judging.contradictions.jumpers import JUMPERS_AROUND_NO_PATH, NO_DEVICE_FOR_THE_JUMPER
from engine.judging.contradictions.loads import LOADS
from engine.judging.contradictions.nameplate import (
    NEUTRAL_OF_NO_NEUTRAL,
    PRINTED_CURRENTS,
    RISE_AND_REVERSE_FEED,
    THREE_PHASES_FROM_A_SINGLE_PHASE,
    VOLTS_TO_NEUTRAL,
)
from engine.judging.contradictions.places import (
    DRY_AT_AN_OUTDOOR_TRANSFORMER,
    DRY_BY_THE_OUTSIDE_RULE,
    ENCLOSED_AND_OPEN,
)
from engine.judging.contradictions.raceways import BUILT_IN_WITH_A_LONG_RUN, RACEWAYS_OF_BOTH_SIDES
from engine.judging.contradictions.readings import READINGS

CONTRADICTIONS: tuple[Contradiction, ...] = (
    *BUILT_IN_WITH_A_LONG_RUN,
    *SEVERAL_GROUNDED_BESIDE_ONE_SET,
    *ONLY_ELECTRODE,
    *JUMPERS_AROUND_NO_PATH,
    *NEUTRAL_OF_NO_NEUTRAL,
    *NO_DEVICE_FOR_THE_JUMPER,
    *RUNS_IN_ONE_ENCLOSURE,
    *LUGS_MARKED_AND_NOT,
    *DRY_AT_AN_OUTDOOR_TRANSFORMER,
    *PRINTED_CURRENTS,
    *LUGS_MARKED_FOR_LESS,
    *RISE_AND_REVERSE_FEED,
    *DENIALS,
    *ENCLOSED_AND_OPEN,
    *SETTINGS_AND_FUSES,
    *RATING_OF_NO_BOARD,
    *THREE_PHASES_FROM_A_SINGLE_PHASE,
    *DRY_BY_THE_OUTSIDE_RULE,
    *MAINS,
    *SETS_THAT_DIFFER,
    *VOLTS_TO_NEUTRAL,
    *RACEWAYS_OF_BOTH_SIDES,
    *LOADS,
    *ELECTRODES_NOT_THERE,
    *READINGS,
)
