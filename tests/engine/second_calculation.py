"""The limits a second time, written without a look at the engine: for a stranger who wants to check it.

Every function restates one rule of NFPA 70 (2023 numbers; 2020 has the same rule unless said) with the section beside it,
`from memory` where no source was open. The tables are read from engine/code/tables/*.csv as plain rows: their figures were
checked cell by cell elsewhere, here the logic alone is doubled. Nothing else of the engine is imported.
In two places it is not independent: it was made to agree with the engine after the two differed, so there it proves
nothing, and only a published source does. They are `CENTER_TAP_FAULT`, which it had left out, and the areas in
`equipment_grounding_conductor`, which it now takes as Table 8 prints them (105.6, not 105.53 kcmil).
Sizes are strings as people write them (`14` … `4/0`, `250` … `2000`), areas kcmil, currents A, temperatures °C.
"""

import csv
import math
from functools import cache
from pathlib import Path

TABLES = Path(__file__).parents[2] / "engine" / "code" / "tables"

# Floating point: 125 % of a current that should be exactly a standard rating must be that rating.
HAIR = 1e-9


@cache
def rows(table: str, edition: int) -> list[dict[str, str]]:
    """The rows of one table that hold in an edition; an empty value means that the edition has no such entry."""
    with (TABLES / f"{table}.csv").open(encoding="utf-8", newline="") as file:
        plain = csv.DictReader(line for line in file if not line.startswith("#"))
        return [
            row
            for row in plain
            if int(row["from_edition"]) <= edition <= int(row["to_edition"] or edition)
            and row["value"]
        ]


# ---------------------------------------------------------------- currents and devices


def full_load_current(kva: float, phases: int, volts: float) -> float:
    """Rated current; in three-phase the volts are line to line."""
    return kva * 1000 / (volts * (math.sqrt(3) if phases == 3 else 1))


@cache
def standard_ratings(edition: int, kind: str) -> list[float]:
    """Table 240.6(A); fuses have 1, 3, 6 and 601 A on top (10 A too until it became a rating of both in 2023)."""
    return sorted(
        {
            float(row["value"])
            for row in rows("standard_ratings", edition)
            if kind == "fuse" or row["device"] == "breaker or fuse"
        }
    )


def next_standard(amperes: float, edition: int, kind: str) -> float | None:
    """The first standard rating that is not below a current; none above 6000 A."""
    ratings = standard_ratings(edition, kind)
    return next((rating for rating in ratings if rating >= amperes - HAIR), None)


def standard_not_over(amperes: float, edition: int, kind: str) -> float | None:
    """The last standard rating that is not above a current."""
    ratings = standard_ratings(edition, kind)
    return next((rating for rating in reversed(ratings) if rating <= amperes + HAIR), None)


def _rounded_up(amperes: float, edition: int, kind: str) -> float:
    """Note 1 to Table 450.3(B): the next standard rating is permitted; where there is none, the plain figure is left."""
    return next_standard(amperes, edition, kind) or amperes


def primary_device_maximum(current: float, edition: int, kind: str) -> float:
    """Table 450.3(B), primary protection only. Note 1 (next size up) belongs to the 125 % alone."""
    if current < 2 - HAIR:
        return 3.00 * current
    if current < 9 - HAIR:
        return 1.67 * current
    return _rounded_up(1.25 * current, edition, kind)


def primary_device_maximum_with_secondary_protection(current: float) -> float:
    """Table 450.3(B), primary and secondary protection: 250 %, and no note that rounds it up."""
    return 2.50 * current


def secondary_device_maximum(current: float, edition: int, kind: str) -> float:
    """Table 450.3(B), secondary column."""
    if current < 9 - HAIR:
        return 1.67 * current
    return _rounded_up(1.25 * current, edition, kind)


def fault_current(secondary_current: float, impedance_percent: float) -> float:
    """At the terminals, bolted, the source without impedance: rated current over the impedance per unit."""
    return secondary_current / (impedance_percent / 100)


# From one line to the center tap half a winding feeds the fault: twice the current, through 1.2 times the reactance and 1.5
# times the resistance in per unit of its own base, so 1.33 to 1.67 times as much as from line to line (from memory; common
# practice in short-circuit studies). Not independent: this calculation had left it out; the engine had not.
CENTER_TAP_FAULT = 1.67


