"""Ampacity of the conductors of a side, and the smallest size that would do."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

from engine.code import MATERIALS, SIZES, Kind, SideName, size_index
from engine.code.limits import HIGHEST_TERMINAL_COLUMN, must_ground_by_voltage
from engine.derived import currents
from engine.derived.derived import Alternative, Derived, NotInTables
from engine.job import Conductors, Job, Load, Raceway
from engine.job.site import Site, once
from engine.physics.ampacity import ampacity_as_installed
from engine.physics.quantities import TOLERANCE, amperes, number, size


@dataclass(frozen=True)
class Side:
    """Where to read the facts of one side of the transformer."""

    name: SideName
    conductors: Callable[[Job], Conductors]
    raceway: Callable[[Job], Raceway]
    load: Callable[[Job], Load]
    device_termination: Callable[[Job], int | None]
    transformer_terminal: Callable[[Job], int | None]


PRIMARY = Side(
    "primary",
    lambda job: job.primary.conductors,
    lambda job: job.primary.raceway,
    lambda job: job.primary.load,
    lambda job: job.primary.device.termination_celsius,
    lambda job: job.transformer.primary_terminal_celsius,
)
SECONDARY = Side(
    "secondary",
    lambda job: job.secondary.conductors,
    lambda job: job.secondary.raceway,
    lambda job: job.secondary.load,
    lambda job: job.secondary.protection.termination_celsius,
    lambda job: job.transformer.secondary_terminal_celsius,
)

# The column of an insulation where it may not be used at all: no ampacity is taken.
NOT_FOR_HERE = 0
LONGER_THAN_ANY_NIPPLE_RUN = 10.0
# Longest primary and secondary of a tap that supplies a transformer [ft] (240.21(B)(3)).
TAP_FEET = 25.0
# Secondaries whose grounded conductor carries the whole line current: a grounded phase, the return of two wires.
CARRY_LINE_CURRENT = ("delta_corner_grounded", "single_phase_2_wire")


def ungrounded_count(site: Site) -> int:
    """Ungrounded conductors of the secondary in one set.

    Unit: conductors. Section: none; the secondary system on the nameplate. Raises Missing.
    """
    system = site.need(lambda job: job.transformer.secondary_system)
    if system in ("wye_4_wire", "wye_3_wire", "delta_high_leg", "delta_3_wire_ungrounded"):
        return 3
    if system in ("delta_corner_grounded", "single_phase_3_wire"):
        return 2
    return 2 if is_grounded(site) is False else 1


def has_grounded_conductor(site: Site) -> bool:
    """Whether a grounded conductor lies in the secondary run.

    A neutral that is not run is not there; a circuit that cannot close without it has it whatever was not found, and
    that it is missing is a conflict of its own. Unit: none. Section: 250.30(A)(3). Raises Missing.
    """
    if not is_grounded(site):
        return False
    system = site.need(lambda job: job.transformer.secondary_system)
    if system == "delta_3_wire_ungrounded":
        return False
    if system in CARRY_LINE_CURRENT:
        return True
    if site.job.secondary.grounded_conductor.size is not None:
        return True
    return site.need(lambda job: job.secondary.grounded_conductor.present)


def is_without_neutral(site: Site) -> bool:
    """Whether it is known that no grounded conductor is run. Unit: none. Section: none."""
    neutral = site.job.secondary.grounded_conductor
    return neutral.present is False and neutral.size is None


def is_grounded(site: Site) -> bool:
    """Whether the secondary is, or must be, a grounded system.

    Unit: none. Section: 250.20(B). Raises Missing where neither the system nor the jumper tells.
    """
    system = site.need(lambda job: job.transformer.secondary_system)
    if system == "delta_corner_grounded" or must_be_grounded(site):
        return True
    if system == "delta_3_wire_ungrounded":
        return False
    return site.need(lambda job: job.bonding.system_bonding_jumper.location) != "none"


def fed_on_low_voltage_wye(site: Site) -> bool:
    """Whether a wye is fed and a delta of higher voltage gives out: a step-down unit turned around.

    Unit: V. Section: 450.11(B). Raises Missing where the connections could make it one.
    """
    transformer = site.job.transformer
    if transformer.phases == 1 or transformer.secondary_volts <= transformer.primary_volts:
        return False
    if not site.need(lambda job: job.transformer.secondary_system).startswith("delta"):
        return False
    return site.need(lambda job: job.transformer.primary_system).startswith("wye")


def must_be_grounded(site: Site) -> bool:
    """Whether the code asks for the secondary to be grounded.

    Unit: V to ground against 150 V. Section: 250.20(B)(1) to (3): at most 150 V to ground when grounded, a wye whose
    neutral is a circuit conductor, a delta with a midpoint neutral. Raises Missing.
    """
    system = site.need(lambda job: job.transformer.secondary_system)
    plate = site.job.transformer
    if must_ground_by_voltage(system, plate.secondary_volts, plate.primary_volts):
        return True
    # Items (2) and (3): a wye above 150 V to ground, and a delta with a tap, leave the choice where the neutral is no
    # circuit conductor.
    if system in ("wye_4_wire", "delta_high_leg"):
        place = site.job.bonding.system_bonding_jumper.location
        if place not in (None, "none") or any(site.in_each_run(_grounded_is_run)):
            return True
        # Without a neutral the jumper alone tells, so that a place that is not known tells nothing.
        return site.need(lambda job: job.bonding.system_bonding_jumper.location) != "none"
    # Items (2) and (3) name three-phase systems alone. A midpoint that is run is taken for a neutral that must be
    # grounded all the same, which is the strict side; one that is not used leaves the choice.
    return system == "single_phase_3_wire" and any(site.in_each_run(_grounded_is_run))


def _grounded_is_run(site: Site) -> bool:
    return site.job.secondary.grounded_conductor.size is not None or site.need(
        lambda job: job.secondary.grounded_conductor.present
    )


@once
def primary_termination(site: Site) -> Derived:
    """Temperature column of the primary terminals [°C]. Section: 110.14(C). Raises Missing."""
    return _termination(site, PRIMARY)


@once
def secondary_termination(site: Site) -> Derived:
    """Temperature column of the secondary terminals [°C]. Section: 110.14(C). Raises Missing."""
    return _termination(site, SECONDARY)


def _termination(site: Site, side: Side) -> Derived:
    """The lowest temperature of the terminals at both ends [°C]. Section: 110.14(C). Raises Missing."""
    device = site.need(side.device_termination)
    other = site.need(lambda job: side.conductors(job).termination_celsius)
    # The lugs of a new transformer are not those that the kept run was judged by. On other visits only the run's own
    # terminals are asked for, and a lower mark of the transformer contradicts them (engine.judging.contradictions).
    if site.job.purpose == "replacement":
        own = site.need(side.transformer_terminal)
    else:
        own = side.transformer_terminal(site.job)
    # A lower mark alone is worth a word: the run's own terminals take in the transformer's.
    marks = [device, other, *([own] if own is not None and own < other else [])]
    column = min(*marks, HIGHEST_TERMINAL_COLUMN)
    *most, last = (f"{mark} °C" for mark in marks)
    words = f"Terminals {', '.join(most)} and {last}: the {column} °C column"
    if min(marks) > HIGHEST_TERMINAL_COLUMN:
        words += "; a 90 °C mark on a lug does not open the 90 °C column to the circuit"
    return Derived(float(column), "°C", "terminal_temperature", (words,))


def insulation_column(site: Site, side: Side) -> tuple[int, str]:
    """Temperature column of the insulation [°C] and its type letters. Section: Table 310.4(1). Raises Missing."""
    insulation = site.need(lambda job: side.conductors(job).insulation)
    return column_of(site, side, insulation), insulation


def column_of(site: Site, side: Side, insulation: str) -> int:
    """Temperature column [°C] of an insulation on one side; 0 where it may not be used. Section: Table 310.4(1).

    Raises Missing where wet and dry differ and nobody said whether it is wet.
    """
    dry, wet = (
        site.code.insulation_column(insulation, False),
        site.code.insulation_column(insulation, True),
    )
    if dry == wet:
        return dry or NOT_FOR_HERE
    return (wet if is_wet(site, side) else dry) or NOT_FOR_HERE


def is_wet(site: Site, side: Side) -> bool:
    """Whether the run of a side is wet inside: a raceway outdoors is, whoever calls it dry.

    Unit: none. Section: 300.9. Raises Missing.
    """
    # That a run is dry says that no part of it is outdoors: what says otherwise contradicts it (engine.judging.contradictions).
    outdoors = site.job.transformer.location == "outdoors"
    by_rule = side is SECONDARY and site.job.secondary.rule == "outside"
    on_roof = bool(side.raceway(site.job).on_sunny_rooftop)
    return (
        outdoors or by_rule or on_roof or site.need(lambda job: side.conductors(job).wet_location)
    )


def known_length(site: Site, side: Side) -> float | None:
    """Length of the conductors of a side [ft], never less than their raceway's where that is known; None if not known.

    Section: 240.21(B)(3), (C).
    """
    length = side.conductors(site.job).length_feet
    return None if length is None else max(length, side.raceway(site.job).length_feet or 0.0)


def longest(site: Site, side: Side, limit: float) -> float:
    """Length of the conductors of a side [ft], never less than the raceway that they fill, held against a limit [ft].

    Section: 240.21(B)(3), (C)(2), (C)(3), (C)(6). Raises Missing: within the limit neither length may be unknown.
    """
    length = site.need(lambda job: side.conductors(job).length_feet)
    in_the_open = side is SECONDARY and site.job.secondary.enclosed_in_raceway is False
    if length <= limit * (1 + TOLERANCE) and not in_the_open:
        site.need(lambda job: side.raceway(job).length_feet)
    return known_length(site, side) or length


def is_nipple(site: Site, side: Side) -> bool:
    """Whether the raceway is a nipple; one known to be longer than 24 in. [ft] is none.

    Section: Chapter 9, Table 1, note 4. Raises Missing.
    """
    raceway, run = side.raceway(site.job), side.conductors(site.job)
    # Taking it for no nipple is the strict side; between enclosures a nipple joins, conductors are shorter than this.
    if raceway.nipple is None and (
        (raceway.length_feet or 0) > site.code.nipple_maximum_inches / 12
        or (run.length_feet or 0) >= LONGER_THAN_ANY_NIPPLE_RUN
    ):
        return False
    return site.need(lambda job: side.raceway(job).nipple)


def sets_in_one_raceway(site: Site, side: Side) -> int:
    """Parallel sets that share one raceway. Unit: sets. Section: 310.15(C)(1). Raises Missing: raceways not known."""
    sets = site.need(lambda job: side.conductors(job).sets)
    if sets == 1:
        return 1
    return -(-sets // site.need(lambda job: side.conductors(job).raceways))


def grounded_in_one_raceway(site: Site) -> int:
    """Grounded conductors of the secondary in one raceway; the fullest counts where they are not alike.

    Unit: conductors. Section: 310.15(C)(1), 310.10(G). Raises Missing.
    """
    if site.need(lambda job: job.secondary.conductors.sets) == 1:
        return site.job.secondary.grounded_conductor.sets or 1
    grounded = site.need(lambda job: job.secondary.grounded_conductor.sets)
    return -(-grounded // site.need(lambda job: job.secondary.conductors.raceways))


def current_carrying(site: Site, side: Side) -> int:
    """Current-carrying conductors in one raceway: those counted, and never fewer than the circuit itself puts there.

    Unit: conductors. Section: 310.15(C)(1) and 310.15(E). Raises Missing.
    """
    counted = site.need(lambda job: side.conductors(job).current_carrying)
    sets = sets_in_one_raceway(site, side)
    circuit = (3 if site.job.transformer.phases == 3 else 2) * sets
    if side is SECONDARY:
        circuit += _grounded_beyond(site, sets, counted - circuit)
    return max(counted, circuit)


def _grounded_beyond(site: Site, sets: int, room: int) -> int:
    """Grounded conductors in one raceway that count beside the lines of its sets, doubled ones as often as they lie there.

    `room`: how many of them the number entered already takes in. Unit: conductors. Section: 310.15(E). Raises Missing.
    """
    known = site.job.secondary.grounded_conductor.sets
    in_one = grounded_in_one_raceway(site) if known is not None or sets == 1 else None
    if in_one is not None and in_one <= max(room, 0 if site.job.transformer.phases == 3 else sets):
        return 0
    system = site.need(lambda job: job.transformer.secondary_system)
    if system in CARRY_LINE_CURRENT:
        # One to a set is among the lines already.
        return max(0, grounded_in_one_raceway(site) - sets) if has_grounded_conductor(site) else 0
    if (
        system in ("wye_4_wire", "delta_high_leg")
        and not is_without_neutral(site)
        and site.need(lambda job: job.secondary.grounded_conductor.current_carrying)
    ):
        # A raceway that lacks its own is condemned elsewhere, and gains nothing here.
        return max(sets, grounded_in_one_raceway(site))
    return 0


class Conditions(NamedTuple):
    """The conditions of use of one side's conductors, all that the ampacity depends on but the size."""

    material: str
    column: int
    insulation: str
    termination: int
    ambient: float
    ambient_factor: float
    current_carrying: int
    adjustment_factor: float
    nipple: bool
    rooftop: float = 0.0


