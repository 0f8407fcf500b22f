"""What is assumed to show values from a nameplate alone. Never the ground of a verdict.

Each supposition is the customary or the smallest permitted thing, with a sentence that says so. `engine.evaluation.evaluate`
asks a `SupposingSite` only for values, marks those that rest on a supposition `assumed`, and judges no check by them.
"""

from collections.abc import Callable
from math import ceil
from typing import Any, TypeVar

from engine.code import Code, size_index
from engine.code.limits import HIGHEST_TERMINAL_COLUMN
from engine.code.sizes import FLEXIBLE_RACEWAYS
from engine.derived import (
    bonding_jumpers,
    currents,
    equipment_grounding,
    primary_conductors,
    raceways,
    secondary_conductors,
)
from engine.derived.derived import Derived, NotInTables
from engine.derived.sides import Side, side_of
from engine.job import MOST_SETS, Job
from engine.job.missing import Missing, path_of
from engine.job.runs import in_run, run_name
from engine.job.site import Site, with_fact
from engine.physics.quantities import TOLERANCE, amperes, size, trade_size

Supposition = tuple[Any, str]
T = TypeVar("T")


class SupposingSite(Site):
    """A site that fills in what was not read, and knows which values rest on what it filled in.

    `taken` collects the sentences behind what is being worked out; `said` holds all of them by path.
    """

    __slots__ = ("_open", "said", "taken")
    supposed = True

    def __init__(self, job: Job, code: Code, said: dict[str, str] | None = None) -> None:
        super().__init__(job, code)
        self.said: dict[str, str] = dict(said or {})
        self.taken: dict[str, None] = {}
        self._open: set[str] = set()

    def need(self, read: Callable[[Job], T | None]) -> T:
        """The fact, or what is assumed in its place; raises Missing where nothing can be."""
        value = read(self.job)
        path = path_of(read)
        if value is None:
            if path in self._open:
                raise Missing(path)
            self._open.add(path)
            try:
                value, said = supposition(path, self)
            finally:
                self._open.discard(path)
            self.said[path] = said
            self.job = with_fact(self.job, path, value)
        if path in self.said:
            self.taken[self.said[path]] = None
        return value

    def recall(self, work: Callable[[Any], T]) -> T:
        """As in Site, with the sentences that the remembered result rests on."""
        outer, self.taken = self.taken, {}
        try:
            if work not in self._memory:
                try:
                    outcome = work(self)
                except Missing as missing:
                    outcome = missing
                self._memory[work] = (outcome, self.taken)
            kept, taken = self._memory[work]
            self.taken.update(taken)
        finally:
            outer.update(self.taken)
            self.taken = outer
        if isinstance(kept, Missing):
            raise kept
        return kept

    def _of_run(self, job: Job, number: int) -> "SupposingSite":
        kept = in_run(self.said, number)
        return SupposingSite(job, self.code, {here: self.said[path] for path, here in kept.items()})

    def of_run(self, work: Callable[[Site], T], number: int) -> T:
        """As in Site, with the sentences that the run's part rests on."""
        run = self.runs[number]
        run.taken = {}
        result = super().of_run(work, number)
        self.taken.update({f"{run_name(number)}: {words}": None for words in run.taken})
        return result

    def was_read(self, path: str) -> bool:
        """Whether the fact at a path was read on site, not filled in here. Unit: none. Section: none."""
        value: Any = self.job
        for name in path.split("."):
            value = getattr(value, name)
        return value is not None and path not in self.said


def read_or_supposed(
    site: Site, supposing: SupposingSite, work: Callable[[Site], Derived | None]
) -> tuple[Derived | None, tuple[str, ...]]:
    """What follows from what was read or, failing that, from what is assumed, with the sentences for that.

    None where nothing reasonable can be supposed, or where it does not apply. Unit: its own. Section: its own.
    """
    try:
        return work(site), ()
    except NotInTables:
        return None, ()
    except Missing:
        supposing.taken = {}
    try:
        return work(supposing), tuple(supposing.taken)
    except (Missing, NotInTables):
        return None, ()


