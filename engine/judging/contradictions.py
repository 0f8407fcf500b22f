"""Facts that cannot all be true: the one place that knows them.

Each entry names its facts, says in words why they cannot all be true, and tests for it. It is tested on known facts
alone, so an unknown one contradicts nothing. What is contradicted is taken out of the job before anything is judged:
no verdict rests on either side, and the result names both.
"""

from collections.abc import Callable, Collection, Iterator, Sequence
from operator import attrgetter
from typing import Any, NamedTuple

from pydantic import ConfigDict

from engine.code import code_for
from engine.code.electrodes import has_limit, is_the_only_kind
from engine.code.limits import (
    FUSES_OF_SMALL_SWITCHES,
    GROUND_FAULT_PROTECTION_FROM,
    HIGHEST_TERMINAL_COLUMN,
    METAL_RACEWAYS,
    WITHOUT_NEUTRAL_POINT,
    must_ground_by_voltage,
)
from engine.job import NAMEPLATE, Conductors, Job, Load, Raceway, Transformer
from engine.job.missing import Missing
from engine.job.runs import (
    FURTHER,
    OF_A_FURTHER_RUN,
    is_of_run,
    job_of_run,
    path_in_run,
    run_count,
    run_name,
)
from engine.job.site import with_fact
from engine.physics.full_load_current import full_load_current
from engine.physics.neutral_point import (
    NEAR_ZERO,
    READING_SHARE,
    is_dead,
    line_to_neutral_volts,
    neutral_misfit,
)


class Contradiction(NamedTuple):
    """Facts by their paths that cannot all be true, why in words, and the test for it on a job.

    Where several facts may run into the same answer, `among` picks those that do. `of_all_runs`: it holds several
    secondary runs against the rest together, so that it is not asked of each by itself.
    """

    id: str
    paths: tuple[str, ...]
    why: str
    found: Callable[[Job], bool]
    among: Callable[[Job], tuple[str, ...]] | None = None
    of_all_runs: bool = False


def _only_electrode(job: Job) -> bool:
    return is_the_only_kind(job.electrode.used, job.electrode.available)


def _only_electrode_joined_to_others(job: Job) -> bool:
    """Whether metal that is there leaves it open to what the only kind of electrode is joined.

    Where the building has nothing else, the service's own conductor joins it.
    """
    bonds = (job.bonding.water_pipe_bond, job.bonding.structural_steel_bond)
    return (
        has_limit(job.electrode.used)
        and bool(job.electrode.sole_connection)
        and bool(job.electrode.joined_to_building_system)
        and _only_electrode(job)
        and not all(bond.metal_in_area is False and bond.present is False for bond in bonds)
    )


def _only_electrode_apart(job: Job) -> bool:
    return _only_electrode(job) and job.electrode.joined_to_building_system is False


def _goes_on_to_none(job: Job) -> bool:
    # Of steel and the water pipe it is not asked: their conductor has no limit that would end there.
    return (
        has_limit(job.electrode.used)
        and _only_electrode(job)
        and job.electrode.sole_connection is False
    )


def _both_jumpers_around_no_path(job: Job) -> bool:
    """Whether metal of the electrode at the source leads to the building, where the second jumper is.

    Indoors two jumpers are wrong whatever joins them, so nothing is in doubt there.
    """
    electrode = job.electrode
    return (
        job.transformer.location != "indoors"
        and job.bonding.system_bonding_jumper.location == "both"
        and bool(job.observations.no_parallel_neutral_path)
        and electrode.connected_at == "source"
        and electrode.used in ("building_steel", "water_pipe")
    )


def _no_device_for_the_jumper(job: Job) -> bool:
    """Whether nothing at the end of any run could be the first disconnect that the jumper is said to be in."""
    runs = [job_of_run(job, number) for number in range(run_count(job))]
    return job.bonding.system_bonding_jumper.location == "first_disconnect" and all(
        run.secondary.protection.kind == "main_lugs_only"
        and run.secondary.panelboard.present is False
        and not run.observations.supplies_switchboard
        for run in runs
    )


def _runs_together_and_apart(job: Job) -> tuple[str, ...]:
    """The paths of runs whose device is behind the first run's door and, by another answer, not even beside it."""
    return tuple(
        f"{FURTHER}.{number}.{name}"
        for number, run in enumerate(job.secondary.further_runs)
        if run.in_first_enclosure and run.beside_first_run is False
        for name in OF_A_FURTHER_RUN
    )


def _ratings_in_one_enclosure(name: str) -> Callable[[Job], tuple[str, ...]]:
    """The paths of runs behind the first run's door, and of both ratings where theirs is another one."""
    read = attrgetter(f"panelboard.{name}")

    def among(job: Job) -> tuple[str, ...]:
        first = read(job.secondary)
        told = [
            f"{FURTHER}.{number}"
            for number, run in enumerate(job.secondary.further_runs)
            if run.in_first_enclosure and None not in (first, read(run)) and read(run) != first
        ]
        named = (
            path
            for run in told
            for path in (f"{run}.in_first_enclosure", f"{run}.panelboard.{name}")
        )
        return (f"secondary.panelboard.{name}", *named) if told else ()

    return among


def _boards_in_one_enclosure(job: Job) -> tuple[str, ...]:
    """The paths of runs behind the first run's door, and of the answers that make one of them a switchboard alone."""
    first = (job.secondary.panelboard.present, job.observations.supplies_switchboard)
    panelboard, switchboard = "panelboard.present", "observations.supplies_switchboard"
    named: list[str] = []
    for number, run in enumerate(job.secondary.further_runs):
        own = (run.panelboard.present, run.observations.supplies_switchboard)
        where = f"{FURTHER}.{number}"
        if run.in_first_enclosure and first[0] and own[1]:
            named += [f"{where}.in_first_enclosure", f"secondary.{panelboard}"]
            named.append(f"{where}.{switchboard}")
        if run.in_first_enclosure and first[1] and own[0]:
            named += [f"{where}.in_first_enclosure", switchboard, f"{where}.{panelboard}"]
    return tuple(dict.fromkeys(named))


def _has_aluminum(job: Job, number: int) -> bool:
    """Whether aluminum is on record among what lands on the lugs of a run, or of the transformer for all of them."""
    run, bonding = job_of_run(job, number), job.bonding
    return "aluminum" in (
        run.primary.conductors.material,
        run.primary.equipment_grounding.material,
        run.secondary.conductors.material,
        run.secondary.grounded_conductor.material,
        run.bonding.supply_side_bonding_jumper.material,
        bonding.system_bonding_jumper.material,
        bonding.water_pipe_bond.material,
        bonding.structural_steel_bond.material,
        job.electrode.conductor.material,
    )


def _lugs_marked_and_not(job: Job) -> tuple[str, ...]:
    """The answers of runs about the mark on lugs where one without aluminum says no, and one with aluminum says yes."""
    if not job.secondary.further_runs:
        return ()
    answers = [
        (path_in_run(_LUGS, number), job_of_run(job, number).observations.lugs_marked_for_metal)
        for number in range(run_count(job))
    ]
    unmarked = [
        path
        for number, (path, answer) in enumerate(answers)
        if answer is False and not _has_aluminum(job, number)
    ]
    marked = [
        path
        for number, (path, answer) in enumerate(answers)
        if answer and _has_aluminum(job, number)
    ]
    return (*unmarked, *marked) if unmarked and marked else ()


_LUGS = "observations.lugs_marked_for_metal"


def _any_of(among: Callable[[Job], tuple[str, ...]]) -> Callable[[Job], bool]:
    return lambda job: bool(among(job))


def _joined_and_not_supplemented(job: Job) -> bool:
    """Whether the water pipe is joined to an electrode of another kind, which is what supplements it."""
    electrode = job.electrode
    others = {*(electrode.available or ())} - {"water_pipe"}
    return bool(
        electrode.used == "water_pipe"
        and others
        and electrode.joined_to_building_system
        and electrode.supplemented is False
    )


# A share that a printed current may be off what kVA and voltage give, beside its last printed digit: a step of the usual
# kVA ratings, and most steps of the usual voltages, are more than this. Common practice, no source.
PRINTED_CURRENT_SHARE = 0.05


def _last_digit(printed: float) -> float:
    """One step of the last digit of a current as it is printed [A]: 1 of 6, 0.1 of 6.3; plates round, or cut off."""
    _, _, decimals = f"{printed:.10f}".rstrip("0").partition(".")
    return 10.0 ** -len(decimals)