class Heat(NamedTuple):
    """Highest temperature around conductors [°C], the factor for it, and what of it the sun on a roof adds [°C]."""

    ambient: float
    factor: float
    rooftop: float


def heat_of(site: Site, side: Side, insulation: str, column: int) -> Heat:
    """The heat around the conductors of a side that have this insulation and its column [°C].

    Section: 310.15(B), 310.15(B)(2) (310.15(B)(3)(c) to 2017). Raises Missing.
    """
    ambient = site.need(lambda job: side.conductors(job).ambient_celsius)
    rooftop = _rooftop_adder(site, side, insulation)
    ambient += rooftop
    factor = site.code.ambient_factor(ambient, column) if column != NOT_FOR_HERE else None
    return Heat(ambient, factor or 0.0, rooftop)


def _rooftop_adder(site: Site, side: Side, insulation: str) -> float:
    """What direct sun on a roof adds to the ambient temperature of a run [°C]; a run that is dry lies in no sun.

    A height above a roof that somebody wrote down tells of a roof, whatever was said of the run.

    Section: 310.15(B)(2), 310.15(B)(3)(c) to 2017, where XHHW-2 is excepted. Raises Missing.
    """
    raceway = side.raceway(site.job)
    tells_of_a_roof = raceway.on_sunny_rooftop or raceway.height_above_roof_inches is not None
    if not tells_of_a_roof and not is_wet(site, side):
        return 0.0
    if not site.need(lambda job: side.raceway(job).on_sunny_rooftop):
        return 0.0
    # Excepted since 2014, 310.15(B)(3)(c) then (Mike Holt forum: NECA analysis of the 2014 exception; thread 111616).
    if insulation == "XHHW-2":
        return 0.0
    return site.code.rooftop_adder(
        site.need(lambda job: side.raceway(job).height_above_roof_inches)
    )