# ---------------------------------------------------------------- sizes


@cache
def sizes() -> list[str]:
    """Sizes of Table 310.16, smallest first: 14 AWG is the smallest conductor of a power circuit (310.3(A))."""
    return list(dict.fromkeys(row["size"] for row in rows("ampacity", 2023)))


@cache
def kcmil(size: str) -> float:
    """Area of a size: Chapter 9, Table 8 for AWG, the number itself from 250 kcmil on."""
    if "/" not in size and int(size) >= 250:
        return float(size)
    return next(
        float(row["value"]) / 1000
        for row in rows("conductor_properties", 2023)
        if row["size"] == size and row["quantity"] == "area"
    )


def kcmil_of(amount: str | float) -> float:
    """Area of what is a size or already an area."""
    return kcmil(amount) if isinstance(amount, str) else amount


def size_of_area(area: float) -> str | None:
    """The smallest size with at least an area; none above 2000 kcmil."""
    return next((size for size in sizes() if kcmil(size) >= area - HAIR), None)


def may_be_parallel(size: str) -> bool:
    """310.10(G)(1): 1/0 AWG and larger. (310.10(H) until 2017.)"""
    return kcmil(size) >= kcmil("1/0")


# ---------------------------------------------------------------- ampacity


@cache
def _ampacity_table(edition: int) -> dict[tuple[str, str, int], float]:
    return {
        (row["size"], row["material"], int(row["column"])): float(row["value"])
        for row in rows("ampacity", edition)
    }


def table_ampacity(size: str, metal: str, column: int, edition: int) -> float | None:
    """Table 310.16, one conductor; no entry for 14 AWG aluminum."""
    return _ampacity_table(edition).get((size, metal, column))


@cache
def insulation_celsius(insulation: str, wet: bool, edition: int) -> int:
    """Table 310.4(1): the temperature of an insulation in a dry or wet place."""
    return next(
        int(row["value"])
        for row in rows("insulations", edition)
        if row["insulation"] == insulation and row["location"] == ("wet" if wet else "dry")
    )


@cache
def ambient_factor(celsius: float, column: int, edition: int) -> float:
    """Table 310.15(B)(1)(1), base 30 °C: the band that ends at or above the ambient, of the insulation's own column."""
    bands = sorted(
        (float(row["up_to_celsius"]), float(row["value"]))
        for row in rows("ambient_correction", edition)
        if int(row["column"]) == column
    )
    return next(factor for end, factor in bands if celsius <= end)


@cache
def adjustment_factor(current_carrying: int, edition: int) -> float:
    """Table 310.15(C)(1): 4–6 conductors 80 %, 7–9 70 %, 10–20 50 %, 21–30 45 %, 31–40 40 %, more 35 %."""
    return max(
        (int(row["conductors_from"]), float(row["value"]) / 100)
        for row in rows("conductor_count_adjustment", edition)
        if int(row["conductors_from"]) <= current_carrying
    )[1]


class Run:
    """What the conductors of one side have in common, whatever their size."""

    def __init__(
        self,
        *,
        edition: int,
        metal: str,
        insulation: str,
        terminals: int,
        sets: int = 1,
        ambient: float = 30,
        current_carrying: int = 3,
        nipple: bool = False,
        wet: bool = False,
    ):
        self.edition = edition
        self.metal = metal
        self.insulation = insulation_celsius(insulation, wet, edition)
        self.terminals = terminals
        self.sets = sets
        self.ambient = ambient
        self.current_carrying = current_carrying
        self.nipple = nipple

    def other(self, metal: str, terminals: int) -> "Run":
        """The same run in another metal, at other terminals."""
        copy = object.__new__(Run)
        copy.__dict__.update(self.__dict__, metal=metal, terminals=terminals)
        return copy

    def candidates(self) -> list[str]:
        """Sizes that this metal is made in and that may be used in so many sets."""
        return [
            size
            for size in sizes()
            if table_ampacity(size, self.metal, self.terminals, self.edition) is not None
            and (self.sets == 1 or may_be_parallel(size))
        ]

    def factor(self) -> float:
        """310.15(B) and (C): ambient, and more than three conductors; not in a nipple of 24 in. or less, 310.15(C)(1)(b)."""
        many = 1.0 if self.nipple else adjustment_factor(self.current_carrying, self.edition)
        return ambient_factor(self.ambient, self.insulation, self.edition) * many

    def ampacity(self, size: str) -> float:
        """After everything: corrected in the insulation's column, and never above the terminals' column, 110.14(C)(1)."""
        own = table_ampacity(size, self.metal, self.insulation, self.edition)
        ends = table_ampacity(size, self.metal, self.terminals, self.edition)
        assert own is not None and ends is not None
        return min(own * self.factor(), ends) * self.sets

    def unadjusted_ampacity(self, size: str) -> float:
        """Before adjustment and correction, the terminals still counted (215.2(A)(1) speaks of this one for 125 %)."""
        column = min(self.insulation, self.terminals)
        own = table_ampacity(size, self.metal, column, self.edition)
        assert own is not None
        return own * self.sets


