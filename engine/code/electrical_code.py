"""The electrical code of one edition: values, citations and the sources behind them."""

from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, NamedTuple

from engine.code import sources
from engine.code.rows import TABLE_KEYS

if TYPE_CHECKING:
    from engine.code.lookups import Lookups, PercentCell

Kind = Literal["breaker", "fuse"]
Method = Literal["primary_only", "primary_and_secondary"]
SideName = Literal["primary", "secondary"]

# Sums of parallel areas and computed currents are floats; this much is not a difference.
_TOLERANCE = 1e-9


class Citation(NamedTuple):
    """Section of one rule in one edition; `confirmed` is false where the number is not printed."""

    cite_id: str
    section: str
    title: str
    confirmed: bool
    mark: str
    exists: bool


class Percent(NamedTuple):
    """Largest protection of a transformer [percent of rated current] and whether 125 % may round up."""

    percent: float
    next_size_up_permitted: bool
    status: str
    note: str


class Cell(NamedTuple):
    """One printed cell: value, unit, sources, and whether a source was read for this very edition."""

    value: str
    unit: str
    source1: str
    source2: str
    status: str
    note: str
    section: str
    confirmed: bool


@dataclass(frozen=True, slots=True, eq=False)
class Code:
    """The electrical code of one edition; every lookup returns None where the table prints nothing."""

    edition: int
    lookups: "Lookups"

    def cite(self, cite_id: str) -> Citation:
        """Citation of a rule in this edition; KeyError for an unknown cite id."""
        return Citation(cite_id, *self.lookups["sections"][cite_id])

    def ampacity(self, size: str, material: str, column: int) -> float | None:
        """Ampacity [A] of one conductor in the 60, 75 or 90 °C column.

        Section: ampacity_table.
        """
        return self.lookups["ampacity"].get((size, material, column))

    def ambient_factor(self, celsius: float, column: int) -> float | None:
        """Correction factor for the ambient temperature [°C]; None where no ampacity is left.

        Bands end with their upper whole degree, so 30.5 °C belongs to the band that ends with 35.
        Section: ambient_correction.
        """
        upper, factors = self.lookups["ambient"][column]
        index = bisect_left(upper, celsius)
        return factors[index] if index < len(factors) else None

    def adjustment_factor(self, current_carrying: int) -> float:
        """Adjustment factor for the number of current-carrying conductors in a raceway.

        Section: conductor_count_adjustment.
        """
        first, factors = self.lookups["adjustment"]
        return factors[max(bisect_right(first, current_carrying) - 1, 0)]

    def rooftop_adder(self, inches_above_roof: float) -> float:
        """What direct sun on a roof adds to the ambient temperature [°C] of a raceway at a height above it [in].

        Section: rooftop_adder.
        """
        for up_to, includes_end, adder in self.lookups["rooftop"]:
            if inches_above_roof < up_to or (includes_end and inches_above_roof <= up_to):
                return adder
        return 0.0

    def standard_ratings(self, kind: Kind) -> tuple[float, ...]:
        """Standard ampere ratings [A] of breakers or fuses, ascending.

        Section: standard_ratings.
        """
        return self.lookups["ratings"][kind]

    def next_standard_rating(self, amperes: float, kind: Kind) -> float | None:
        """Smallest standard rating [A] not below the current [A]; None above the largest.

        Section: standard_ratings.
        """
        ratings = self.lookups["ratings"][kind]
        index = bisect_left(ratings, amperes * (1 - _TOLERANCE))
        return ratings[index] if index < len(ratings) else None

    def largest_standard_rating_not_over(self, amperes: float, kind: Kind) -> float | None:
        """Largest standard rating [A] not above the current [A]; None below the smallest.

        Section: standard_ratings.
        """
        ratings = self.lookups["ratings"][kind]
        index = bisect_right(ratings, amperes * (1 + _TOLERANCE))
        return ratings[index - 1] if index else None

    def small_conductor_limit(self, size: str, material: str) -> float | None:
        """Largest overcurrent device [A] for a small conductor; None for the sizes without a limit.

        Section: small_conductors.
        """
        return self.lookups["small_conductors"].get((size, material))

    def grounding_electrode_conductor(
        self, area_kcmil: float, ungrounded_material: str, material: str
    ) -> str:
        """Size of the grounding electrode conductor for the ungrounded area of one phase [kcmil].

        Section: grounding_electrode_conductor_table.
        """
        limits, sizes = self.lookups["electrode_conductor"][ungrounded_material, material]
        return sizes[bisect_left(limits, area_kcmil * (1 - _TOLERANCE))]

    def bonding_jumper(
        self, area_kcmil: float, ungrounded_material: str, material: str
    ) -> str | None:
        """Size of a bonding jumper for the ungrounded area of one phase [kcmil].

        None above the last printed row, where `bonding_jumper_percent` of that area governs.
        Section: bonding_jumper_table.
        """
        limits, sizes = self.lookups["bonding_jumper"][ungrounded_material, material]
        index = bisect_left(limits, area_kcmil * (1 - _TOLERANCE))
        return sizes[index] if index < len(sizes) else None

    @property
    def bonding_jumper_percent(self) -> float:
        """Share [percent] of the ungrounded area that a jumper needs above the last printed row."""
        return self.lookups["bonding_jumper_percent"]

    def equipment_grounding(self, rating_amperes: float, material: str) -> str | None:
        """Size of the equipment grounding conductor for the device ahead [A]; None above the table.

        The 1200 kcmil aluminum printed to 2017 is given as 1250, the size of the trade that reaches it.
        Section: equipment_grounding_table.
        """
        ratings, sizes = self.lookups["equipment_grounding"][material]
        index = bisect_left(ratings, rating_amperes * (1 - _TOLERANCE))
        return sizes[index] if index < len(sizes) else None

    def transformer_protection_percent(
        self, method: Method, side: SideName, current_amperes: float
    ) -> Percent | None:
        """Largest device [percent] for a transformer side with this rated current [A]; None if not required.

        Section: transformer_protection_table.
        """
        for amperes_from, cell in self.lookups["protection"].get((method, side), ()):
            if current_amperes * (1 + _TOLERANCE) >= amperes_from:
                return Percent(*cell)
        return None

    @property
    def grouped_secondary_devices(self) -> int:
        """Most devices that may stand for one secondary device. Section: transformer_protection_table, note 2."""
        return self.lookups["secondary_devices"]

    def thermal_protection_multiple(self, impedance_percent: float) -> float | None:
        """Primary device [times rated current] with coordinated thermal protection; None above 10 %.

        Section: transformer_protection_table, note 3.
        """
        for limit, multiple in self.lookups["thermal"]:
            if impedance_percent <= limit:
                return multiple
        return None

    def transformer_protection_percent_over_1000(
        self,
        location: Literal["any", "supervised"],
        method: Method,
        impedance_percent: float,
        device: Kind,
        side: Literal["primary", "secondary_over_1000", "secondary_1000_or_less"],
    ) -> Percent | None:
        """Largest device [percent] for a transformer over 1000 V; None if not required or not in the table.

        Primary-only protection exists for supervised locations alone.
        Section: transformer_protection_over_1000_table.
        """
        cells: tuple[tuple[float, PercentCell], ...] = self.lookups["protection_over_1000"].get(
            (location, method, side, device), ()
        )
        for limit, cell in cells:
            if impedance_percent <= limit:
                return Percent(*cell)
        return None

    def fill_percent(self, count: int) -> float:
        """Largest fill [percent] of a raceway with this number of conductors.

        Section: raceway_fill.
        """
        return self.lookups["fill"][min(max(count, 1), 3) - 1]

    @property
    def nipple_fill_percent(self) -> float:
        """Largest fill [percent] of a nipple. Section: raceway_fill_nipple."""
        return self.lookups["nipple_fill"]

    @property
    def nipple_maximum_inches(self) -> float:
        """Longest raceway [in] that counts as a nipple. Section: raceway_fill_nipple."""
        return self.lookups["nipple_inches"]

    @property
    def fill_round_up_decimal(self) -> float:
        """Decimal at or above which a count of equal conductors rounds up. Section: raceway_fill_round_up."""
        return self.lookups["round_up"]

    def raceway_area(self, raceway: str, trade_size: str) -> float | None:
        """Total internal area [in2] of a raceway; LFNC is type LFNC-B, and LFNC-A may be asked for.

        Section: raceway_dimensions.
        """
        return self.lookups["raceway_area"].get((raceway, trade_size))

    def raceway_diameter(self, raceway: str, trade_size: str) -> float | None:
        """Internal diameter [in] of a raceway; LFNC as in `raceway_area`.

        Section: raceway_dimensions.
        """
        return self.lookups["raceway_diameter"].get((raceway, trade_size))

    def raceway_trade_sizes(self, raceway: str) -> tuple[str, ...]:
        """Trade sizes of a raceway type, ascending; empty for an unknown type.

        Section: raceway_dimensions.
        """
        return self.lookups["raceway_trade_sizes"].get(raceway, ())

    def metric_designator(self, trade_size: str) -> int:
        """Metric designator of a trade size; KeyError for an unknown one.

        Section: raceway_dimensions.
        """
        return self.lookups["metric_designator"][trade_size]

    def conductor_area(self, size: str, insulation: str, compact: bool = False) -> float | None:
        """Area [in2] of an insulated conductor; RHH, RHW and RHW-2 with their covering, or `RHH without covering`.

        Section: insulated_conductor_dimensions, compact_conductor_dimensions.
        """
        return self.lookups["compact_area" if compact else "conductor_area"].get((insulation, size))

    def conductor_diameter(self, size: str, insulation: str, compact: bool = False) -> float | None:
        """Diameter [in] of an insulated conductor; RHH, RHW and RHW-2 as with covering, the larger.

        Section: insulated_conductor_dimensions, compact_conductor_dimensions.
        """
        return self.lookups["compact_diameter" if compact else "conductor_diameter"].get(
            (insulation, size)
        )

    def bare_area(self, size: str) -> float:
        """Overall area [in2] of a bare conductor, stranded where the table has both; KeyError if unknown.

        Section: conductor_properties.
        """
        return self.lookups["bare_area"][size]

    def area_kcmil(self, size: str) -> float:
        """Conductor area [kcmil] as printed; KeyError for an unknown size.

        Section: conductor_properties.
        """
        return self.lookups["kcmil"][size]

    def insulation_column(self, insulation: str, wet: bool) -> int | None:
        """Temperature column [°C] of an insulation, 60, 75 or 90; None where it may not be used.

        Section: insulation_temperature. Source: from memory.
        """
        return self.lookups["insulation_column"].get((insulation, wet))

    def dc_resistance(self, size: str, material: str) -> float:
        """Direct-current resistance [ohm per 1000 ft] at 75 °C, uncoated, stranded where both are printed.

        Raises KeyError for an unknown size. Section: conductor_properties.
        """
        return self.lookups["dc_resistance"][size, material]

    def ac_impedance(
        self, size: str, material: str, conduit: Literal["PVC", "Al", "steel"]
    ) -> tuple[float, float] | None:
        """Resistance and reactance [ohm to neutral per 1000 ft] at 60 Hz and 75 °C.

        Section: ac_resistance_and_reactance.
        """
        return self.lookups["ac_impedance"].get((size, material, conduit))

    @property
    def parallel_minimum_size(self) -> str:
        """Smallest size that may run in parallel. Section: parallel_conductors."""
        return self.lookups["parallel_minimum_size"]

    def working_space_depth(self, volts_to_ground: float, faces: str) -> float:
        """Least depth [in] of the working space in front of parts worked on live, by what stands across from them.

        Section: working_space; above 1000 V to ground Table 110.34(A).
        """
        depths = self.lookups["working_space"][faces]
        return depths[min(bisect_left(depths, (volts_to_ground, 0.0)), len(depths) - 1)][1]

    def electrode_cap(self, electrode: str, material: str) -> str | None:
        """Largest size ever required to a rod, pipe, plate or concrete_encased electrode alone.

        None where the table governs uncapped, or where no such conductor is permitted.
        Section: grounding_electrode_conductor_size.
        """
        return self.lookups["electrode_caps"].get((electrode, material))

    @property
    def ground_ring_minimum_size(self) -> str:
        """Smallest bare copper conductor that makes a ground ring. Section: permitted_electrodes."""
        return self.lookups["ground_ring_minimum_size"]

    @property
    def single_electrode_ohms(self) -> float:
        """Greatest resistance to earth of a rod, pipe or plate that stands alone [ohm]. Section: supplemental_electrode."""
        return self.lookups["single_electrode_ohms"]

    def common_grounding_electrode_conductor(self, material: str) -> str:
        """Smallest common grounding electrode conductor. Section: common_grounding_electrode_conductor."""
        return self.lookups["common_conductor"][material]

    def standard_kva(self, phases: int) -> tuple[float, ...]:
        """Usual ratings [kVA] of dry-type transformers with one or three phases.

        Source: kVA lists of 10 CFR 431.196; small ones from trade practice.
        """
        return self.lookups["standard_kva"][phases]

    def normal_impedance_range(self, phases: int, kva: float) -> tuple[float, float] | None:
        """Normal impedance range [percent] of a low-voltage dry-type transformer; never a reading.

        Source: 10 CFR 431.192, from memory.
        """
        return self.lookups["normal_impedance"].get((phases, float(kva)))

    def minimum_efficiency(self, phases: int, kva: float, year_made: int) -> float | None:
        """Minimum efficiency [percent] at 35 % load for the year of making; None before 2007 or from 2029.

        Source: 10 CFR 431.196.
        """
        # a new table applies from 23 April 2029; which side of it a 2029 unit is on is unknown
        if year_made >= 2029:
            return None
        found = [
            v
            for made, v in self.lookups["minimum_efficiency"].get((phases, float(kva)), ())
            if made <= year_made
        ]
        return found[-1] if found else None

    def cell(self, table_name: str, **keys: object) -> Cell:
        """One cell with its sources; the keys are the key columns of the table's file.

        Raises KeyError for an unknown table or key.
        """
        names = TABLE_KEYS[table_name]
        if set(keys) != set(names):
            raise KeyError(f"{table_name} is looked up by {list(names)}, not {sorted(keys)}")
        row = sources.cells(table_name, self.edition)[tuple(str(keys[name]) for name in names)]
        return Cell(
            row.value,
            row.unit,
            row.source1,
            row.source2,
            row.status,
            row.note,
            self.cite(row.cite_id).section if row.cite_id else "",
            self.edition in row.confirmed_editions,
        )


__all__ = ["Cell", "Citation", "Code", "Percent"]