def _conditions(site: Site, side: Side) -> Conditions:
    """Raises Missing: material, insulation, termination, ambient, count or nipple not known."""
    material = site.need(lambda job: side.conductors(job).material)
    column, insulation = insulation_column(site, side)
    termination = primary_termination(site) if side is PRIMARY else secondary_termination(site)
    heat = heat_of(site, side, insulation, column)
    count = current_carrying(site, side)
    adjustment = site.code.adjustment_factor(count)
    nipple = adjustment < 1 and is_nipple(site, side)
    return Conditions(
        material,
        column,
        insulation,
        int(termination.amount),
        heat.ambient,
        heat.factor,
        count,
        1.0 if nipple else adjustment,
        nipple,
        heat.rooftop,
    )


@once
def primary_conditions(site: Site) -> Conditions:
    """Conditions of use of the primary conductors [°C]. Section: 310.15, 110.14(C). Raises Missing."""
    return _conditions(site, PRIMARY)


@once
def secondary_conditions(site: Site) -> Conditions:
    """Conditions of use of the secondary conductors [°C]. Section: 310.15, 110.14(C). Raises Missing."""
    return _conditions(site, SECONDARY)


def conditions(site: Site, side: Side) -> Conditions:
    """The conditions of use of a side's conductors [°C]. Section: 310.15, 110.14(C). Raises Missing."""
    return primary_conditions(site) if side is PRIMARY else secondary_conditions(site)