_FIXED: dict[str, Supposition] = {
    "transformer.supervised": (False, "not a supervised location"),
    "transformer.location": ("indoors", "indoors"),
    "primary.device.adjustable": (False, "the rating of the primary device as entered"),
    "primary.device.rating_basis": (
        "highest_setting",
        "the rating of the primary device as entered",
    ),
    "primary.equipment_grounding.kind": ("wire", "a wire-type equipment grounding conductor"),
    "secondary.rule": ("25_ft", "the secondary rule for not over 25 ft"),
    "secondary.protection.kind": ("main_device", "one main device on the secondary"),
    "secondary.protection.device_kind": ("breaker", "the secondary device is a breaker"),
    "secondary.protection.adjustable": (False, "the rating of the secondary device as entered"),
    "secondary.protection.rating_basis": (
        "highest_setting",
        "the rating of the secondary device as entered",
    ),
    "primary.device.continuous_percent": (80, "a device rated for 80 % continuously"),
    "secondary.grounded_conductor.present": (True, "a grounded conductor is run"),
    "secondary.neutral_load_amperes": (0.0, "the neutral load left out, which may require more"),
    "secondary.grounded_conductor.current_carrying": (
        False,
        "the neutral does not count as current-carrying",
    ),
    "bonding.supply_side_bonding_jumper.kind": ("wire", "a wire-type supply-side bonding jumper"),
    "bonding.system_bonding_jumper.location": (
        "first_disconnect",
        "the system bonding jumper at the first disconnect",
    ),
    "electrode.used": (
        "building_steel",
        "an electrode without a lower limit, such as building steel",
    ),
    "electrode.common_conductor": (False, "an electrode conductor of its own"),
    "electrode.sole_connection": (False, "the electrode conductor may go on to other electrodes"),
    "electrode.joined_to_building_system": (
        True,
        "the electrode conductor may go on to other electrodes",
    ),
    "primary.load.power_factor": (0.85, "power factor 0.85"),
    "secondary.load.power_factor": (0.85, "power factor 0.85"),
}
for _side, _words in (("primary", "primary"), ("secondary", "secondary")):
    _FIXED.update(
        {
            f"{_side}.conductors.material": ("copper", f"{_words} conductors of copper"),
            f"{_side}.conductors.insulation": ("THWN-2", f"{_words} conductors THWN-2"),
            f"{_side}.conductors.ambient_celsius": (30.0, f"{_words} run at 30 °C"),
            f"{_side}.conductors.wet_location": (False, f"{_words} run dry"),
            f"{_side}.conductors.outer_covering": (
                True,
                f"{_words} wires of RHH, RHW or RHW-2 with an outer covering",
            ),
            f"{_side}.raceway.type": ("EMT", f"{_words} raceway EMT"),
            f"{_side}.raceway.on_sunny_rooftop": (False, f"{_words} run not on a sunny roof"),
            f"{_side}.raceway.height_above_roof_inches": (0.0, f"{_words} raceway on the roof"),
            f"{_side}.raceway.flexible_length_feet": (
                0.0,
                f"{_words} raceway without a flexible section",
            ),
            f"{_side}.raceway.nipple": (False, f"{_words} raceway longer than a nipple"),
        }
    )


def _terminals(site: SupposingSite, side: str) -> Supposition:
    """110.14(C): unmarked terminals count as 60 °C up to 100 A and 75 °C above."""
    if side == "primary":
        rating = site.job.primary.device.rating or _primary_device(site)[0]
    else:
        rating = site.job.secondary.protection.rating or _secondary_device(site)[0]
    column = 60 if rating <= 100 else 75
    return column, f"{side} terminals {column} °C, as unmarked ones at {amperes(rating)}"


def _primary_kind(site: Site) -> Supposition:
    """Table 450.3(A) permits a fuse no more than a breaker in any of its rows; up to 1000 V the kinds are alike."""
    if currents.is_over_1000_volts(site):
        return "fuse", "the primary device is a fuse, which has the lower limit"
    return "breaker", "the primary device is a breaker"


def _primary_device(site: Site) -> Supposition:
    limit = currents.primary_device_maximum(
        site
    ) or currents.primary_device_maximum_with_secondary_protection(site)
    if limit is None or limit.standard_rating is None:
        raise Missing("primary.device.rating")
    return (
        limit.standard_rating,
        f"a primary device of {amperes(limit.standard_rating)}, the largest permitted alone",
    )