def _printed_current(side: str) -> Callable[[Job], bool]:
    """Whether the printed current [A] of a side is off what kVA and voltage give by more than its rounding."""

    def found(job: Job) -> bool:
        plate = job.transformer
        primary = side == "primary"
        printed = plate.nameplate_primary_amperes if primary else plate.nameplate_secondary_amperes
        if printed is None:
            return False
        line_volts = plate.primary_volts if primary else plate.secondary_volts
        worked_out = full_load_current(kva=plate.kva, volts=line_volts, phases=plate.phases)
        off = abs(printed - worked_out)
        return off > PRINTED_CURRENT_SHARE * worked_out and off > _last_digit(printed)

    return found


def _dry_at_an_outdoor_transformer(side: str) -> Callable[[Job], bool]:
    """Whether a run is called dry though it begins outdoors, and its insulation is another one where it is wet."""

    def found(job: Job) -> bool:
        run = _conductors(job, side)
        insulations = [run.insulation]
        if side == "secondary":
            insulations.append(job.secondary.grounded_conductor.insulation)
        code = code_for(job.edition)
        return (
            job.transformer.location == "outdoors"
            and run.wet_location is False
            and any(
                code.insulation_column(each, True) != code.insulation_column(each, False)
                for each in insulations
                if each is not None
            )
        )

    return found


def _anywhere(_: Job) -> bool:
    return True


def _two_wires_free_of_ground(job: Job) -> bool:
    """Whether the secondary is a 2-wire circuit that may be ungrounded. Section: 250.20(A) and (B)(1)."""
    plate = job.transformer
    return plate.secondary_system == "single_phase_2_wire" and not must_ground_by_voltage(
        plate.secondary_system, plate.secondary_volts, plate.primary_volts
    )


class _Denied(NamedTuple):
    """A thing that an answer says is not there, and the facts that describe it all the same; `where` that is so."""

    id: str
    path: str
    answers: tuple[Any, ...]
    described_by: tuple[str, ...]
    why: str
    where: Callable[[Job], bool] = _anywhere


# What describes a thing is a fact that says something of it: no, none and 0 agree with its absence.
_DENIED: tuple[_Denied, ...] = (
    _Denied(
        "no_grounded_conductor",
        "secondary.grounded_conductor.present",
        (False,),
        (
            "secondary.grounded_conductor.size",
            "secondary.grounded_conductor.material",
            "secondary.grounded_conductor.insulation",
            "secondary.grounded_conductor.sets",
            "secondary.grounded_conductor.current_carrying",
            "secondary.neutral_load_amperes",
            "readings.neutral_to_ground_far_volts",
        ),
        "One answer says that no grounded conductor is run; the other describes one.",
    ),
    _Denied(
        "grounded_by_nothing",
        "bonding.system_bonding_jumper.location",
        ("none",),
        (
            "secondary.grounded_conductor.present",
            "secondary.grounded_conductor.size",
            "secondary.grounded_conductor.material",
            "secondary.grounded_conductor.insulation",
            "secondary.grounded_conductor.sets",
            "secondary.grounded_conductor.current_carrying",
        ),
        "A conductor is entered as grounded, but no system bonding jumper grounds it. Either there is a jumper, or "
        "neither conductor is grounded.",
        _two_wires_free_of_ground,
    ),
    _Denied(
        "no_equipment_grounding_wire",
        "primary.equipment_grounding.kind",
        ("none", "raceway"),
        (
            "primary.equipment_grounding.size",
            "primary.equipment_grounding.material",
            "primary.equipment_grounding.insulation",
        ),
        "One answer says that there is no equipment grounding wire; the other describes one.",
    ),
    _Denied(
        "no_supply_side_bonding_wire",
        "bonding.supply_side_bonding_jumper.kind",
        ("none", "raceway"),
        (
            "bonding.supply_side_bonding_jumper.size",
            "bonding.supply_side_bonding_jumper.material",
            "bonding.supply_side_bonding_jumper.insulation",
        ),
        "One answer says that there is no supply-side bonding wire; the other describes one.",
    ),
    _Denied(
        "no_system_bonding_jumper",
        "bonding.system_bonding_jumper.location",
        ("none",),
        (
            "bonding.system_bonding_jumper.size",
            "bonding.system_bonding_jumper.material",
            "bonding.system_bonding_jumper.factory_furnished",
        ),
        "One answer says that there is no system bonding jumper; the other describes one.",
    ),
    _Denied(
        "jumper_elsewhere_and_in_each",
        "bonding.system_bonding_jumper.location",
        ("source", "none"),
        ("bonding.system_bonding_jumper.in_each_enclosure",),
        "One answer says that there is no jumper at the first disconnects; the other says that each of them has one.",
    ),
    _Denied(
        "no_electrode",
        "electrode.used",
        ("none",),
        (
            "electrode.conductor.size",
            "electrode.conductor.material",
            "electrode.connected_at",
            "electrode.sole_connection",
            "electrode.joined_to_building_system",
            "electrode.common_conductor",
            "readings.electrode_conductor_amperes",
        ),
        "One answer says that no electrode is in use; the other describes the conductor to one.",
    ),
    _Denied(
        "no_common_conductor",
        "electrode.common_conductor",
        (False,),
        ("electrode.common_conductor_size", "electrode.common_conductor_material"),
        "One answer says that there is no shared electrode conductor; the other describes one.",
    ),
    *(
        _Denied(
            f"no_{name}",
            f"bonding.{name}.present",
            (False,),
            (f"bonding.{name}.size", f"bonding.{name}.material"),
            "One answer says that there is no such bond; the other describes one.",
        )
        for name in ("water_pipe_bond", "structural_steel_bond")
    ),
    _Denied(
        "no_panelboard",
        "secondary.panelboard.present",
        (False,),
        (
            "secondary.panelboard.rating",
            "secondary.panelboard.fed_by_two_mains",
        ),
        "One answer says that no panelboard is supplied; the other describes one.",
    ),
    _Denied(
        "panelboard_and_switchboard",
        "secondary.panelboard.present",
        (True,),
        ("observations.supplies_switchboard",),
        "The conductors end at a panelboard or at a switchboard, not at both.",
    ),
    _Denied(
        "not_one_main",
        "secondary.protection.kind",
        ("grouped_devices", "main_lugs_only"),
        ("secondary.protection.rating",),
        "One answer says that there is no single main; the other gives its rating.",
    ),
    _Denied(
        "not_two_mains",
        "secondary.protection.kind",
        ("main_device", "main_lugs_only"),
        ("secondary.panelboard.fed_by_two_mains",),
        "Two mains ahead of one bus are grouped devices, not one main device and not main lugs only.",
    ),
    _Denied(
        "fuse_that_is_set",
        "primary.device.kind",
        ("fuse",),
        ("primary.device.adjustable", "primary.device.instantaneous_multiple"),
        "A fuse has no adjustable trip.",
    ),
    _Denied(
        "secondary_fuse_that_is_set",
        "secondary.protection.device_kind",
        ("fuse",),
        ("secondary.protection.adjustable",),
        "A fuse has no adjustable trip.",
    ),
    _Denied(
        "no_neutral",
        "transformer.secondary_system",
        ("delta_3_wire_ungrounded",),
        (
            "secondary.grounded_conductor.present",
            "secondary.neutral_load_amperes",
            "bonding.neutral_bonded_downstream",
            "readings.line_to_neutral_volts",
            "readings.neutral_to_ground_volts",
            "readings.neutral_to_ground_far_volts",
            "readings.neutral_insulation_megohms",
            "observations.grounded_phase_identified",
        ),
        "An ungrounded delta has no neutral and no grounded conductor; the other answer describes one.",
    ),
    _Denied(
        "outdoors_above_a_ceiling",
        "transformer.location",
        ("outdoors",),
        ("observations.above_ceiling",),
        "The transformer is either outdoors or above a ceiling in the building, not both.",
    ),
    _Denied(
        "air_space_above_no_ceiling",
        "observations.above_ceiling",
        (False,),
        ("observations.ceiling_moves_air",),
        "One answer says that the transformer is not above a ceiling; the other says that the ceiling space around it "
        "moves the building's air.",
    ),
    _Denied(
        "qualified_persons_and_others",
        "secondary.qualified_persons_only",
        (False,),
        ("transformer.supervised",),
        "One answer says that only qualified persons monitor and service the transformer; the other says that others "
        "service it too.",
    ),
    _Denied(
        "open_and_enclosed",
        "transformer.enclosure",
        ("open",),
        ("observations.completely_enclosed_except_vents",),
        "The core and coils have no case, or they are completely enclosed, not both.",
    ),
    _Denied(
        "open_and_weatherproof",
        "transformer.enclosure",
        ("open",),
        ("observations.weatherproof_enclosure",),
        "The core and coils either have no case or have an enclosure made for outdoors, not both.",
    ),
    _Denied(
        "open_and_made_for_moving_air",
        "transformer.enclosure",
        ("open",),
        ("observations.case_suits_air_space",),
        "The core and coils have no case, so no case can suit a space that moves air.",
    ),
    _Denied(
        "outdoors_from_indoors",
        "transformer.location",
        ("indoors",),
        ("observations.outdoors_all_the_way",),
        "The conductors start at the transformer. If it is indoors, they are not outdoors all the way.",
    ),
    _Denied(
        "combustibles_near_and_far",
        "observations.combustibles_clear",
        (False,),
        ("observations.far_from_combustibles",),
        "Combustible material is close, or all of it is far away or behind a barrier, not both.",
    ),
    _Denied(
        "dry_outdoors",
        "secondary.conductors.wet_location",
        (False,),
        ("observations.outdoors_all_the_way",),
        "An outdoor run is in a wet location, even inside its raceways.",
    ),
)