def terminal_celsius(rating: float, *marks: int | None) -> int:
    """110.14(C)(1): the lowest mark; without one 60 °C up to 100 A and 75 °C above; what is marked 90 counts as 75."""
    unmarked = 60 if rating <= 100 else 75
    return min(75, *((unmarked if mark is None else mark) for mark in marks))


@cache
def small_conductor_device(size: str, metal: str, edition: int) -> float:
    """240.4(D): the largest device of 14, 12 and 10 AWG; no such limit from 8 AWG on."""
    for row in rows("small_conductors", edition):
        if (row["size"], row["material"]) == (size, metal):
            return float(row["value"])
    return math.inf


# ---------------------------------------------------------------- primary conductors


def carries(run: Run, size: str, continuous: float, noncontinuous: float) -> bool:
    """215.2(A)(1), (2): 125 % of the continuous load before, and the whole load after adjustment and correction.

    "Before" stood in the text to 2011; the worked example of the present one at electricallicenserenewal.com, section
    1304, still takes that step from the table alone.
    """
    return (
        run.unadjusted_ampacity(size) >= 1.25 * continuous + noncontinuous - HAIR
        and run.ampacity(size) >= continuous + noncontinuous - HAIR
    )


def protected_with_rounding(run: Run, size: str, device: float) -> bool:
    """240.4, 240.4(B) and (C), (D): the next standard rating above the ampacity, up to 800 A; small sizes by their list.

    600 to 601 A is the one gap where the kind of device could matter, and no ampacity used here falls into it.
    """
    if run.sets == 1 and device > small_conductor_device(size, run.metal, run.edition):
        return False
    ampacity = run.ampacity(size)
    if device <= ampacity + HAIR:
        return True
    following = next_standard(ampacity, run.edition, "breaker")
    return device <= 800 and following is not None and device <= following


def smallest_primary_conductor(
    run: Run, *, device: float, continuous: float, noncontinuous: float
) -> str | None:
    """The smallest size that carries the load and is protected by the device ahead."""
    return next(
        (
            size
            for size in run.candidates()
            if carries(run, size, continuous, noncontinuous)
            and protected_with_rounding(run, size, device)
        ),
        None,
    )


# ---------------------------------------------------------------- secondary conductors, 240.21(C)


def protected_without_rounding(run: Run, size: str, device: float) -> bool:
    """240.21(C): 240.4(B) is not permitted for transformer secondary conductors; 240.4(D) is kept."""
    if run.sets == 1 and device > small_conductor_device(size, run.metal, run.edition):
        return False
    return run.ampacity(size) >= device - HAIR


def least_ampacity_25_ft(primary_device: float, primary_volts: float, secondary_volts: float):
    """240.21(C)(6)(1): ampacity × (secondary/primary volts) is at least one third of the primary device."""
    return primary_device / 3 * primary_volts / secondary_volts


def least_ampacity_10_ft(primary_device: float, primary_volts: float, secondary_volts: float):
    """240.21(C)(2)(4): primary device × (primary/secondary volts) is at most ten times the ampacity."""
    return primary_device * primary_volts / secondary_volts / 10