def _secondary_device(site: Site) -> Supposition:
    current = currents.full_load_current_secondary(site)
    rating = site.code.next_standard_rating(current.amount, "breaker")
    if rating is None:
        raise Missing("secondary.protection.rating")
    return (
        rating,
        f"a secondary device of {amperes(rating)}, the first standard rating above the full-load current",
    )


# Sets are supposed so that one conductor stays at or below this size: common practice, no source.
LARGEST_USUAL_SIZE = "600"


def _fewest_sets(site: SupposingSite) -> Supposition:
    """As many sets of the size that was read as what they end at needs: jumpers and bonds go by all of them together.

    Section: 240.21(C), 310.10(G). Raises Missing where no number of such sets would be enough.
    """
    path = "secondary.conductors.sets"
    record = site.job.secondary.conductors
    size_ = site.need(lambda job: job.secondary.conductors.size)
    wanted = secondary_conductors.the_end(site).amount
    each = site.code.ampacity(size_, record.material or "copper", HIGHEST_TERMINAL_COLUMN)
    if not each:
        raise Missing(path)
    sets = ceil(wanted / each * (1 - TOLERANCE))
    if sets <= 1:
        return 1, "one set of secondary conductors"
    if sets > MOST_SETS or size_index(size_) < size_index(site.code.parallel_minimum_size):
        raise Missing(path)
    return (
        sets,
        f"{sets} sets of secondary conductors, the fewest of this size for {amperes(wanted)}",
    )