def _describes(path: str) -> Callable[[Job], bool]:
    """Whether the fact at a path says something of a thing. An insulation of 0 megohm does: it was measured."""
    read = attrgetter(path)
    if path.endswith("_megohms"):
        return lambda job: read(job) is not None
    return lambda job: bool(read(job))


def _denial(denied: _Denied) -> Contradiction:
    read = attrgetter(denied.path)
    readers = tuple((path, _describes(path)) for path in denied.described_by)

    def among(job: Job) -> tuple[str, ...]:
        return (denied.path, *(path for path, described in readers if described(job)))

    def found(job: Job) -> bool:
        return (
            read(job) in denied.answers
            and any(described(job) for _, described in readers)
            and denied.where(job)
        )

    return Contradiction(denied.id, (denied.path, *denied.described_by), denied.why, found, among)


def _dry_by_the_outside_rule(job: Job) -> bool:
    secondary = job.secondary
    return secondary.rule == "outside" and secondary.conductors.wet_location is False


def _several_mains(job: Job) -> bool:
    protection = job.secondary.protection
    return protection.kind == "main_device" and len(protection.ratings or ()) > 1


def _another_rating_of_the_main(job: Job) -> bool:
    protection = job.secondary.protection
    if protection.kind != "main_device" or protection.rating is None:
        return False
    ratings = protection.ratings or ()
    return len(ratings) == 1 and ratings[0] != protection.rating


def _group_of_one(job: Job) -> bool:
    protection = job.secondary.protection
    return protection.kind == "grouped_devices" and len(protection.ratings or ()) == 1


def _more_than_two_mains(job: Job) -> bool:
    secondary = job.secondary
    return (
        bool(secondary.panelboard.fed_by_two_mains) and len(secondary.protection.ratings or ()) > 2
    )


def _one_main_in_several_enclosures(job: Job) -> bool:
    protection = job.secondary.protection
    return protection.kind == "main_device" and protection.one_enclosure is False


def _sets_that_differ_from_themselves(job: Job) -> bool:
    return (
        job.observations.parallel_sets_alike is False
        and job.primary.conductors.sets == 1
        and job.secondary.conductors.sets == 1
    )


def _runs_that_differ_from_themselves(job: Job) -> tuple[str, ...]:
    """The paths of runs beside the first that have one set by one answer, and sets that differ by the other."""
    if job.primary.conductors.sets == 1:
        # The entry for one run has them.
        return ()
    return tuple(
        f"{FURTHER}.{number}.{name}"
        for number, run in enumerate(job.secondary.further_runs)
        if run.observations.parallel_sets_alike is False and run.conductors.sets == 1
        for name in ("conductors.sets", "observations.parallel_sets_alike")
    )


# What is marked behind the Y of 208Y/120, 480Y/277 and 600Y/347 V. No three-phase wye of these voltages line to line is
# usual: common practice, no source.
_TO_NEUTRAL = (120.0, 277.0, 347.0)


def _line_to_neutral_entered(side: str) -> Callable[[Job], bool]:
    """Whether the voltage [V] of a three-phase wye is that of a line to its neutral, and no printed current bears it out."""

    def found(job: Job) -> bool:
        plate = job.transformer
        primary = side == "primary"
        system = plate.primary_system if primary else plate.secondary_system
        printed = plate.nameplate_primary_amperes if primary else plate.nameplate_secondary_amperes
        return (
            plate.phases == 3
            and (plate.primary_volts if primary else plate.secondary_volts) in _TO_NEUTRAL
            and system in ("wye_3_wire", "wye_4_wire")
            and printed is None
        )

    return found


def _conductors(job: Job, side: str) -> Conductors:
    return job.primary.conductors if side == "primary" else job.secondary.conductors


def _raceway(job: Job, side: str) -> Raceway:
    return job.primary.raceway if side == "primary" else job.secondary.raceway


# A run is paced more often than taped: a share and some feet that two lengths of it may differ by. Common practice, no
# source.
PACED = 1.15
PACED_FEET = 2.0
# Through a nipple goes what reaches into the enclosures at both ends, and no more: common practice, no source.
LONGEST_WIRE_OF_A_NIPPLE_FEET = 15.0
# Where the raceway is the fault path, or a rule of 10 ft wants all of it in a raceway, less than that is taken for the
# enclosures: common practice, no source.
LONGEST_OUTSIDE_A_FAULT_PATH_FEET = 12.0
LONGEST_OUTSIDE_OF_10_FEET = 9.0
# What a conductor gains over its raceway by lying loose in it: common practice, no source.
SLACK = 1.05
# Types with thermoplastic insulation; none of them is made for 2000 V, which RHH, RHW, RHW-2 and XHHW types are: from
# memory, UL 83 and UL 44.
NEVER_2000_VOLTS = ("THHN", "THWN", "THWN-2", "THW", "THW-2", "THHW", "TW")


def _dry_on_a_sunny_roof(side: str) -> Callable[[Job], bool]:
    def found(job: Job) -> bool:
        return bool(_raceway(job, side).on_sunny_rooftop) and (
            _conductors(job, side).wet_location is False
        )

    return found


def _more_raceways_than_sets(side: str) -> Callable[[Job], bool]:
    def found(job: Job) -> bool:
        conductors = _conductors(job, side)
        sets, raceways = conductors.sets, conductors.raceways
        return sets is not None and raceways is not None and raceways > sets

    return found


def _several_grounded_beside_one_set(job: Job) -> bool:
    """Several grounded conductors beside one set are lawful from 1/0 AWG, and so rare that the count is asked again."""
    grounded = job.secondary.grounded_conductor
    return job.secondary.conductors.sets == 1 and grounded.sets not in (None, 1)


def _nipple_feet(job: Job) -> float:
    """The longest nipple [ft]. Section: Chapter 9, Table 1, note 4."""
    return code_for(job.edition).nipple_maximum_inches / 12


def _long_nipple(side: str) -> Callable[[Job], bool]:
    def found(job: Job) -> bool:
        raceway = _raceway(job, side)
        if not raceway.nipple or raceway.length_feet is None:
            return False
        return raceway.length_feet > _nipple_feet(job)

    return found


def _short_and_no_nipple(side: str) -> Callable[[Job], bool]:
    """Whether a raceway shorter than 24 in. [ft] from enclosure to enclosure is said to be no nipple."""

    def found(job: Job) -> bool:
        raceway = _raceway(job, side)
        length = raceway.length_feet
        if raceway.nipple is not False or not length:
            return False
        return length < _nipple_feet(job)

    return found


def _flexible_longer_than_nipple(side: str) -> Callable[[Job], bool]:
    """Whether the flexible pieces [ft] are longer than all nipples of the run together can be."""

    def found(job: Job) -> bool:
        raceway, conductors = _raceway(job, side), _conductors(job, side)
        flexible, number = raceway.flexible_length_feet, conductors.raceways or conductors.sets
        if not raceway.nipple or flexible is None or number is None:
            return False
        return flexible > number * _nipple_feet(job)

    return found