def least_ampacity_primary_device(
    primary_device: float, primary_volts: float, secondary_volts: float
):
    """240.21(C)(1): the primary device is at most the secondary ampacity × (secondary/primary volts)."""
    return primary_device * primary_volts / secondary_volts


def smallest_secondary_conductor(
    run: Run,
    *,
    ends_at: float,
    least_ampacity: float,
    continuous: float,
    noncontinuous: float,
) -> str | None:
    """The smallest size for the device (or the sum of devices) it ends at, for a rule's own minimum and for the load."""
    return next(
        (
            size
            for size in run.candidates()
            if protected_without_rounding(run, size, ends_at)
            and run.ampacity(size) >= least_ampacity - HAIR
            and carries(run, size, continuous, noncontinuous)
        ),
        None,
    )


# ---------------------------------------------------------------- bonding jumpers, Table 250.102(C)(1)


def _band(table: str, area: float, ungrounded_metal: str, metal: str, edition: int) -> str | None:
    """The size of the first band that reaches an ungrounded area; None past the last."""
    for row in rows(table, edition):
        end = row[f"up_to_{ungrounded_metal}"]
        if row["material"] == metal and end and area <= kcmil(end) + HAIR:
            return row["value"]
    return None


def _area_in_the_same_metal(size: str, sets: float, metal: str, other: str, edition: int) -> float:
    """Note 2 to Table 250.102(C)(1): ungrounded conductors of the jumper's metal with an equivalent ampacity.

    Read here as the same number of conductors, each of the first size with at least the 75 °C ampacity; where not even
    2000 kcmil has it, as much more area as is lacking. An interpretation: the note tells no method.
    """
    if metal == other:
        return kcmil(size) * sets
    wanted = table_ampacity(size, metal, 75, edition)
    largest = table_ampacity("2000", other, 75, edition)
    assert wanted and largest
    for candidate in sizes():
        has = table_ampacity(candidate, other, 75, edition)
        if has is not None and has >= wanted:
            return kcmil(candidate) * sets
    return 2000 * wanted / largest * sets


def bonding_jumper(
    size: str, sets: float, ungrounded_metal: str, metal: str, edition: int
) -> str | float:
    """Table 250.102(C)(1): a size; past 1100 kcmil copper or 1750 kcmil aluminum an area, 12.5 % (note 1).

    `sets` is the number of conductors of one phase that count: all of them, or those of one raceway.
    """
    area = kcmil(size) * sets
    found = _band("bonding_jumper", area, ungrounded_metal, metal, edition)
    if found is not None:
        return found
    return 0.125 * _area_in_the_same_metal(size, sets, ungrounded_metal, metal, edition)


def not_larger_than(jumper: str | float, size: str, sets: float, same_metal: bool) -> str | float:
    """Note 1 again, 250.30(A)(2), (A)(3)(a): not required larger than the ungrounded conductors, by area."""
    if not same_metal:
        return jumper
    return size if sets == 1 and kcmil_of(jumper) > kcmil(size) else jumper


def supply_side_bonding_jumper(
    size: str, sets: int, raceways: int, ungrounded_metal: str, metal: str, edition: int
) -> str | float:
    """250.30(A)(2), 250.102(C)(1); one in each raceway by the conductors in it, 250.102(C)(2)."""
    here = sets / raceways
    jumper = bonding_jumper(size, here, ungrounded_metal, metal, edition)
    return not_larger_than(jumper, size, here, ungrounded_metal == metal)


def system_bonding_jumper(
    size: str, sets: int, ungrounded_metal: str, metal: str, edition: int
) -> str | float:
    """250.30(A)(1), 250.28(D)(1): one jumper for the whole system, by all sets, and note 1 of the table, which matters
    below 8 AWG: no bonding jumper is required larger than the largest ungrounded conductor.
    """
    jumper = bonding_jumper(size, sets, ungrounded_metal, metal, edition)
    return not_larger_than(jumper, size, sets, ungrounded_metal == metal)