def _sets(site: SupposingSite, side: str) -> Supposition:
    record = site.job.primary.conductors if side == "primary" else site.job.secondary.conductors
    if site.was_read(f"{side}.conductors.size"):
        return _fewest_sets(site) if side == "secondary" else (1, "one set of primary conductors")
    if side == "primary":
        wanted = site.job.primary.device.rating or _primary_device(site)[0]
    else:
        wanted = site.job.secondary.protection.rating or _secondary_device(site)[0]
    each = site.code.ampacity(LARGEST_USUAL_SIZE, record.material or "copper", 75) or 1.0
    sets = min(MOST_SETS, max(1, -int(-wanted // each)))
    return sets, f"{sets} set{'s' if sets > 1 else ''} of {side} conductors"


def _size(minimum: Derived | None, path: str, words: str) -> Supposition:
    if minimum is None or minimum.size is None:
        raise Missing(path)
    return minimum.size, f"{words} of the smallest permitted size, {size(minimum.size)}"


def _tightest_flexible_type(site: Site, side: Side) -> Supposition:
    """The kind with the least room at the trade size that was read, so that no value comes out too small."""
    raceway = side.raceway(site.job)
    trade = raceway.flexible_trade_size or raceway.trade_size
    rooms = {
        kind: area
        for kind in FLEXIBLE_RACEWAYS
        if trade is not None and (area := site.code.raceway_area(kind, trade)) is not None
    }
    kind = min(rooms, key=lambda each: rooms[each]) if rooms else "FMC"
    return kind, f"a flexible section of {kind}, which has the least room"


def supposition(path: str, site: SupposingSite) -> Supposition:
    """What to take for granted at a path, and the words for it.

    Unit: that of the field. Section: 110.14(C) for terminals; otherwise common practice, no source. Raises Missing
    where nothing reasonable can be supposed: the value is then left out.
    """
    fixed = _FIXED.get(path)
    if fixed is not None:
        return fixed
    if path == "primary.device.kind":
        return _primary_kind(site)
    side, _, field = path.partition(".")
    phases = site.job.transformer.phases
    if path == "transformer.primary_system":
        return (
            ("delta_3_wire", "a delta primary")
            if phases == 3
            else ("single_phase_2_wire", "a two-wire primary")
        )
    if path == "transformer.secondary_system":
        if phases == 3:
            return "wye_4_wire", "a wye secondary with neutral"
        if site.job.transformer.secondary_volts <= 150:
            return "single_phase_2_wire", "a two-wire secondary"
        return "single_phase_3_wire", "a three-wire secondary"
    if path == "primary.device.rating":
        return _primary_device(site)
    if path == "primary.device.highest_rating":
        return (
            site.need(lambda job: job.primary.device.rating),
            "the setting of the primary device as entered, which anyone can turn up",
        )
    if path == "secondary.protection.highest_rating":
        protection = site.job.secondary.protection
        return (
            max([*(protection.ratings or ()), protection.rating or 0.0])
            or _secondary_device(site)[0],
            "the setting of the secondary device as entered, which anyone can turn up",
        )
    if path == "secondary.protection.rating":
        return _secondary_device(site)
    if field in (
        "device.termination_celsius",
        "protection.termination_celsius",
        "conductors.termination_celsius",
    ):
        return _terminals(site, side)
    if path in ("transformer.primary_terminal_celsius", "transformer.secondary_terminal_celsius"):
        return _terminals(site, field.partition("_")[0])
    if field == "conductors.current_carrying":
        count = 3 if phases == 3 else 2
        return count, f"{count} current-carrying conductors in the {side} raceway"
    if field == "conductors.sets":
        return _sets(site, side)
    if field == "conductors.raceways" and not site.was_read(f"{side}.conductors.sets"):
        record = site.job.primary.conductors if side == "primary" else site.job.secondary.conductors
        sets = record.sets or 1
        return sets, f"one set of {side} conductors in each raceway"
    if path == "primary.conductors.size":
        return _size(primary_conductors.primary_conductor_minimum(site), path, "primary conductors")
    if path == "secondary.conductors.size":
        return _size(
            secondary_conductors.secondary_conductor_minimum(site), path, "secondary conductors"
        )
    if path == "secondary.panelboard.rating":
        return site.job.secondary.protection.rating or _secondary_device(site)[
            0
        ], "a panelboard of the device's rating"
    return _of_the_other_conductors(path, site)


def _of_the_other_conductors(path: str, site: Site) -> Supposition:
    """Grounding and bonding wires: smallest permitted, with the covering of the phases."""
    job = site.job
    if path == "primary.equipment_grounding.size":
        return _size(
            equipment_grounding.primary_equipment_grounding_minimum(site),
            path,
            "equipment grounding conductor",
        )
    if path == "bonding.supply_side_bonding_jumper.size":
        return _size(
            bonding_jumpers.supply_side_bonding_jumper_minimum(site),
            path,
            "supply-side bonding jumper",
        )
    if path == "secondary.grounded_conductor.size":
        wanted = site.need(lambda job: job.secondary.conductors.size)
        return wanted, f"a grounded conductor as large as the phases, {size(wanted)}"
    if path == "secondary.grounded_conductor.sets":
        return site.need(
            lambda job: job.secondary.conductors.sets
        ), "as many grounded conductors as sets"
    if path == "secondary.grounded_conductor.insulation":
        return site.need(
            lambda job: job.secondary.conductors.insulation
        ), "the grounded conductor insulated like the phases"
    if path == "primary.equipment_grounding.insulation":
        return site.need(
            lambda job: job.primary.conductors.insulation
        ), "the grounding wire insulated like the phases"
    if path == "bonding.supply_side_bonding_jumper.insulation":
        return site.need(
            lambda job: job.secondary.conductors.insulation
        ), "the bonding wire insulated like the phases"
    if path == "primary.load.continuous_amperes":
        current = currents.full_load_current_primary(site)
        return current.amount, f"a primary load of the full-load current, {amperes(current.amount)}"
    if path == "secondary.load.continuous_amperes":
        current = currents.full_load_current_secondary(site)
        return (
            current.amount,
            f"a secondary load of the full-load current, {amperes(current.amount)}",
        )
    if path in ("primary.load.noncontinuous_amperes", "secondary.load.noncontinuous_amperes"):
        return 0.0, "no further load"
    if path in ("primary.raceway.flexible_type", "secondary.raceway.flexible_type"):
        return _tightest_flexible_type(site, side_of(path))
    if path in ("primary.raceway.flexible_trade_size", "secondary.raceway.flexible_trade_size"):
        trade = site.need(lambda job: side_of(path).raceway(job).trade_size)
        return trade, "a flexible section as large as the rest of the raceway"
    if path in ("primary.raceway.trade_size", "secondary.raceway.trade_size"):
        primary = path.startswith("primary")
        minimum = (
            raceways.primary_raceway_minimum(site)
            if primary
            else raceways.secondary_raceway_minimum(site)
        )
        if minimum is None:
            raise Missing(path)
        type_ = job.primary.raceway.type if primary else job.secondary.raceway.type
        return minimum.name, f"the smallest permitted raceway, {trade_size(minimum.name, type_)}"
    raise Missing(path)
