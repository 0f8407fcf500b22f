"""Jobs that the engine tests start from. Sizes and lengths are our own scenario; no standard asks for these very ones."""

from collections.abc import Iterator
from copy import deepcopy
from typing import Any, cast, get_args, get_origin

from pydantic import BaseModel

from engine import Job
from engine.files.refusals import Refusal, job_from_data
from engine.job import Observations
from engine.job.runs import FURTHER, OF_A_FURTHER_RUN, is_of_run, path_in_run
from engine.judging.contradictions.found import contradictions

Data = dict[str, Any]

# What the wizard never leaves out, and what is a setting and no fact.
SETTINGS = ("format", "purpose", "edition")
NEEDED = (
    "transformer.kva",
    "transformer.phases",
    "transformer.primary_volts",
    "transformer.secondary_volts",
)
PRINTED = ("transformer.nameplate_primary_amperes", "transformer.nameplate_secondary_amperes")
WORDS = ("name", "place", "date", "person", "licence", "permit", "permit_date", "notes")


def put(data: Data, path: str, value: Any) -> None:
    """Set the field at a dotted path of plain data; the value None takes it out."""
    *parts, last = path.split(".")
    place: Any = data
    for name in parts:
        # A number names one of a list.
        place = place[int(name)] if name.isdecimal() else place.setdefault(name, {})
    if value is None:
        place.pop(last, None)
    else:
        place[last] = value


def get(data: Data, path: str) -> Any:
    """The field at a dotted path of plain data, or None."""
    value: Any = data
    for name in path.split("."):
        if isinstance(value, list):
            items = cast("list[Any]", value)
            value = items[int(name)] if int(name) < len(items) else None
        else:
            value = cast("Data", value).get(name) if isinstance(value, dict) else None
    return value


def replaced(data: Data, **facts: Any) -> Data:
    """A copy with facts replaced, whatever they contradict; two underscores stand for the dot, None forgets the fact."""
    copy = deepcopy(data)
    named = {name.replace("__", "."): value for name, value in facts.items()}
    if {*named} & {*NEEDED}:
        # Another nameplate prints other currents than the one copied.
        for path in PRINTED:
            put(copy, path, None)
    for path, value in named.items():
        put(copy, path, value)
    return copy


def with_facts(data: Data, **facts: Any) -> Data:
    """As `replaced`; what was copied gives way where a fact that is named contradicts it."""
    copy = replaced(data, **facts)
    named = {name.replace("__", ".") for name in facts}
    try:
        made, _ = job_from_data(copy)
    except Refusal:
        return copy
    for clash in contradictions(made):
        if named & {*clash.paths}:
            for path in {*clash.paths} - named - {*NEEDED}:
                put(copy, path, None)
    return copy


def job(data: Data, **facts: Any) -> Job:
    """The job of plain data with facts replaced, by the road that a file takes."""
    return job_from_data(with_facts(data, **facts))[0]


def nameplate(kva: float, phases: int, primary: float, secondary: float, **facts: Any) -> Data:
    """A job of which only the nameplate is known."""
    data: Data = {
        "format": "platepath.job/1",
        "transformer": {
            "kva": kva,
            "phases": phases,
            "primary_volts": primary,
            "secondary_volts": secondary,
        },
    }
    return with_facts(data, **facts)


def sound() -> Data:
    """75 kVA, 480 V delta to 208Y/120 V, every fact known that goes with the others, nothing wrong in 2023."""
    data = _sound()
    for path, (annotation, *_) in fields():
        # A yes-or-no that is not told below is a no.
        if get(data, path) is None and bool in get_args(annotation):
            put(data, path, False)
    # Only of several first disconnects is it asked whether each has a jumper.
    put(data, "bonding.system_bonding_jumper.in_each_enclosure", None)
    return data