def _never_for_2000_volts(job: Job, side: str) -> tuple[str, ...]:
    """The paths of the insulations of a side that are never made for 2000 V."""
    insulations = {f"{side}.conductors.insulation": _conductors(job, side).insulation}
    if side == "secondary":
        grounded = job.secondary.grounded_conductor
        insulations["secondary.grounded_conductor.insulation"] = grounded.insulation
    return tuple(path for path, type_ in insulations.items() if type_ in NEVER_2000_VOLTS)


def _among_insulations(side: str) -> Callable[[Job], tuple[str, ...]]:
    return lambda job: (
        f"{side}.conductors.insulation_volts",
        *_never_for_2000_volts(job, side),
    )


def _not_made_for_2000_volts(side: str) -> Callable[[Job], bool]:
    """Whether the lowest voltage printed on all conductors [V] is one that a type among them is never made for."""
    return lambda job: (
        _conductors(job, side).insulation_volts == 2000 and bool(_never_for_2000_volts(job, side))
    )


def _long_wire_of_a_nipple(side: str) -> Callable[[Job], bool]:
    def found(job: Job) -> bool:
        length = _conductors(job, side).length_feet
        return bool(
            _raceway(job, side).nipple
            and length is not None
            and length > LONGEST_WIRE_OF_A_NIPPLE_FEET
        )

    return found


def _raceway_longer_than_wire(side: str) -> Callable[[Job], bool]:
    def found(job: Job) -> bool:
        wire, raceway = _conductors(job, side).length_feet, _raceway(job, side).length_feet
        return wire is not None and raceway is not None and raceway > PACED * wire + PACED_FEET

    return found


def _raceway_far_shorter_than_wire(side: str) -> Callable[[Job], bool]:
    """Whether the conductors [ft] reach farther beyond their raceway than the enclosures at both ends take up."""

    def found(job: Job) -> bool:
        wire, raceway = _conductors(job, side).length_feet, _raceway(job, side).length_feet
        if wire is None or raceway is None or raceway == 0:
            return False
        if side == "secondary" and job.secondary.enclosed_in_raceway is False:
            return False
        return wire > SLACK * raceway + _longest_outside(job, side)

    return found


def _longest_outside(job: Job, side: str) -> float:
    """How much of the conductors [ft] the enclosures at both ends may take up."""
    if side == "secondary" and job.secondary.rule == "10_ft":
        return LONGEST_OUTSIDE_OF_10_FEET
    path = (
        job.primary.equipment_grounding.kind
        if side == "primary"
        else job.bonding.supply_side_bonding_jumper.kind
    )
    return LONGEST_OUTSIDE_A_FAULT_PATH_FEET if path == "raceway" else LONGEST_WIRE_OF_A_NIPPLE_FEET


def _flexible_longer_than_raceway(side: str) -> Callable[[Job], bool]:
    """Whether the flexible pieces [ft] are longer than all raceways of the run together."""

    def found(job: Job) -> bool:
        raceway, conductors = _raceway(job, side), _conductors(job, side)
        flexible, whole = raceway.flexible_length_feet, raceway.length_feet
        number = conductors.raceways or conductors.sets
        if flexible is None or whole is None or number is None:
            return False
        return flexible > number * (PACED * whole + PACED_FEET)

    return found


_GROUNDING_PATH = {
    "primary": "primary.equipment_grounding.kind",
    "secondary": "bonding.supply_side_bonding_jumper.kind",
}


def _unlisted_fittings_of_a_rigid_path(side: str) -> Callable[[Job], bool]:
    """Whether fittings are not listed for grounding though the run that serves as the path has no flexible piece."""
    kind = attrgetter(_GROUNDING_PATH[side])

    def found(job: Job) -> bool:
        raceway = _raceway(job, side)
        return (
            kind(job) == "raceway"
            and raceway.type in METAL_RACEWAYS
            and raceway.flexible_length_feet == 0
            and raceway.fittings_listed_for_grounding is False
        )

    return found


def _of_a_run(side: str) -> Iterator[Contradiction]:
    conductors, raceway = f"{side}.conductors", f"{side}.raceway"
    yield Contradiction(
        f"{side}_unlisted_fittings_of_a_rigid_path",
        (
            _GROUNDING_PATH[side],
            f"{raceway}.type",
            f"{raceway}.flexible_length_feet",
            f"{raceway}.fittings_listed_for_grounding",
        ),
        "The metal raceway serves as the grounding path and has no flexible piece, yet fittings that are not listed for "
        "grounding are entered. Couplings and connectors are part of that path: look at them again, or run a wire.",
        _unlisted_fittings_of_a_rigid_path(side),
    )
    yield Contradiction(
        f"{side}_more_raceways_than_sets",
        (f"{conductors}.sets", f"{conductors}.raceways"),
        "More raceways than sets of conductors would leave a raceway empty.",
        _more_raceways_than_sets(side),
    )
    yield Contradiction(
        f"{side}_long_nipple",
        (f"{raceway}.nipple", f"{raceway}.length_feet"),
        "A nipple is 24 in. long at most, from enclosure to enclosure.",
        _long_nipple(side),
    )
    yield Contradiction(
        f"{side}_short_and_no_nipple",
        (f"{raceway}.nipple", f"{raceway}.length_feet"),
        "A raceway shorter than 24 in. from enclosure to enclosure is a nipple.",
        _short_and_no_nipple(side),
    )
    yield Contradiction(
        f"{side}_flexible_longer_than_nipple",
        (f"{raceway}.nipple", f"{raceway}.flexible_length_feet"),
        "The flexible sections alone are longer than a nipple of 24 in. can be.",
        _flexible_longer_than_nipple(side),
    )
    yield Contradiction(
        f"{side}_insulation_not_made_for_2000_volts",
        (
            f"{conductors}.insulation_volts",
            f"{conductors}.insulation",
            *(("secondary.grounded_conductor.insulation",) if side == "secondary" else ()),
        ),
        "This type of insulation is not made with a 2000 V rating. Read the marking on every conductor again; the "
        "lowest voltage counts.",
        _not_made_for_2000_volts(side),
        among=_among_insulations(side),
    )
    yield Contradiction(
        f"{side}_nipple_around_long_wire",
        (f"{raceway}.nipple", f"{conductors}.length_feet"),
        "Conductors this long do not run through a nipple of 24 in. from enclosure to enclosure.",
        _long_wire_of_a_nipple(side),
    )
    yield Contradiction(
        f"{side}_raceway_longer_than_wire",
        (f"{raceway}.length_feet", f"{conductors}.length_feet"),
        "The raceway is longer than the conductors that run all the way through it.",
        _raceway_longer_than_wire(side),
    )
    yield Contradiction(
        f"{side}_raceway_far_shorter_than_wire",
        (f"{raceway}.length_feet", f"{conductors}.length_feet"),
        "The conductors are much longer than the raceway: part of them would be outside it.",
        _raceway_far_shorter_than_wire(side),
    )
    yield Contradiction(
        f"{side}_flexible_longer_than_raceway",
        (f"{raceway}.flexible_length_feet", f"{raceway}.length_feet"),
        "The flexible sections are longer than the whole raceway.",
        _flexible_longer_than_raceway(side),
    )
    yield Contradiction(
        f"{side}_dry_on_a_sunny_roof",
        (f"{raceway}.on_sunny_rooftop", f"{conductors}.wet_location"),
        "A raceway in the sun on a roof is outdoors, and a run outdoors is in a wet location.",
        _dry_on_a_sunny_roof(side),
    )


# One transformer has one calculated load. Rounding, and a voltage ratio by the taps, explain a few percent; losses only
# add to the primary: common practice, no source.
LEAST_OF_THE_LOAD_SEEN = 0.95


def _total(load: Load) -> float | None:
    if load.continuous_amperes is None or load.noncontinuous_amperes is None:
        return None
    return load.continuous_amperes + load.noncontinuous_amperes


def _loads(job: Job) -> list[Load]:
    return [job.secondary.load, *(run.load for run in job.secondary.further_runs)]


def _among_loads(job: Job) -> tuple[str, ...]:
    parts = ("continuous_amperes", "noncontinuous_amperes")
    paths = [f"primary.load.{part}" for part in parts]
    for number, load in enumerate(_loads(job)):
        if _total(load) is not None:
            paths += [path_in_run(f"secondary.load.{part}", number) for part in parts]
    return tuple(paths)


def _on_the_primary(job: Job, secondary: float) -> float:
    """A secondary current, divided by the voltage ratio [A]."""
    return secondary * job.transformer.secondary_volts / job.transformer.primary_volts