def grounded_conductor_by_device(
    device: float, size: str, sets: int, ungrounded_metal: str, metal: str, edition: int
) -> float:
    """215.2(B), 215.2(A)(2) before 2020: Table 250.122 by the device, all grounded conductors together, not more than the phases."""
    found = next(
        (
            row["value"]
            for row in rows("equipment_grounding_conductor", edition)
            if row["material"] == metal and device <= float(row["rating_up_to"])
        ),
        None,
    )
    phases = kcmil(size) * sets
    if found is None:
        return phases
    return min(kcmil(found), phases) if ungrounded_metal == metal else kcmil(found)


def grounded_conductor(
    run: Run, size: str, raceways: int, metal: str, device: float, load: float
) -> str | float | None:
    """What each of as many grounded conductors as sets must be, the jumper being at the first disconnect; None if none does.

    250.30(A)(3)(a), (b): Table 250.102(C)(1) by the conductors in each raceway, all of one raceway together; 215.2(B): by
    the device, all together; 220.61: the neutral load; 310.10(G): parallel ones 1/0 and larger.
    """
    sets, edition = run.sets, run.edition
    here = sets // raceways
    least = bonding_jumper(size, here, run.metal, metal, edition)
    least = kcmil_of(not_larger_than(least, size, sets, run.metal == metal)) / here
    by_device = grounded_conductor_by_device(device, size, sets, run.metal, metal, edition) / sets
    beyond = bonding_jumper(size, here, run.metal, metal, edition)
    for candidate in run.other(metal, run.terminals).candidates():
        if kcmil(candidate) >= max(least, by_device) - HAIR and grounded_conductor_carries(
            run, metal, candidate, sets, load
        ):
            # Past the table an area is asked for, unless something else asks for a larger size than has it.
            by_area = not isinstance(beyond, str) and size_of_area(least) == candidate
            return least if by_area else candidate
    return None


def grounded_conductor_carries(run: Run, metal: str, size: str, sets: int, load: float) -> bool:
    """220.61: the ampacity of the grounded conductors for the most that the neutral carries."""
    neutral = run.other(metal, run.terminals)
    neutral.sets = sets
    return neutral.ampacity(size) >= load - HAIR


def area_bond(size: str, sets: int, ungrounded_metal: str, metal: str, edition: int) -> str | float:
    """250.104(D)(1), (2): Table 250.102(C)(1) by all sets, not required larger than 3/0 copper or 250 kcmil aluminum."""
    jumper = bonding_jumper(size, sets, ungrounded_metal, metal, edition)
    most = "3/0" if metal == "copper" else "250"
    return jumper if kcmil_of(jumper) <= kcmil(most) else most


# ---------------------------------------------------------------- grounding electrode conductor


def grounding_electrode_conductor(
    size: str,
    sets: int,
    ungrounded_metal: str,
    metal: str,
    edition: int,
    *,
    electrode: str = "building_steel",
    sole_connection: bool = True,
    ring_size: str | None = None,
) -> str:
    """250.30(A)(5), Table 250.66 by the sum of the sets (3/0 copper or 250 kcmil aluminum at most), and the caps (A)–(C)."""
    table = "grounding_electrode_conductor"
    area = kcmil(size) * sets
    found = _band(table, area, ungrounded_metal, metal, edition)
    if found is None:
        found = "3/0" if metal == "copper" else "250"
    cap = None
    if sole_connection and electrode in ("rod", "pipe", "plate"):
        cap = "6" if metal == "copper" else "4"  # 250.66(A)
    elif sole_connection and electrode == "concrete_encased" and metal == "copper":
        cap = "4"  # 250.66(B) names copper alone
    elif sole_connection and electrode == "ring" and metal == "copper":
        cap = (
            ring_size  # 250.66(C) goes by the ring's own conductor, which is copper (250.52(A)(4))
        )
    return found if cap is None or kcmil(found) <= kcmil(cap) else cap


# ---------------------------------------------------------------- equipment grounding conductor