def _sound() -> Data:
    return {
        "format": "platepath.job/1",
        "name": "T-1",
        "place": "Electrical room 104",
        "date": "2026-05-04",
        "person": "A. Reader",
        "licence": "0000",
        "permit": "P-1",
        "permit_date": "2026-04-01",
        "notes": "none",
        "purpose": "replacement",
        "edition": 2023,
        "transformer": {
            "kva": 75,
            "phases": 3,
            "primary_volts": 480,
            "secondary_volts": 208,
            "primary_system": "delta_3_wire",
            "secondary_system": "wye_4_wire",
            "impedance_percent": 4.5,
            "impedance_tested": True,
            "construction": "dry",
            "location": "indoors",
            "autotransformer": False,
            "coordinated_thermal_protection": False,
            "supervised": False,
            "nameplate_primary_amperes": 90.2,
            "nameplate_secondary_amperes": 208.2,
            "temperature_rise_celsius": 150,
            "insulation_class_celsius": 220,
            "k_factor": 4,
            "taps_above_percent": 5,
            "taps_below_percent": 10,
            "enclosure": "ventilated",
            "weight_pounds": 600,
            "width_inches": 28,
            "height_inches": 36,
            "depth_inches": 22,
            "primary_terminal_celsius": 75,
            "secondary_terminal_celsius": 75,
        },
        "primary": {
            "device": {
                "rating": 125,
                "kind": "breaker",
                "adjustable": False,
                "rating_basis": "highest_setting",
                "straight_rated": True,
                "termination_celsius": 75,
                "continuous_percent": 80,
                "instantaneous_multiple": 20,
                "interrupting_kiloamperes": 22,
            },
            "conductors": {
                "size": "1",
                "material": "copper",
                "insulation": "THWN-2",
                "insulation_volts": 600,
                "sets": 1,
                "raceways": 1,
                "length_feet": 60,
                "ambient_celsius": 30,
                "current_carrying": 3,
                "termination_celsius": 75,
                "wet_location": False,
            },
            "equipment_grounding": {
                "kind": "wire",
                "size": "6",
                "material": "copper",
                "insulation": "THWN-2",
            },
            "raceway": {
                "type": "EMT",
                "trade_size": "1-1/2",
                "nipple": False,
                "length_feet": 58,
                "flexible_length_feet": 0,
                "flexibility_needed": False,
                "fittings_listed_for_grounding": True,
            },
            "load": {"continuous_amperes": 90, "noncontinuous_amperes": 12, "power_factor": 0.9},
            "protected_from_damage": True,
            "source_fault_kiloamperes": 20,
            "supply_system": "solidly_grounded_wye",
        },
        "secondary": {
            "rule": "25_ft",
            "protection": {
                "kind": "main_device",
                "rating": 225,
                "ratings": [225],
                "one_enclosure": True,
                "device_kind": "breaker",
                "adjustable": False,
                "termination_celsius": 75,
                "continuous_percent": 80,
                "interrupting_kiloamperes": 10,
            },
            "panelboard": {"present": True, "rating": 225, "short_circuit_kiloamperes": 10},
            "conductors": {
                "size": "4/0",
                "material": "copper",
                "insulation": "THWN-2",
                "insulation_volts": 600,
                "sets": 1,
                "raceways": 1,
                "length_feet": 18,
                "ambient_celsius": 30,
                "current_carrying": 3,
                "termination_celsius": 75,
                "wet_location": False,
            },
            "grounded_conductor": {
                "present": True,
                "size": "4/0",
                "material": "copper",
                "insulation": "THWN-2",
                "sets": 1,
                "current_carrying": False,
            },
            "raceway": {
                "type": "EMT",
                "trade_size": "2-1/2",
                "nipple": False,
                "length_feet": 16,
                "flexible_length_feet": 0,
                "flexibility_needed": False,
                "fittings_listed_for_grounding": True,
            },
            "load": {"continuous_amperes": 120, "noncontinuous_amperes": 50, "power_factor": 0.9},
            "neutral_load_amperes": 90,
            "enclosed_in_raceway": True,
            "protected_from_damage": True,
            "qualified_persons_only": False,
            "first_disconnect_separate": True,
        },
        "bonding": {
            "system_bonding_jumper": {
                "location": "first_disconnect",
                "size": "2",
                "material": "copper",
            },
            "supply_side_bonding_jumper": {
                "kind": "wire",
                "size": "2",
                "material": "copper",
                "insulation": "THWN-2",
            },
            "neutral_bonded_downstream": False,
            "water_pipe_bond": {
                "present": True,
                "size": "2",
                "material": "copper",
                "metal_in_area": True,
            },
            "structural_steel_bond": {
                "present": True,
                "size": "2",
                "material": "copper",
                "metal_in_area": True,
            },
        },
        "electrode": {
            "available": ["building_steel", "water_pipe"],
            "used": "building_steel",
            "sole_connection": True,
            "joined_to_building_system": True,
            "nearest_of_steel_and_water": True,
            "resistance_ohms": 12,
            "conductor": {"size": "2", "material": "copper"},
            "connected_at": "first_disconnect",
            "common_conductor": False,
        },
        "readings": {
            "line_to_line_volts": [209, 208, 207],
            "line_to_neutral_volts": [120, 121, 120],
            "line_to_ground_volts": [120, 121, 120],
            "neutral_to_ground_volts": 0.2,
            "neutral_to_ground_far_volts": 1.4,
            "bonding_conductor_amperes": 0.1,
            "electrode_conductor_amperes": 0.1,
            "neutral_insulation_megohms": 20,
            "winding_insulation_megohms": 900,
            "insulation_test_volts": 1000,
            "bonding_path_ohms": 0.1,
            "rotation_matches_record": True,
            "turns_ratio_deviation_percent": 0.2,
            "turns_ratio_taps_read": True,
        },
        "observations": {
            name: name
            not in (
                *("above_ceiling", "ceiling_moves_air", "reverse_fed"),
                *("tapped_ahead_of_device", "nonlinear_load"),
                *("supplies_switchboard", "outdoors_all_the_way"),
                *("high_handle_beside_equipment_supplied", "wire_leads_joined_and_bonded"),
                # Of systems that this one is not.
                *("ungrounded_marked", "ungrounded_labeled", "grounded_phase_identified"),
                *("high_leg_orange", "high_leg_on_b", "high_leg_labeled"),
            )
            for name, field in Observations.model_fields.items()
            if bool in get_args(field.annotation)
        }
        | {"working_space_depth_inches": 48, "working_space_faces": "grounded"},
        "replacement": {
            "old": {
                "kva": 75,
                "phases": 3,
                "primary_volts": 480,
                "secondary_volts": 208,
                "primary_system": "delta_3_wire",
                "secondary_system": "wye_4_wire",
                "impedance_percent": 4.5,
                "temperature_rise_celsius": 150,
                "k_factor": 4,
                "made_before_2016": False,
                "taps_above_percent": 5,
                "taps_below_percent": 10,
                "enclosure": "ventilated",
                "weight_pounds": 640,
                "width_inches": 28,
                "height_inches": 38,
                "depth_inches": 22,
                "primary_terminal_celsius": 75,
                "secondary_terminal_celsius": 75,
            },
            "taps_alike_on_all_phases": True,
            "frequency_matches": True,
            "bonds_refitted": True,
            "isolated_both_sides": True,
        },
    }