def _load_vanishes(job: Job) -> bool:
    """The primary carries what the secondary carries, divided by the voltage ratio [A], and the losses."""
    primary = _total(job.primary.load)
    known = [total for total in map(_total, _loads(job)) if total is not None]
    if primary is None or not known:
        return False
    # A run whose load is not known only adds to it.
    seen = _on_the_primary(job, sum(known))
    return seen > 1 and primary < LEAST_OF_THE_LOAD_SEEN * seen


# Currents are entered in whole amperes; a difference of one [A] is rounding: common practice, no source.
_ROUNDED = 1.0


def _among_continuous(job: Job) -> tuple[str, ...]:
    part = "load.continuous_amperes"
    known = [n for n, load in enumerate(_loads(job)) if load.continuous_amperes is not None]
    return (f"primary.{part}", *(path_in_run(f"secondary.{part}", number) for number in known))


def _continuous_load_vanishes(job: Job) -> bool:
    """What is continuous on the secondary is continuous on the primary too [A]."""
    primary = job.primary.load.continuous_amperes
    if primary is None:
        return False
    # A run whose load is not known only adds to it.
    seen = _on_the_primary(job, sum(load.continuous_amperes or 0.0 for load in _loads(job)))
    return primary < LEAST_OF_THE_LOAD_SEEN * seen and primary < seen - _ROUNDED


# The primary may be entered at its largest and the secondary as measured; by less than this share the two do not name
# the same load: common practice, no source.
_LEAST_OF_THE_CONTINUOUS_LOAD = 0.25


def _continuous_on_the_primary_alone(job: Job) -> bool:
    """What is continuous on the primary goes to some run; of all runs it must be known how much they have [A]."""
    primary = job.primary.load.continuous_amperes
    known = [load.continuous_amperes for load in _loads(job)]
    if primary is None or primary <= _ROUNDED or None in known:
        return False
    seen = _on_the_primary(job, sum(amount or 0.0 for amount in known))
    return seen < _LEAST_OF_THE_CONTINUOUS_LOAD * primary


def _totally_enclosed_and_open(job: Job) -> bool:
    return (
        job.transformer.enclosure == "totally_enclosed"
        and job.observations.completely_enclosed_except_vents is False
    )


def _is_above(one: float | None, other: float | None) -> bool:
    return one is not None and other is not None and one > other


def _highest_below_the_rating(job: Job) -> bool:
    device = job.primary.device
    return _is_above(device.rating, device.highest_rating)


def _highest_setting_twice(job: Job) -> bool:
    device = job.primary.device
    return (
        # Fuses have no setting, so that only they may be in a switch for more.
        device.kind != "fuse"
        and device.rating_basis == "highest_setting"
        and _is_above(device.highest_rating, device.rating)
    )


def _fixed_trip_set_higher(job: Job) -> bool:
    device = job.primary.device
    return (
        device.kind == "breaker"
        and device.adjustable is False
        and _is_above(device.highest_rating, device.rating)
    )


_PRESENT_SETTING = ("setting_restricted", "setting_open")


def _settings_of_none(side: str) -> Iterator[Contradiction]:
    """What has no setting and is said to be rated by its present one: a fixed trip, a fuse."""
    device, kind, name = {
        "primary": ("primary.device", "kind", ""),
        "secondary": ("secondary.protection", "device_kind", "secondary_"),
    }[side]
    read = attrgetter(f"{device}.{kind}", f"{device}.adjustable", f"{device}.rating_basis")

    def set_where_nothing_is_set(job: Job) -> bool:
        _, adjustable, basis = read(job)
        return adjustable is False and basis in _PRESENT_SETTING

    def fuse_with_a_setting(job: Job) -> bool:
        which, _, basis = read(job)
        return which == "fuse" and basis in _PRESENT_SETTING

    yield Contradiction(
        f"{name}set_where_nothing_is_set",
        (f"{device}.adjustable", f"{device}.rating_basis"),
        "One answer says that the trip can't be adjusted; the other says that the rating is its present setting.",
        set_where_nothing_is_set,
    )
    yield Contradiction(
        f"{name}fuse_with_a_setting",
        (f"{device}.{kind}", f"{device}.rating_basis"),
        "A fuse has no setting. Its rating is the one printed on it.",
        fuse_with_a_setting,
    )


def _largest_of_a_group(job: Job) -> float | None:
    """The largest rating [A] of grouped devices; None where they are not grouped, or not known."""
    protection = job.secondary.protection
    return (
        max(protection.ratings or (), default=None)
        if protection.kind == "grouped_devices"
        else None
    )


def _small_fuse_in_a_large_switch(
    device: str, kind: str, rating_of: Callable[[Job], float | None]
) -> Callable[[Job], bool]:
    """Whether a switch for fuses that ask for ground-fault protection is said to hold one that none of them holds [A]."""
    read = attrgetter(f"{device}.{kind}", f"{device}.highest_rating")

    def found(job: Job) -> bool:
        which, largest = read(job)
        rating = rating_of(job)
        return (
            which == "fuse"
            and rating is not None
            and rating <= FUSES_OF_SMALL_SWITCHES
            and largest is not None
            and largest >= GROUND_FAULT_PROTECTION_FROM
        )

    return found


def _fuse_larger_than_its_switch(job: Job) -> bool:
    protection = job.secondary.protection
    return _is_above(protection.rating, protection.highest_rating)


def _fuses_larger_than_their_switches(job: Job) -> bool:
    return _is_above(_largest_of_a_group(job), job.secondary.protection.highest_rating)


def _is_breaker_at_its_highest(job: Job) -> bool:
    """Whether the secondary has breakers whose ratings are not said to be present settings."""
    protection = job.secondary.protection
    # Where its kind was not answered, a trip that can be set says that it is a breaker.
    is_breaker = protection.device_kind == "breaker" or (
        protection.device_kind is None and protection.rating_basis == "highest_setting"
    )
    return is_breaker and protection.rating_basis not in _PRESENT_SETTING


def _breaker_that_takes_a_fuse(job: Job) -> bool:
    protection = job.secondary.protection
    return _is_breaker_at_its_highest(job) and _is_above(
        protection.highest_rating, protection.rating
    )


def _breakers_that_take_fuses(job: Job) -> bool:
    return _is_breaker_at_its_highest(job) and _is_above(
        job.secondary.protection.highest_rating, _largest_of_a_group(job)
    )


def _rating_of_no_board(job: Job) -> bool:
    panelboard = job.secondary.panelboard
    return (
        panelboard.present is False
        and job.observations.supplies_switchboard is False
        and panelboard.short_circuit_kiloamperes is not None
    )


def _three_phases_from_a_single_phase(job: Job) -> bool:
    return job.transformer.phases == 3 and job.primary.supply_system == "single_phase_grounded"


def _hotter_than_its_insulation(job: Job) -> bool:
    """Rise above an ambient of 40 °C, without a hot spot [°C]. Source: the ambient of IEEE C57.12.01, from memory."""
    rise, limit = job.transformer.temperature_rise_celsius, job.transformer.insulation_class_celsius
    return rise is not None and limit is not None and rise + 40 > limit


def _fed_at_its_higher_voltage(job: Job) -> bool:
    plate = job.transformer
    return bool(job.observations.reverse_fed) and plate.primary_volts > plate.secondary_volts


def _used_and_not_there(job: Job) -> bool:
    used, available = job.electrode.used, job.electrode.available
    return used not in (None, "none") and available is not None and used not in available


def _ring_that_is_not_there(job: Job) -> bool:
    available = job.electrode.available
    return job.electrode.ring_size is not None and available is not None and "ring" not in available


def _more_readings_than_places(name: str, of_three: int, of_one: int) -> Callable[[Job], bool]:
    read = attrgetter(f"readings.{name}")

    def found(job: Job) -> bool:
        readings = read(job)
        if readings is None:
            return False
        return len(readings) > (of_three if job.transformer.phases == 3 else of_one)

    return found


# What is farther off its nominal value speaks for itself: the line of that reading says that it is a danger.
PLAUSIBLE_SHARE = 0.10


def _near(readings: Sequence[float], nominal: Sequence[float]) -> bool:
    """Whether readings are as many as their nominal values, and each near its own [V]."""
    return len(readings) == len(nominal) and all(
        abs(reading - value) <= PLAUSIBLE_SHARE * value
        for reading, value in zip(sorted(readings), nominal, strict=True)
    )