def ampacity_of(site: Site, use: Conditions, size_: str, sets: int) -> float:
    """Ampacity [A] of a size under conditions of use; 0 where the table has no such conductor.

    Section: Table 310.16, 310.15(B), 310.15(C)(1), 110.14(C).
    """
    if use.column == NOT_FOR_HERE:
        return 0.0
    table = site.code.ampacity(size_, use.material, use.column)
    at_terminals = site.code.ampacity(size_, use.material, use.termination)
    if table is None or at_terminals is None:
        return 0.0
    return ampacity_as_installed(
        table_amperes=table,
        ambient_factor=use.ambient_factor,
        adjustment_factor=use.adjustment_factor,
        termination_amperes=at_terminals,
        sets=sets,
    )


def ampacity_steps(site: Site, use: Conditions, size_: str, sets: int) -> tuple[str, ...]:
    """The arithmetic of `ampacity_of` in words. Unit: A. Section: as there."""
    if use.column == NOT_FOR_HERE:
        return (
            f"{use.insulation} may not be used in a wet location ({site.section('insulation_temperature')}): 0 A",
        )
    table = site.code.ampacity(size_, use.material, use.column)
    at_terminals = site.code.ampacity(size_, use.material, use.termination)
    if table is None or at_terminals is None:
        return (
            f"{site.section('ampacity_table')} has no {size(size_, use.material)}: no ampacity is counted.",
        )
    derated = table * use.ambient_factor * use.adjustment_factor
    steps = [
        f"{size(size_, use.material)} {use.insulation}: {amperes(table)} in the {use.column} °C column of "
        f"{site.section('ampacity_table')}",
        f"× {number(use.ambient_factor)} for {number(use.ambient)} °C ambient ({site.section('ambient_correction')})",
    ]
    if use.rooftop:
        steps.append(
            f"of which {number(use.rooftop)} °C by direct sun on the roof ({site.section('rooftop_adder')})"
        )
    if use.nipple:
        steps.append(f"no adjustment in a nipple ({site.section('raceway_fill_nipple')})")
    else:
        steps.append(
            f"× {number(use.adjustment_factor)} for {use.current_carrying} current-carrying conductors "
            f"({site.section('conductor_count_adjustment')}) = {amperes(derated)}"
        )
    steps.append(
        f"Terminals: {amperes(at_terminals)} in the {use.termination} °C column "
        f"({site.section('terminal_temperature_general')}); the lower counts: {amperes(min(derated, at_terminals))}"
    )
    if sets > 1:
        steps.append(f"× {sets} in parallel = {amperes(min(derated, at_terminals) * sets)}")
    return tuple(steps)