def flexible_sections() -> Data:
    """The sound job with a whip in each run: every fact known, nothing wrong in 2023."""
    return with_facts(
        sound(),
        primary__raceway__flexible_length_feet=3,
        primary__raceway__flexible_type="LFMC",
        primary__raceway__flexible_trade_size="1-1/2",
        secondary__raceway__flexible_length_feet=3,
        secondary__raceway__flexible_type="FMC",
        secondary__raceway__flexible_trade_size="2-1/2",
    )


def single_phase() -> Data:
    """25 kVA, 480 V to 240/120 V, every fact known, nothing wrong in 2023."""
    return with_facts(
        sound(),
        transformer__kva=25,
        transformer__phases=1,
        transformer__secondary_volts=240,
        transformer__primary_system="single_phase_2_wire",
        transformer__secondary_system="single_phase_3_wire",
        transformer__impedance_percent=2.5,
        transformer__nameplate_primary_amperes=52.1,
        transformer__nameplate_secondary_amperes=104.2,
        primary__device__rating=70,
        primary__conductors__size="4",
        primary__conductors__current_carrying=2,
        primary__equipment_grounding__size="8",
        primary__raceway__trade_size="1-1/4",
        primary__load__continuous_amperes=41,
        primary__load__noncontinuous_amperes=5,
        secondary__protection__rating=125,
        secondary__protection__ratings=[125],
        secondary__conductors__size="1",
        secondary__conductors__current_carrying=2,
        secondary__grounded_conductor__size="1",
        secondary__raceway__trade_size="2",
        secondary__load__continuous_amperes=80,
        secondary__load__noncontinuous_amperes=15,
        secondary__neutral_load_amperes=30,
        bonding__system_bonding_jumper__size="6",
        bonding__supply_side_bonding_jumper__size="6",
        bonding__water_pipe_bond__size="6",
        bonding__structural_steel_bond__size="6",
        electrode__conductor__size="6",
        readings__line_to_line_volts=[241],
        readings__line_to_neutral_volts=[120, 121],
        readings__line_to_ground_volts=[120, 121],
        replacement__old__kva=25,
        replacement__old__phases=1,
        replacement__old__secondary_volts=240,
        replacement__old__primary_system="single_phase_2_wire",
        replacement__old__secondary_system="single_phase_3_wire",
        replacement__old__impedance_percent=2.5,
    )