def _no_place_for_the_neutral(job: Job) -> bool:
    line, phases = job.transformer.secondary_volts, job.transformer.phases
    between = job.readings.line_to_line_volts or []
    to_neutral = job.readings.line_to_neutral_volts or []
    nominal = line_to_neutral_volts(job.transformer.secondary_system or "", line)
    if not nominal or not _near(to_neutral, nominal):
        return False
    if not _near(between, (line,) * (1 if phases == 1 else 3)):
        return False
    return neutral_misfit(between, to_neutral) > READING_SHARE * max(nominal)


def _neutral_elsewhere(job: Job) -> bool:
    """Whether the lines stand farther from ground and from the neutral [V] than these two are said to lie apart.

    A line's two readings differ by no more than the neutral has to ground, in the best order of them.
    """
    plate, read = job.transformer, job.readings
    nominal = line_to_neutral_volts(plate.secondary_system or "", plate.secondary_volts)
    to_neutral, to_ground = read.line_to_neutral_volts or [], read.line_to_ground_volts or []
    if read.neutral_to_ground_volts is None or not nominal or not _near(to_neutral, nominal):
        return False
    # What is far off speaks for itself, and is condemned; a meter that shows nothing to metal does not.
    dead = len(to_ground) == len(nominal) and is_dead(to_ground)
    if not _near(to_ground, nominal) and not dead:
        return False
    pairs = zip(sorted(to_neutral), sorted(to_ground), strict=True)
    apart = max(abs(neutral - ground) for neutral, ground in pairs)
    return apart > read.neutral_to_ground_volts + READING_SHARE * max(nominal)


def _no_place_for_the_ground(job: Job) -> bool:
    """As `_no_place_for_the_neutral`: a grounded neutral and the ground are one point."""
    line, phases = job.transformer.secondary_volts, job.transformer.phases
    between = job.readings.line_to_line_volts or []
    to_ground = job.readings.line_to_ground_volts or []
    nominal = line_to_neutral_volts(job.transformer.secondary_system or "", line)
    if not nominal or not _near(to_ground, nominal):
        return False
    if not _near(between, (line,) * (1 if phases == 1 else 3)):
        return False
    return neutral_misfit(between, to_ground) > READING_SHARE * max(nominal)


def _lines_at_ground_and_apart(job: Job) -> bool:
    """Whether lines read next to nothing [V] to ground, more of them than the voltages between the lines allow."""
    system = job.transformer.secondary_system
    to_ground = job.readings.line_to_ground_volts or []
    between = job.readings.line_to_line_volts or []
    if len(to_ground) < 2 or not is_dead(to_ground):
        return False
    # Where nothing is grounded, the meter itself pulls each line to ground in turn.
    if system in (None, "delta_3_wire_ungrounded") or (
        job.bonding.system_bonding_jumper.location == "none"
    ):
        return False
    pairs = 1 if job.transformer.phases == 1 else 3
    together = len(to_ground) * (len(to_ground) - 1) // 2
    return sum(volts > 2 * NEAR_ZERO for volts in between) > pairs - together


def _high_leg_of_another_line(job: Job) -> bool:
    """Whether the line with the high voltage [V] to the neutral is not the one with the high voltage to ground."""
    plate, read = job.transformer, job.readings
    if plate.secondary_system != "delta_high_leg":
        return False
    nominal = line_to_neutral_volts("delta_high_leg", plate.secondary_volts)
    to_neutral, to_ground = read.line_to_neutral_volts or [], read.line_to_ground_volts or []
    if not _near(to_neutral, nominal) or not _near(to_ground, nominal):
        return False
    return to_neutral.index(max(to_neutral)) != to_ground.index(max(to_ground))


def _high_leg_on_a(name: str) -> Callable[[Job], bool]:
    """Whether readings [V] in the order A, B, C show the high leg on A, though an answer has it on B.

    Section: 408.3(E). On C it may be beside a meter, and the answer is then the same.
    """
    read = attrgetter(f"readings.{name}")

    def found(job: Job) -> bool:
        plate = job.transformer
        volts: list[float] = read(job) or []
        if plate.secondary_system != "delta_high_leg" or not job.observations.high_leg_on_b:
            return False
        nominal = line_to_neutral_volts("delta_high_leg", plate.secondary_volts)
        return _near(volts, nominal) and volts.index(max(volts)) == 0

    return found


def _neutral_of_no_neutral(job: Job) -> bool:
    """Whether something is said to land on the neutral point of a fed winding that has none."""
    return (
        job.observations.supplied_neutral_open is False
        and job.transformer.primary_system in WITHOUT_NEUTRAL_POINT
    )


def _lugs_marked_for_less(side: str) -> Callable[[Job], bool]:
    """Whether the transformer's lugs are marked [°C] below the lowest mark said to be at the run's terminals."""

    def found(job: Job) -> bool:
        plate = job.transformer
        primary = side == "primary"
        lugs = plate.primary_terminal_celsius if primary else plate.secondary_terminal_celsius
        lowest = _conductors(job, side).termination_celsius
        # Kept conductors may end at lugs unlike the old ones: there the lower mark counts, and a check says so.
        return (
            job.purpose != "replacement"
            and lugs is not None
            and lowest is not None
            and lugs < min(lowest, HIGHEST_TERMINAL_COLUMN)
        )

    return found


def _built_in_with_a_long_run(job: Job) -> bool:
    length = job.secondary.conductors.length_feet
    return (
        job.secondary.first_disconnect_separate is False
        and length is not None
        and length > LONGEST_WIRE_OF_A_NIPPLE_FEET
    )


_SMALL_FUSE = (
    "A switch built for fuses of 1000 A or more doesn't take a fuse this small. Read the switch label and the fuse "
    "label again."
)