def equipment_grounding_conductor(
    *,
    device: float,
    metal: str,
    edition: int,
    size: str,
    sets: int,
    circuit_metal: str,
    least_size: str | None,
    by_rating: str | None,
) -> str | None:
    """Table 250.122 by the device ahead; (B) in proportion when the circuit is larger than it had to be; (A) no larger than it.

    `least_size` is the smallest size, as many sets, that carries the load here and that the device may protect, rounding
    up included (240.4(B)); `by_rating` the smallest whose ampacity reaches the device: up to that one nothing counts as
    increased. Both are readings. What 310.15(B) and (C) ask for is no increase. Not independent: areas are compared as Table 8
    prints them, as the engine does. In
    parallel raceways the full size stands in each, 250.122(F).
    """
    found = next(
        (
            row["value"]
            for row in rows("equipment_grounding_conductor", edition)
            if row["material"] == metal and device <= float(row["rating_up_to"])
        ),
        None,
    )
    if found is None:
        return None
    area = kcmil(found)
    increased = by_rating is None or kcmil(size) > kcmil(by_rating)
    if increased and least_size is not None and kcmil(size) > kcmil(least_size):
        area *= kcmil(size) / kcmil(least_size)
    if sets == 1 and circuit_metal == metal:
        area = min(area, kcmil(size))
    return size_of_area(area)


# ---------------------------------------------------------------- raceways, Chapter 9

TABLE_5 = {
    "THHN": "THHN/THWN/THWN-2",
    "THWN": "THHN/THWN/THWN-2",
    "THWN-2": "THHN/THWN/THWN-2",
    "XHHW": "XHHW/XHHW-2",
    "XHHW-2": "XHHW/XHHW-2",
    "TW": "TW/THW/THHW/THW-2",
    "THW": "TW/THW/THHW/THW-2",
    "THW-2": "TW/THW/THHW/THW-2",
    "THHW": "TW/THW/THHW/THW-2",
}


@cache
def conductor_area(size: str, covering: str, edition: int) -> float:
    """Table 5 by insulation [in²]; Table 8 for bare, stranded (solid is smaller: the safe side where it is not known).

    Infinite where the table has no such conductor (THWN-2 ends at 1000 kcmil): then nothing holds it.
    """
    if covering == "bare":
        table, wanted = (
            "conductor_properties",
            ("size", size, "stranding", "stranded", "overall area"),
        )
    else:
        table = "conductor_dimensions"
        wanted = ("size", size, "insulation", TABLE_5[covering], "area")
    for row in rows(table, edition):
        if (row[wanted[0]], row[wanted[2]], row["quantity"]) == (wanted[1], wanted[3], wanted[4]):
            return float(row["value"])
    return math.inf


@cache
def raceway_areas(kind: str, edition: int) -> dict[str, float]:
    """Table 4: trade size → inside area [in²], smallest first."""
    areas = {
        row["trade_size"]: float(row["value"])
        for row in rows("raceway_dimensions", edition)
        if row["raceway"] == kind and row["quantity"] == "total area"
    }
    return dict(sorted(areas.items(), key=lambda item: item[1]))


def permitted_fill(count: int, nipple: bool) -> float:
    """Table 1: 53 % one, 31 % two, 40 % more; note 4: 60 % in a nipple of 24 in. or less."""
    if nipple:
        return 0.60
    return {1: 0.53, 2: 0.31}.get(count, 0.40)


Contents = tuple[tuple[int, str, str], ...]
"""Conductors of one raceway: how many, size, covering. Grounding and bonding conductors count (note 3)."""


def fill(contents: Contents, area: float, edition: int) -> float:
    """Share of a raceway's area that the conductors take."""
    return sum(n * conductor_area(size, kind, edition) for n, size, kind in contents) / area


def fits(contents: Contents, area: float, nipple: bool, edition: int) -> bool:
    """Table 1; and where all are alike in area, the number that fits rounds up from a decimal of 0.8 (note 7)."""
    count = sum(n for n, _, _ in contents)
    limit = permitted_fill(count, nipple)
    if fill(contents, area, edition) <= limit + HAIR:
        return True
    if len({(size, kind) for _, size, kind in contents}) > 1:
        return False
    _, size, kind = contents[0]
    places = limit * area / conductor_area(size, kind, edition)
    return places - math.floor(places) >= 0.8 - HAIR and count <= math.ceil(places)


def smallest_raceway(contents: Contents, kind: str, nipple: bool, edition: int) -> str | None:
    """The smallest trade size of a kind of raceway that holds the conductors."""
    return next(
        (
            trade_size
            for trade_size, area in raceway_areas(kind, edition).items()
            if fits(contents, area, nipple, edition)
        ),
        None,
    )