def ampacity_before_correction(site: Site, use: Conditions, size_: str, sets: int) -> float:
    """Ampacity [A] before correction and adjustment, at the terminals or the insulation, whichever is the lower column.

    0 where the table has no such conductor. Section: 215.2(A)(1), 110.14(C).
    """
    if use.column == NOT_FOR_HERE:
        return 0.0
    return (site.code.ampacity(size_, use.material, min(use.column, use.termination)) or 0.0) * sets


def _ampacity(site: Site, side: Side) -> Derived:
    size_ = site.need(lambda job: side.conductors(job).size)
    use = conditions(site, side)
    sets = site.need(lambda job: side.conductors(job).sets)
    value = ampacity_of(site, use, size_, sets)
    return Derived(value, "A", "ampacity_table", ampacity_steps(site, use, size_, sets))


def largest_device(site: Site, ampacity: float, size_: str, material: str, sets: int) -> float:
    """Ampacity [A], held to the limit of small conductors. Section: 240.4(D)."""
    small = site.code.small_conductor_limit(size_, material)
    return ampacity if small is None else min(ampacity, small * sets)


@once
def secondary_protectable_ampacity(site: Site) -> Derived:
    """Largest device [A] that the secondary conductors allow: their ampacity, less where they are small conductors.

    Section: 240.4(D), which lets only 240.4(E) and (G) pass, not transformer secondary conductors. Raises Missing.
    """
    ampacity = secondary_conductor_ampacity(site)
    limit = largest_device(
        site,
        ampacity.amount,
        site.need(lambda job: job.secondary.conductors.size),
        site.need(lambda job: job.secondary.conductors.material),
        site.need(lambda job: job.secondary.conductors.sets),
    )
    if limit == ampacity.amount:
        return ampacity
    step = f"Small conductors: protected at no more than {amperes(limit)} ({site.section('small_conductors')})"
    return Derived(limit, "A", "small_conductors", (*ampacity.steps, step))