CONTRADICTIONS: tuple[Contradiction, ...] = (
    Contradiction(
        "built_in_with_a_long_run",
        ("secondary.first_disconnect_separate", "secondary.conductors.length_feet"),
        "Conductors to a disconnect built into the transformer's own case can't be this long.",
        _built_in_with_a_long_run,
    ),
    Contradiction(
        "several_grounded_beside_one_set",
        ("secondary.conductors.sets", "secondary.grounded_conductor.sets"),
        "Two or more grounded conductors are recorded with one set of phase conductors. Count both again. A doubled "
        "neutral beside one set is beyond this tool.",
        _several_grounded_beside_one_set,
    ),
    Contradiction(
        "only_electrode_joined_to_others",
        (
            *("electrode.available", "electrode.used"),
            *("electrode.sole_connection", "electrode.joined_to_building_system"),
        ),
        "The grounding electrode conductor ends at the only kind of electrode that is listed, yet that electrode is "
        "recorded as bonded to others. List those too.",
        _only_electrode_joined_to_others,
    ),
    Contradiction(
        "only_electrode_apart",
        (
            "electrode.available",
            "electrode.used",
            "electrode.joined_to_building_system",
        ),
        "This is the only electrode listed, yet it is not joined to the building's electrodes. A building with a "
        "supply has an electrode: list that one too. If the building's service is connected to this same electrode, "
        "it counts as joined.",
        _only_electrode_apart,
    ),
    Contradiction(
        "goes_on_to_none",
        ("electrode.available", "electrode.used", "electrode.sole_connection"),
        "One answer says that the electrode conductor goes on to an electrode of another kind, but no other kind is "
        "listed.",
        _goes_on_to_none,
    ),
    Contradiction(
        "joined_and_not_supplemented",
        (
            "electrode.available",
            "electrode.used",
            "electrode.joined_to_building_system",
            "electrode.supplemented",
        ),
        "If the water pipe is joined to an electrode of another kind, that electrode supplements the pipe.",
        _joined_and_not_supplemented,
    ),
    Contradiction(
        "both_jumpers_around_no_path",
        (
            "bonding.system_bonding_jumper.location",
            "observations.no_parallel_neutral_path",
            "electrode.connected_at",
            "electrode.used",
        ),
        "The transformer is connected to the building's steel or water pipe: that metal is a path between the two "
        "jumpers, in parallel with the neutral.",
        _both_jumpers_around_no_path,
    ),
    Contradiction(
        "neutral_of_no_neutral",
        ("transformer.primary_system", "observations.supplied_neutral_open"),
        "One answer says that a supply neutral or a bonding strap lands on the neutral point of the winding that is "
        "supplied; the other says that this winding has no neutral point. Check its X0 or H0 terminal again.",
        _neutral_of_no_neutral,
    ),
    Contradiction(
        "no_device_for_the_jumper",
        (
            "bonding.system_bonding_jumper.location",
            "secondary.protection.kind",
            "secondary.panelboard.present",
        ),
        "The jumper is entered at the first disconnect, but the conductors end at no device, panelboard or "
        "switchboard. Enter what they end at. If there is none of these, the jumper is at the transformer.",
        _no_device_for_the_jumper,
        of_all_runs=True,
    ),
    Contradiction(
        "together_and_apart",
        tuple(f"{FURTHER}.0.{name}" for name in OF_A_FURTHER_RUN),
        "One answer says that this run's device is behind the same door as the first run's; the other says that the "
        "two are not in one location.",
        _any_of(_runs_together_and_apart),
        _runs_together_and_apart,
        of_all_runs=True,
    ),
    *(
        Contradiction(
            f"one_enclosure_of_two_{of}_ratings",
            (f"secondary.panelboard.{name}", f"{FURTHER}.0.in_first_enclosure"),
            "One answer says that this run ends in the same enclosure as run 1, but the two runs give different "
            "ratings for what is in it. If they are two panelboards, enter two enclosures.",
            _any_of(_ratings_in_one_enclosure(name)),
            _ratings_in_one_enclosure(name),
            of_all_runs=True,
        )
        for of, name in (("bus", "rating"), ("short_circuit", "short_circuit_kiloamperes"))
    ),
    Contradiction(
        "one_enclosure_of_two_boards",
        (
            "secondary.panelboard.present",
            "observations.supplies_switchboard",
            f"{FURTHER}.0.in_first_enclosure",
        ),
        "One answer says that this run ends in the same enclosure as the first run; but one of them ends at a panelboard, "
        "the other at a switchboard.",
        _any_of(_boards_in_one_enclosure),
        _boards_in_one_enclosure,
        of_all_runs=True,
    ),
    Contradiction(
        "lugs_marked_and_not",
        (_LUGS, "secondary.conductors.material"),
        "One run's answer says that lugs are not marked for the metal; another run's answer says that they are. Both "
        "runs land on the transformer's lugs. Read the marking on all of them again.",
        _any_of(_lugs_marked_and_not),
        _lugs_marked_and_not,
        of_all_runs=True,
    ),
    *(
        Contradiction(
            f"dry_{side}_run_outdoors",
            ("transformer.location", f"{side}.conductors.wet_location"),
            "The run begins at the transformer, which is outdoors: a raceway there is wet inside.",
            _dry_at_an_outdoor_transformer(side),
        )
        for side in ("primary", "secondary")
    ),
    *(
        Contradiction(
            f"printed_{side}_current",
            (
                *("transformer.kva", "transformer.phases", f"transformer.{side}_volts"),
                f"transformer.nameplate_{side}_amperes",
            ),
            "The printed current does not agree with the kVA, phases and voltage. One of them was misread, and "
            "every limit depends on them.",
            _printed_current(side),
        )
        for side in ("primary", "secondary")
    ),
    *(
        Contradiction(
            f"{side}_lugs_marked_for_less",
            (f"transformer.{side}_terminal_celsius", f"{side}.conductors.termination_celsius"),
            "The transformer's lugs have a lower temperature marking than the lowest terminal entered for this run. "
            "The lugs are terminals of this run too.",
            _lugs_marked_for_less(side),
        )
        for side in ("primary", "secondary")
    ),
    Contradiction(
        "rise_above_insulation_class",
        ("transformer.temperature_rise_celsius", "transformer.insulation_class_celsius"),
        "The temperature rise plus a 40 °C ambient is above the insulation class.",
        _hotter_than_its_insulation,
    ),
    Contradiction(
        "reverse_fed_at_the_higher_voltage",
        (
            "transformer.primary_volts",
            "transformer.secondary_volts",
            "observations.reverse_fed",
        ),
        "Reverse fed means supplied at the low-voltage side: then the primary voltage is the lower one.",
        _fed_at_its_higher_voltage,
    ),
    *(_denial(denied) for denied in _DENIED),
    Contradiction(
        "totally_enclosed_and_open",
        ("transformer.enclosure", "observations.completely_enclosed_except_vents"),
        "A totally enclosed transformer can't have openings other than its vents.",
        _totally_enclosed_and_open,
    ),
    Contradiction(
        "highest_below_the_rating",
        ("primary.device.rating", "primary.device.highest_rating"),
        "The highest setting, or the largest fuse that the switch takes, can't be below the rating.",
        _highest_below_the_rating,
    ),
    Contradiction(
        "highest_setting_twice",
        (
            "primary.device.rating",
            "primary.device.rating_basis",
            "primary.device.highest_rating",
        ),
        "The rating is entered as the highest setting, but a higher setting is entered too.",
        _highest_setting_twice,
    ),
    Contradiction(
        "fixed_trip_set_higher",
        (
            "primary.device.kind",
            "primary.device.adjustable",
            "primary.device.rating",
            "primary.device.highest_rating",
        ),
        "A trip that can't be adjusted can't be set above its rating.",
        _fixed_trip_set_higher,
    ),
    *(entry for side in ("primary", "secondary") for entry in _settings_of_none(side)),
    Contradiction(
        "fuse_larger_than_its_switch",
        ("secondary.protection.rating", "secondary.protection.highest_rating"),
        "The fuse in the switch can't be larger than the largest fuse that the switch takes.",
        _fuse_larger_than_its_switch,
    ),
    Contradiction(
        "fuses_larger_than_their_switches",
        (
            "secondary.protection.kind",
            "secondary.protection.ratings",
            "secondary.protection.highest_rating",
        ),
        "A fuse in a switch can't be larger than the largest fuse that the switches take.",
        _fuses_larger_than_their_switches,
    ),
    Contradiction(
        "small_fuse_in_a_large_switch",
        ("primary.device.kind", "primary.device.rating", "primary.device.highest_rating"),
        _SMALL_FUSE,
        _small_fuse_in_a_large_switch(
            "primary.device", "kind", attrgetter("primary.device.rating")
        ),
    ),
    Contradiction(
        "secondary_small_fuse_in_a_large_switch",
        (
            "secondary.protection.device_kind",
            "secondary.protection.rating",
            "secondary.protection.highest_rating",
        ),
        _SMALL_FUSE,
        _small_fuse_in_a_large_switch(
            "secondary.protection", "device_kind", attrgetter("secondary.protection.rating")
        ),
    ),
    Contradiction(
        "small_fuses_in_large_switches",
        (
            *("secondary.protection.kind", "secondary.protection.device_kind"),
            *("secondary.protection.ratings", "secondary.protection.highest_rating"),
        ),
        _SMALL_FUSE,
        _small_fuse_in_a_large_switch("secondary.protection", "device_kind", _largest_of_a_group),
    ),
    Contradiction(
        "breaker_that_takes_a_fuse",
        (
            "secondary.protection.device_kind",
            "secondary.protection.rating",
            "secondary.protection.highest_rating",
        ),
        "A breaker takes no fuse. If its trip can be set above the rating entered, the highest setting is its rating.",
        _breaker_that_takes_a_fuse,
    ),
    Contradiction(
        "breakers_that_take_fuses",
        (
            *("secondary.protection.kind", "secondary.protection.device_kind"),
            *("secondary.protection.ratings", "secondary.protection.highest_rating"),
        ),
        "Breakers take no fuses. If a trip can be set above the rating entered, the highest setting is the rating of "
        "that breaker.",
        _breakers_that_take_fuses,
    ),
    Contradiction(
        "rating_of_no_board",
        (
            "secondary.panelboard.present",
            "observations.supplies_switchboard",
            "secondary.panelboard.short_circuit_kiloamperes",
        ),
        "Neither a panelboard nor a switchboard is supplied, yet the short-circuit rating of one is given.",
        _rating_of_no_board,
    ),
    Contradiction(
        "three_phases_from_a_single_phase",
        ("transformer.phases", "primary.supply_system"),
        "A single-phase supply cannot feed a three-phase transformer.",
        _three_phases_from_a_single_phase,
    ),
    Contradiction(
        "dry_by_the_outside_rule",
        ("secondary.rule", "secondary.conductors.wet_location"),
        "The outside rule is for conductors outdoors, and a run outdoors is in a wet location.",
        _dry_by_the_outside_rule,
    ),
    Contradiction(
        "several_mains",
        ("secondary.protection.kind", "secondary.protection.ratings"),
        "A single main has one rating; the list gives several.",
        _several_mains,
    ),
    Contradiction(
        "another_rating_of_the_main",
        ("secondary.protection.rating", "secondary.protection.ratings"),
        "Two different ratings are entered for the main.",
        _another_rating_of_the_main,
    ),
    Contradiction(
        "group_of_one",
        ("secondary.protection.kind", "secondary.protection.ratings"),
        "Grouped devices are two or more, but only one rating is entered. Enter a single device as the main, or enter "
        "the ratings of all.",
        _group_of_one,
    ),
    Contradiction(
        "more_than_two_mains",
        ("secondary.panelboard.fed_by_two_mains", "secondary.protection.ratings"),
        "Two mains have two ratings; the list gives more.",
        _more_than_two_mains,
    ),
    Contradiction(
        "one_main_in_several_enclosures",
        ("secondary.protection.kind", "secondary.protection.one_enclosure"),
        "One main is in one enclosure. Separate switches side by side are grouped devices.",
        _one_main_in_several_enclosures,
    ),
    Contradiction(
        "sets_that_differ_from_themselves",
        (
            *("primary.conductors.sets", "secondary.conductors.sets"),
            "observations.parallel_sets_alike",
        ),
        "One answer says that the parallel sets differ; the others say that each side has a single set.",
        _sets_that_differ_from_themselves,
    ),
    Contradiction(
        "run_that_differs_from_itself",
        ("secondary.conductors.sets", "observations.parallel_sets_alike"),
        "One answer says that the parallel sets of this run differ; the other says that it has a single set.",
        _any_of(_runs_that_differ_from_themselves),
        _runs_that_differ_from_themselves,
        of_all_runs=True,
    ),
    *(
        Contradiction(
            f"{side}_volts_to_neutral",
            (f"transformer.{side}_volts", f"transformer.{side}_system"),
            "This is the line-to-neutral voltage of a common three-phase wye. Enter the line-to-line voltage. If the "
            "nameplate gives this voltage as line to line, enter the current printed there too.",
            _line_to_neutral_entered(side),
        )
        for side in ("primary", "secondary")
    ),
    *(entry for side in ("primary", "secondary") for entry in _of_a_run(side)),
    Contradiction(
        "load_vanishes",
        tuple(
            f"{side}.load.{part}_amperes"
            for side in ("primary", "secondary")
            for part in ("continuous", "noncontinuous")
        ),
        "The primary must carry the secondary load divided by the voltage ratio. The primary load entered is less than that.",
        _load_vanishes,
        _among_loads,
        of_all_runs=True,
    ),
    Contradiction(
        "continuous_load_vanishes",
        ("primary.load.continuous_amperes", "secondary.load.continuous_amperes"),
        "The continuous load of the secondary, divided by primary volts over secondary volts, is continuous on the "
        "primary too. The continuous load entered for the primary is less than that. Check both.",
        _continuous_load_vanishes,
        _among_continuous,
        of_all_runs=True,
    ),
    Contradiction(
        "continuous_on_the_primary_alone",
        ("primary.load.continuous_amperes", "secondary.load.continuous_amperes"),
        "The continuous load entered for the primary is more than four times that of all secondary runs together, "
        "divided by primary volts over secondary volts. They are the same load. Check both.",
        _continuous_on_the_primary_alone,
        _among_continuous,
        of_all_runs=True,
    ),
    Contradiction(
        "electrode_used_and_not_there",
        ("electrode.available", "electrode.used"),
        "The electrode in use is not among the electrodes found at the building.",
        _used_and_not_there,
    ),
    Contradiction(
        "ring_that_is_not_there",
        ("electrode.available", "electrode.ring_size"),
        "No ground ring was found at the building, yet the size of one is given.",
        _ring_that_is_not_there,
    ),
    *(
        Contradiction(
            f"{name}_more_than_places",
            ("transformer.phases", f"readings.{name}"),
            "There are more readings than this transformer has places to take them.",
            _more_readings_than_places(name, of_three, of_one),
        )
        for name, of_three, of_one in (
            ("line_to_line_volts", 3, 1),
            ("line_to_neutral_volts", 3, 2),
            ("line_to_ground_volts", 3, 2),
        )
    ),
    Contradiction(
        "no_place_for_the_neutral",
        ("readings.line_to_line_volts", "readings.line_to_neutral_volts"),
        "No neutral point fits these line-to-line and line-to-neutral voltages. One was misread, or they were not "
        "read at the same time.",
        _no_place_for_the_neutral,
    ),
    Contradiction(
        "neutral_elsewhere",
        (
            "readings.line_to_neutral_volts",
            "readings.line_to_ground_volts",
            "readings.neutral_to_ground_volts",
        ),
        "The line-to-neutral and line-to-ground readings differ by more than the neutral-to-ground reading. One was "
        "misread, or they were not read at the same time.",
        _neutral_elsewhere,
    ),
    Contradiction(
        "no_place_for_the_ground",
        ("readings.line_to_line_volts", "readings.line_to_ground_volts"),
        "No grounded neutral fits these line-to-line and line-to-ground voltages. One was misread, or they were not "
        "read at the same time.",
        _no_place_for_the_ground,
    ),
    Contradiction(
        "lines_at_ground_and_apart",
        ("readings.line_to_line_volts", "readings.line_to_ground_volts"),
        "Lines with a voltage between them can't all be at ground. A reading is wrong, or the metal you measured to "
        "is not bonded to anything.",
        _lines_at_ground_and_apart,
    ),
    Contradiction(
        "high_leg_of_another_line",
        ("readings.line_to_neutral_volts", "readings.line_to_ground_volts"),
        "The high leg is on one line in the line-to-neutral readings and on another in the line-to-ground readings. "
        "Enter both in the order A, B, C.",
        _high_leg_of_another_line,
    ),
    *(
        Contradiction(
            f"high_leg_on_a_to_{place}",
            ("observations.high_leg_on_b", f"readings.line_to_{place}_volts"),
            "In the order A, B, C, the readings put the high leg on A. The other answer says that the high leg is in "
            "its proper place. Enter the readings again in that order, or check again where the orange conductor "
            "lands.",
            _high_leg_on_a(f"line_to_{place}_volts"),
        )
        for place in ("neutral", "ground")
    ),
)