def _delta(system: str) -> Data:
    return with_facts(
        sound(),
        transformer__secondary_volts=240,
        transformer__secondary_system=system,
        transformer__nameplate_primary_amperes=90.2,
        transformer__nameplate_secondary_amperes=180.4,
        readings__line_to_line_volts=[241, 240, 239],
        replacement__old__secondary_volts=240,
        replacement__old__secondary_system=system,
    )


def corner_grounded() -> Data:
    """75 kVA, 480 V delta to 240 V corner-grounded delta, every fact known."""
    return with_facts(
        _delta("delta_corner_grounded"),
        readings__line_to_ground_volts=[240, 0, 240],
        observations__grounded_phase_identified=True,
    )


def ungrounded_delta() -> Data:
    """75 kVA, 480 V delta to 240 V ungrounded delta, every fact known."""
    data = with_facts(
        _delta("delta_3_wire_ungrounded"),
        bonding__system_bonding_jumper__location="none",
        bonding__system_bonding_jumper__size=None,
        bonding__system_bonding_jumper__material=None,
        observations__ungrounded_marked=True,
        observations__ungrounded_labeled=True,
    )
    data["secondary"]["grounded_conductor"] = {"present": False}
    return data


def high_leg() -> Data:
    """75 kVA, 480 V delta to 240 V high-leg delta, every fact known."""
    return with_facts(
        _delta("delta_high_leg"),
        observations__high_leg_orange=True,
        observations__high_leg_on_b=True,
        observations__high_leg_labeled=True,
        readings__line_to_neutral_volts=[120, 208, 120],
        readings__line_to_ground_volts=[120, 208, 120],
    )


def parallel() -> Data:
    """500 kVA, 480 V to 208Y/120 V, four sets of 500 kcmil in four raceways, every fact known, nothing wrong in 2023."""
    return with_facts(
        sound(),
        transformer__kva=500,
        transformer__nameplate_primary_amperes=601.4,
        transformer__nameplate_secondary_amperes=1387.9,
        transformer__impedance_percent=5.5,
        primary__device__rating=800,
        primary__device__interrupting_kiloamperes=65,
        primary__conductors__size="500",
        primary__conductors__sets=2,
        primary__conductors__raceways=2,
        primary__equipment_grounding__size="1/0",
        primary__raceway__trade_size="4",
        primary__load__continuous_amperes=400,
        primary__load__noncontinuous_amperes=50,
        primary__source_fault_kiloamperes=50,
        secondary__protection__rating=1500,
        secondary__protection__ratings=[1500],
        # 1500 A is no standard rating (240.6(A)): the setting of a trip of 1600 A, behind a sealed cover
        secondary__protection__adjustable=True,
        secondary__protection__rating_basis="setting_restricted",
        secondary__protection__highest_rating=1600,
        secondary__protection__interrupting_kiloamperes=65,
        secondary__protection__arc_energy_reduction=True,
        secondary__panelboard__rating=1600,
        secondary__panelboard__short_circuit_kiloamperes=65,
        secondary__conductors__size="500",
        secondary__conductors__sets=4,
        secondary__conductors__raceways=4,
        secondary__grounded_conductor__size="500",
        secondary__grounded_conductor__sets=4,
        secondary__raceway__trade_size="4",
        secondary__load__continuous_amperes=900,
        secondary__load__noncontinuous_amperes=100,
        secondary__neutral_load_amperes=600,
        bonding__system_bonding_jumper__size="250",
        bonding__supply_side_bonding_jumper__size="1/0",
        bonding__water_pipe_bond__size="3/0",
        bonding__structural_steel_bond__size="3/0",
        electrode__conductor__size="3/0",
        readings__bonding_path_ohms=0.01,
        replacement__old__kva=500,
        replacement__old__impedance_percent=5.5,
    )