@once
def primary_conductor_ampacity(site: Site) -> Derived:
    """Ampacity of the primary conductors as installed [A]. Section: Table 310.16, 310.15, 110.14(C).

    Raises Missing; NotInTables above 1000 V.
    """
    within_1000_volts(site)
    return _ampacity(site, PRIMARY)


def within_1000_volts(site: Site) -> None:
    """Raises NotInTables where the primary conductors are above 1000 V, which no table here reaches. Section: 310.

    Unit: V. Their ampacity, grounding and raceway are then outside this tool.
    """
    if currents.is_over_1000_volts(site):
        raise NotInTables("conductors above 1000 V")


@once
def secondary_conductor_ampacity(site: Site) -> Derived:
    """Ampacity of the secondary conductors as installed [A]. Section: Table 310.16, 310.15, 110.14(C). Raises Missing."""
    return _ampacity(site, SECONDARY)


def _smallest(
    site: Site, use: Conditions, sets: int, enough: Callable[[str, float], bool]
) -> str | None:
    """Smallest size that is enough; a larger size always is when a smaller one is, so halving finds it."""
    low = size_index(site.code.parallel_minimum_size) if sets > 1 else 0
    high = len(SIZES)
    while low < high:
        middle = (low + high) // 2
        if enough(SIZES[middle], ampacity_of(site, use, SIZES[middle], sets)):
            high = middle
        else:
            low = middle + 1
    return SIZES[low] if low < len(SIZES) else None


def reaches(found: float, wanted: float) -> bool:
    """Whether an ampacity reaches what is wanted, rounding aside. Unit: A, both. Section: none."""
    return found >= wanted * (1 - TOLERANCE)