def contradictions(job: Job) -> tuple[Contradiction, ...]:
    """The entries that this job runs into, each with the facts that do; in a further run those of that run.

    Unit: none. Section: none; geometry, counting, and what words mean.
    """
    found = _found_in(job, CONTRADICTIONS)
    for number in range(1, run_count(job)):
        alone = job_of_run(job, number)
        for entry in _found_in(alone, _OF_A_RUN):
            if any(is_of_run(path) for path in entry.paths):
                paths = tuple(path_in_run(path, number) for path in entry.paths)
                why = f"{run_name(number)}: {entry.why}"
                found.append(
                    entry._replace(id=f"run_{number + 1}.{entry.id}", paths=paths, why=why)
                )
    return tuple(found)


def _found_in(job: Job, entries: Sequence[Contradiction]) -> list[Contradiction]:
    return [
        entry._replace(paths=entry.among(job)) if entry.among else entry
        for entry in entries
        if entry.found(job)
    ]


_OF_A_RUN = tuple(
    entry
    for entry in CONTRADICTIONS
    if not entry.of_all_runs and any(is_of_run(path) for path in entry.paths)
)


def doubted_by(found: Collection[Contradiction]) -> frozenset[str]:
    """The paths of all facts that are contradicted. Unit: none. Section: none."""
    return frozenset(path for entry in found for path in entry.paths)


class DoubtfulNameplate(Transformer):
    """A nameplate of which a figure that no job lacks is contradicted: reading that figure raises Missing."""

    # It has no fields of its own whose texts would have to be read from the source.
    model_config = ConfigDict(use_attribute_docstrings=False)

    def __getattr__(self, name: str) -> Any:
        path = f"transformer.{name}"
        if path in NAMEPLATE:
            raise Missing(path)
        raise AttributeError(name)


def without_doubted(job: Job, paths: Collection[str]) -> Job:
    """The job without the facts at these paths: to a rule they are as unknown as what nobody read.

    Unit: none. Section: the contract, what is unknown never passes.
    """
    for path in paths:
        if path not in NAMEPLATE:
            job = with_fact(job, path, None)
    doubted = {path.partition(".")[2] for path in paths if path in NAMEPLATE}
    if not doubted:
        return job
    kept = {name: value for name, value in job.transformer.__dict__.items() if name not in doubted}
    return job.but({"transformer": DoubtfulNameplate.model_construct(**kept)})