def two_runs() -> Data:
    """75 kVA, 480 V delta to 208Y/120 V, two panels of 100 A by runs of their own, nothing wrong in 2023."""
    data = with_facts(
        sound(),
        secondary__protection__rating=100,
        secondary__protection__ratings=[100],
        secondary__panelboard__rating=125,
        secondary__conductors__size="3",
        secondary__grounded_conductor__size="3",
        secondary__raceway__trade_size="1-1/4",
        secondary__load__continuous_amperes=60,
        secondary__load__noncontinuous_amperes=20,
        secondary__neutral_load_amperes=45,
        bonding__system_bonding_jumper__location="source",
        bonding__system_bonding_jumper__size="6",
        bonding__supply_side_bonding_jumper__size="8",
        bonding__water_pipe_bond__size="6",
        bonding__structural_steel_bond__size="6",
        electrode__conductor__size="6",
        electrode__connected_at="source",
    )
    data["secondary"]["further_runs"] = [
        run_of(data) | {"in_first_enclosure": False, "beside_first_run": True}
    ]
    return data


def run_of(data: Data) -> Data:
    """A further run of which the same is known as of the first."""
    run: Data = {}
    for path in RUN_FACTS:
        put(run, path_in_run(path, 1).removeprefix(f"{FURTHER}.0."), deepcopy(get(data, path)))
    return run


BUILDERS = {
    "sound": sound,
    "single phase": single_phase,
    "corner-grounded delta": corner_grounded,
    "ungrounded delta": ungrounded_delta,
    "high-leg delta": high_leg,
    "parallel sets": parallel,
    "flexible sections": flexible_sections,
}


def fields(model: type[BaseModel] = Job, prefix: str = "") -> Iterator[tuple[str, Any]]:
    """Every leaf of the job model: dotted path and annotation, so that a new field is met without being listed."""
    for name, field in model.model_fields.items():
        path = f"{prefix}{name}"
        part = _part(field.annotation)
        if part is not None:
            yield from fields(part, f"{path}.")
        else:
            yield path, (field.annotation, *field.metadata)


def _part(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    if get_origin(annotation) is not None and hasattr(cast("object", annotation), "__metadata__"):
        return _part(get_args(annotation)[0])
    return None


FACTS = tuple(
    path
    for path, _ in fields()
    if path not in (*SETTINGS, *NEEDED, *WORDS, FURTHER) and not path.startswith("provenance")
)
RUN_FACTS = tuple(path for path in FACTS if is_of_run(path))


def further_facts(data: Data) -> list[str]:
    """Paths of the facts that are known of the further runs of a job."""
    runs = range(len(get(data, FURTHER) or []))
    paths = [path_in_run(path, number + 1) for number in runs for path in RUN_FACTS]
    paths += [f"{FURTHER}.{number}.{name}" for number in runs for name in OF_A_FURTHER_RUN]
    return [path for path in paths if get(data, path) is not None]


def known(data: Data) -> list[str]:
    """Paths of the facts that a job holds, settings and the transformer's four figures left out."""
    return [path for path in FACTS if get(data, path) is not None]