def smallest_conductor(
    site: Site,
    side: Side,
    enough: Callable[[Site, Conditions, int], Callable[[str, float], bool]],
    reason: tuple[str, ...],
) -> Derived | None:
    """The smallest size that is enough, with the same at other metals and terminals; None when no size is.

    Unit: AWG or kcmil. Section: Table 310.16, 110.14(C). Raises Missing.
    """
    use = conditions(site, side)
    sets = site.need(lambda job: side.conductors(job).sets)
    chosen = _smallest(site, use, sets, enough(site, use, sets))
    if chosen is None:
        return None
    prefix = f"{sets} × " if sets > 1 else ""
    alternatives: list[Alternative] = []
    for material in MATERIALS:
        for termination in (60, HIGHEST_TERMINAL_COLUMN):
            other = use._replace(material=material, termination=termination)
            same = _smallest(site, other, sets, enough(site, other, sets))
            shown = f"{prefix}{size(same)}" if same else "none large enough"
            alternatives.append(Alternative(material, f"{termination} °C terminals", shown))
    steps = [*reason, *ampacity_steps(site, use, chosen, sets)]
    steps.append(f"Smallest size: {prefix}{size(chosen, use.material)}")
    steps += [f"In {each.label}: {each.shown}." for each in alternatives]
    return Derived(
        chosen,
        "AWG or kcmil",
        "ampacity_table",
        tuple(steps),
        size=chosen,
        alternatives=tuple(alternatives),
    )


def carries_load(
    site: Site, use: Conditions, size_: str, sets: int, *, with_continuous: float, whole: float
) -> bool:
    """Both halves of Section 215.2(A)(1): 125 % at the terminals before correction, the whole load after it. Unit: A."""
    if use.column == NOT_FOR_HERE:
        return False
    at_terminals = site.code.ampacity(size_, use.material, min(use.column, use.termination))
    if at_terminals is None:
        return False
    return reaches(at_terminals * sets, with_continuous) and reaches(
        ampacity_of(site, use, size_, sets), whole
    )


def protected_by(
    site: Site, *, rating: float, ampacity: float, size_: str, material: str, sets: int, kind: Kind
) -> bool:
    """Whether a device protects a conductor: at its ampacity, or by the next standard rating up to 800 A.

    Unit: A. Section: 240.4(B), (C) and (D).
    """
    small = site.code.small_conductor_limit(size_, material)
    if small is not None and not rating <= small * sets * (1 + TOLERANCE):
        return False
    if reaches(ampacity, rating):
        return True
    if rating > 800 * (1 + TOLERANCE) or ampacity <= 0:
        return False
    standard = site.code.next_standard_rating(ampacity, kind)
    return standard is not None and rating <= standard * (1 + TOLERANCE)


def primary_is_tap(site: Site) -> bool:
    """Whether the primary conductors are known to be a feeder tap that supplies the transformer, not over 25 ft.

    Unit: ft. Section: 240.21(B)(3). What is not known to be one is none, which is the strict side.
    """
    length = known_length(site, PRIMARY)
    return (
        site.job.secondary.rule == "feeder_tap_25_ft"
        and length is not None
        and length <= TAP_FEET * (1 + TOLERANCE)
    )


def primary_enough(
    site: Site, use: Conditions, sets: int, load: tuple[float, float] | None
) -> Callable[[str, float], bool]:
    """Tells whether a primary size of an ampacity [A] carries a load and is protected by the device, or is a lawful tap.

    `load`: what must be carried before and after correction [A], or None where protection alone counts.
    Section: 215.2(A)(1), 240.4, 240.21(B)(3). Raises Missing: device not known.
    """
    rating = currents.primary_device_rating(site)
    kind = site.job.primary.device.kind or "breaker"
    tap = primary_is_tap(site)

    def enough(size_: str, ampacity: float) -> bool:
        if load is not None and not carries_load(
            site, use, size_, sets, with_continuous=load[0], whole=load[1]
        ):
            return False
        if tap and reaches(ampacity, rating / 3):
            return True
        return protected_by(
            site,
            rating=rating,
            ampacity=ampacity,
            size_=size_,
            material=use.material,
            sets=sets,
            kind=kind,
        )

    return enough


def primary_load_to_carry(site: Site, percent: int) -> tuple[float, float]:
    """The load before and after correction [A], with a share of the continuous one [%], held to the device.

    Section: 215.2(A)(1). Raises Missing.
    """
    rating = currents.primary_device_rating(site)
    continuous = site.need(lambda job: job.primary.load.continuous_amperes)
    rest = site.need(lambda job: job.primary.load.noncontinuous_amperes)
    return min(percent / 100 * continuous + rest, rating), min(continuous + rest, rating)


def smallest_primary(site: Site, percent: int | None) -> str | None:
    """Smallest primary size for the load, with a share of the continuous one [%], and for the device; None: none does.

    `percent` None leaves the load out. Unit: AWG or kcmil. Section: 215.2(A)(1), 240.4. Raises Missing.
    """
    use, sets = primary_conditions(site), site.need(lambda job: job.primary.conductors.sets)
    load = primary_load_to_carry(site, percent) if percent is not None else None
    return _smallest(site, use, sets, primary_enough(site, use, sets, load))


def continuous_share(site: Site) -> int:
    """Share of the continuous load that the primary conductors must carry [%]: 100 behind a device listed for it.

    Section: 215.2(A)(1), exception 1. Raises Missing only where the size depends on it.
    """
    known = site.job.primary.device.continuous_percent
    if known is None and smallest_primary(site, 125) != smallest_primary(site, 100):
        known = site.need(lambda job: job.primary.device.continuous_percent)
    return 100 if known == 100 else 125


@once
def primary_conductor_minimum(site: Site) -> Derived | None:
    """Smallest primary conductor that carries the load and that the primary device protects; None when no size does.

    Unit: AWG or kcmil. Section: 215.2(A)(1), 240.4, 240.21(B)(3), Table 310.16, 110.14(C). Raises Missing;
    NotInTables above 1000 V.
    """
    within_1000_volts(site)
    rating = currents.primary_device_rating(site)
    continuous = site.need(lambda job: job.primary.load.continuous_amperes)
    rest = site.need(lambda job: job.primary.load.noncontinuous_amperes)
    percent = continuous_share(site)
    load = (
        f"Load: {amperes(continuous)} continuous × {percent} % + {amperes(rest)} = "
        f"{amperes(percent / 100 * continuous + rest)} ({site.section('feeder_conductor_size')}), at most what the device "
        "lets through"
    )
    protection = (
        f"Protected at {amperes(rating)}: the ampacity is at least that, or the device is not above the next standard "
        f"rating ({site.section('next_standard_size')}, 800 A or less)"
    )
    if primary_is_tap(site):
        protection = (
            f"A tap that supplies the transformer: at least 1/3 of {amperes(rating)} = {amperes(rating / 3)} "
            f"({site.section('feeder_tap_transformer')})"
        )
    to_carry = primary_load_to_carry(site, percent)

    def enough(site: Site, use: Conditions, sets: int) -> Callable[[str, float], bool]:
        return primary_enough(site, use, sets, to_carry)

    return smallest_conductor(site, PRIMARY, enough, (load, protection))


def reference_size(site: Site, use: Conditions, rating: float, sets: int) -> str | None:
    """Smallest size whose ampacity reaches the device rating [A] without rounding up: the size before any increase.

    Unit: AWG or kcmil. Section: 250.122(B).
    """

    def enough(size_: str, ampacity: float) -> bool:
        return reaches(largest_device(site, ampacity, size_, use.material, sets), rating)

    return _smallest(site, use, sets, enough)


def load_before_correction(continuous: float, rest: float, end: float) -> float:
    """125 % of the continuous load and the rest [A], held to what the conductors end at. Section: 215.2(A)(1)."""
    return min(1.25 * continuous + rest, end)
