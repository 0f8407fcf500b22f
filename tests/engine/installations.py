"""Whole installations that are sound: any size, connection, wiring, place, edition and visit, sized by a second calculation.

Devices, conductors, jumpers and raceways follow from `second_calculation.py`, which imports nothing of the engine. What
is chosen freely (lengths, loads, ratings of equipment) is our own scenario. `draw(seed)` gives the same one every time.
"""

import math
import random
from dataclasses import dataclass, field
from typing import Any, TypeGuard

from engine.code import EDITIONS
from tests.engine import second_calculation as second
from tests.engine.jobs import Data, get, put, replaced, sound

# Ratings of interrupting and short-circuit current that equipment is sold with [kA]: common practice, no source.
KILOAMPERES = (10, 14, 18, 22, 25, 35, 42, 65, 100, 150, 200)
THREE_PHASE_KVA = (15, 30, 45, 75, 112.5, 150, 225, 300, 500, 750, 1000)
SINGLE_PHASE_KVA = (3, 5, 10, 15, 25, 37.5, 50, 75, 100, 167)
# A conductor larger than this is rather run in parallel: common practice, no source.
LARGEST_PULLED = "600"


class NotBuilt(Exception):
    """A draw that no one would build: no size does it."""


@dataclass(frozen=True)
class Connection:
    """Windings and voltages; `wires` are the conductors of one set that count as current-carrying on the secondary."""

    phases: int
    primary_volts: float
    secondary_volts: float
    primary_system: str
    secondary_system: str
    ungrounded: int
    wires: int
    supply: str = "solidly_grounded_wye"
    reverse_fed: bool = False

    @property
    def grounded(self) -> bool:
        return self.secondary_system != "delta_3_wire_ungrounded"

    @property
    def has_neutral(self) -> bool:
        return self.secondary_system in ("wye_4_wire", "delta_high_leg", "single_phase_3_wire")

    @property
    def seen_by_primary(self) -> bool:
        """240.21(C)(1): 2-wire to 2-wire, or delta-delta 3-wire."""
        return (self.primary_system, self.secondary_system) in (
            ("single_phase_2_wire", "single_phase_2_wire"),
            ("delta_3_wire", "delta_3_wire_ungrounded"),
            ("delta_3_wire", "delta_corner_grounded"),
        )


CONNECTIONS = (
    Connection(3, 480, 208, "delta_3_wire", "wye_4_wire", 3, 3),
    Connection(3, 600, 208, "delta_3_wire", "wye_4_wire", 3, 3),
    Connection(3, 480, 480, "delta_3_wire", "wye_4_wire", 3, 3),
    Connection(3, 208, 480, "delta_3_wire", "wye_4_wire", 3, 3),
    Connection(3, 480, 240, "delta_3_wire", "delta_high_leg", 3, 3),
    Connection(3, 480, 240, "delta_3_wire", "delta_3_wire_ungrounded", 3, 3),
    Connection(3, 480, 480, "delta_3_wire", "delta_3_wire_ungrounded", 3, 3),
    Connection(3, 480, 240, "delta_3_wire", "delta_corner_grounded", 2, 3),
    Connection(3, 208, 480, "wye_4_wire", "delta_3_wire_ungrounded", 3, 3, reverse_fed=True),
    Connection(1, 480, 240, "single_phase_2_wire", "single_phase_3_wire", 2, 2),
    Connection(1, 208, 240, "single_phase_2_wire", "single_phase_3_wire", 2, 2),
    Connection(1, 480, 120, "single_phase_2_wire", "single_phase_2_wire", 1, 2),
    Connection(
        1, 240, 120, "single_phase_2_wire", "single_phase_2_wire", 1, 2, "single_phase_grounded"
    ),
)


@dataclass
class Installation:
    """A sound job, and what it was sized by, so that a change can be known to be wrong without asking the engine."""

    data: Data
    connection: Connection
    primary: second.Run
    secondary: second.Run
    primary_current: float
    secondary_current: float
    fault_amperes: float
    ends_at: float
    least_ampacity: float
    notes: dict[str, Any] = field(default_factory=dict[str, Any])

    @property
    def edition(self) -> int:
        return self.data["edition"]

    def get(self, path: str) -> Any:
        """The fact at a dotted path."""
        return get(self.data, path)


def _least_rating(amperes: float) -> float:
    rating = next((k for k in KILOAMPERES if k * 1000 >= amperes), None)
    if rating is None:
        raise NotBuilt("fault current")
    return rating


def _size(amount: str | float | None) -> str:
    """The size that an amount, a size or an area, is bought in."""
    size = second.size_of_area(amount) if isinstance(amount, int | float) and amount else amount
    if not isinstance(size, str) or not size:
        raise NotBuilt("no size")
    return size


def _ordinary(size: str | None, sets: int) -> TypeGuard[str]:
    return size is not None and (second.kcmil(size) <= second.kcmil(LARGEST_PULLED) or sets == 8)


class _Drawing:
    """One draw. The steps follow the walk; each reads what the ones before it settled."""

    def __init__(self, seed: int) -> None:
        self.random = random.Random(seed)
        self.facts: Data = {}

    def pick(self, *options: Any) -> Any:
        return self.random.choice(options)

    def chance(self, share: float) -> bool:
        return self.random.random() < share

    def put(self, prefix: str, **facts: Any) -> None:
        for name, value in facts.items():
            self.facts[f"{prefix}.{name.replace('__', '.')}"] = value

    def draw(self) -> Installation:
        pick, chance = self.pick, self.chance
        self.edition = pick(*EDITIONS)
        self.c = c = pick(*CONNECTIONS)
        self.kva = pick(*(THREE_PHASE_KVA if c.phases == 3 else SINGLE_PHASE_KVA))
        self.primary_current = second.full_load_current(self.kva, c.phases, c.primary_volts)
        self.secondary_current = second.full_load_current(self.kva, c.phases, c.secondary_volts)
        self.ratio = c.primary_volts / c.secondary_volts
        rules = ["25_ft", "25_ft", "10_ft", "outside", "feeder_tap_25_ft", "industrial_25_ft"]
        self.rule = pick(*rules, *(["primary_device"] * 6 if c.seen_by_primary else []))
        self.outdoors = self.rule == "outside" or (self.rule != "industrial_25_ft" and chance(0.3))
        self.nonlinear = c.secondary_system == "wye_4_wire" and chance(0.2)
        self._protection()
        self._loads()
        self._primary_run()
        self._secondary_run()
        self._grounded_conductor()
        self._bonding()
        self._raceways()
        self._nameplate()
        self._ratings()
        self._surroundings()
        self._readings()
        data = replaced(sound(), **{path.replace(".", "__"): v for path, v in self.facts.items()})
        data["edition"] = self.edition
        data["purpose"] = pick("installation", "installation", "replacement", "grounding")
        if data["purpose"] == "installation" and chance(0.5):
            data["readings"] = {}
        return Installation(
            data=data,
            connection=c,
            primary=self.primary,
            secondary=self.secondary,
            primary_current=self.primary_current,
            secondary_current=self.secondary_current,
            fault_amperes=self.fault_amperes,
            ends_at=self.ends_at,
            least_ampacity=self.least_ampacity,
        )

    # ------------------------------------------------------------ devices and loads

    def _protection(self) -> None:
        """Table 450.3(B): primary alone at 125 %, or both sides, with the secondary at 125 %."""
        kind = self.pick("breaker", "breaker", "fuse")
        secondary_kind = self.pick("breaker", "breaker", "fuse")
        alone = self.rule == "primary_device" or self.chance(0.6)
        most = (
            second.primary_device_maximum(self.primary_current, self.edition, kind)
            if alone
            else second.primary_device_maximum_with_secondary_protection(self.primary_current)
        )
        rating = second.standard_not_over(most, self.edition, kind)
        if rating is None or rating < self.primary_current or rating < 15:
            raise NotBuilt("primary device")
        if not alone:
            # Anything between full-load current and the limit is lawful.
            low = second.next_standard(1.25 * self.primary_current, self.edition, kind)
            rating = self.pick(rating, min(rating, low or rating))
        self.primary_rating, self.primary_kind = rating, kind
        self.kind = {
            "primary_device": "main_lugs_only",
            # Behind several devices the rating of what holds them counts too, and no fact tells that of a switchboard.
            "10_ft": "main_device",
            "industrial_25_ft": self.pick("main_device", "grouped_devices"),
        }.get(self.rule, "main_device")
        limit = second.secondary_device_maximum(
            self.secondary_current, self.edition, secondary_kind
        )
        main = second.standard_not_over(limit, self.edition, secondary_kind)
        if main is None or main < 15:
            raise NotBuilt("secondary device")
        if self.rule != "industrial_25_ft" and self.chance(0.3):
            smaller = second.standard_not_over(
                0.9 * self.secondary_current, self.edition, secondary_kind
            )
            main = smaller if smaller and smaller >= 15 else main
        self.ratings = [main]
        if self.kind == "grouped_devices":
            count = self.random.randint(2, 6)
            each = second.standard_not_over(main / count, self.edition, secondary_kind)
            if each is None or each < 15:
                raise NotBuilt("grouped devices")
            self.ratings = [each] * count
        self.secondary_kind = secondary_kind
        self.ends_at = float(sum(self.ratings))
        fuse = kind == "fuse"
        self.put(
            "primary.device",
            rating=rating,
            highest_rating=rating if fuse else None,
            kind=kind,
            adjustable=None if fuse else False,
            instantaneous_multiple=None if fuse else 20,
            rating_basis="highest_setting",
            straight_rated=True,
            termination_celsius=75,
            continuous_percent=80,
            ground_fault_protection=rating >= 1000,
            ground_fault_protection_tested=rating >= 1000,
            arc_energy_reduction=rating >= 1200,
        )
        if kind == "fuse":
            self.put("primary.device", rating_basis=None)
        lugs = self.kind == "main_lugs_only"
        largest = max(self.ratings)
        self.put(
            "secondary.protection",
            kind=self.kind,
            rating=main if self.kind == "main_device" else None,
            ratings=None if lugs else self.ratings,
            device_kind=None if lugs else secondary_kind,
            adjustable=False if secondary_kind == "breaker" and not lugs else None,
            highest_rating=largest if secondary_kind == "fuse" and not lugs else None,
            termination_celsius=75,
            continuous_percent=80,
            one_enclosure=True,
            ground_fault_protection=largest >= 1000 and not lugs,
            ground_fault_protection_tested=largest >= 1000 and not lugs,
            arc_energy_reduction=largest >= 1200 and not lugs,
        )

    def _loads(self) -> None:
        """Within every device and the transformer, alike on both sides."""
        most = min(self.primary_rating * self.ratio, self.secondary_current)
        if self.kind != "main_lugs_only":
            most = min(most, self.ends_at)
        continuous = math.floor(self.pick(0.4, 0.6) * most)
        rest = math.floor(0.1 * most)
        self.load = (continuous, rest)
        self.primary_load = (
            round(continuous / self.ratio, 1),
            round(rest / self.ratio, 1),
        )
        for side, (lasting, short) in (("primary", self.primary_load), ("secondary", self.load)):
            self.put(f"{side}.load", continuous_amperes=lasting, noncontinuous_amperes=short)

    # ------------------------------------------------------------ conductors

    def _conditions(self) -> dict[str, Any]:
        wet = self.outdoors
        return {
            "metal": self.pick("copper", "copper", "aluminum"),
            "insulation": self.pick("THWN-2", "XHHW-2", *([] if wet else ["THHN"])),
            "terminals": 75,
            "ambient": self.pick(25, 30, 40),
            "wet": wet,
        }

    def _run(self, conditions: dict[str, Any], sets: int, together: bool, wires: int):
        return second.Run(
            edition=self.edition,
            metal=conditions["metal"],
            insulation=conditions["insulation"],
            terminals=conditions["terminals"],
            ambient=conditions["ambient"],
            wet=conditions["wet"],
            sets=sets,
            current_carrying=wires * (sets if together else 1),
        )

    def _put_run(
        self, side: str, run: second.Run, conditions: dict[str, Any], size: str, raceways: int
    ):
        self.put(
            f"{side}.conductors",
            size=size,
            material=run.metal,
            insulation=conditions["insulation"],
            sets=run.sets,
            raceways=raceways,
            ambient_celsius=conditions["ambient"],
            current_carrying=run.current_carrying,
            termination_celsius=75,
            wet_location=conditions["wet"],
        )

    def _upsized(self, run: second.Run, size: str) -> str:
        """Now and then one size more than is needed."""
        candidates = run.candidates()
        at = candidates.index(size)
        return candidates[min(at + 1, len(candidates) - 1)] if self.chance(0.2) else size

    def _primary_run(self) -> None:
        conditions = self._conditions()
        wires = 3 if self.c.phases == 3 else 2
        for sets in range(1, 9):
            together = sets == 2 and self.chance(0.2)
            run = self._run(conditions, sets, together, wires)
            least = second.smallest_primary_conductor(
                run,
                device=self.primary_rating,
                continuous=self.primary_load[0],
                noncontinuous=self.primary_load[1],
            )
            if _ordinary(least, sets):
                break
        else:
            raise NotBuilt("primary conductors")
        # From what an up-sized tap counts as increased is read in more than one way: left out.
        size = least if self.rule == "feeder_tap_25_ft" else self._upsized(run, least)
        self.primary, self.primary_size = run, size
        self.primary_raceways = 1 if together else run.sets
        self.primary_insulation = conditions["insulation"]
        self._put_run("primary", run, conditions, size, self.primary_raceways)
        length = 6 if self.rule == "feeder_tap_25_ft" else self.pick(12, 60, 110)
        self.put("primary.conductors", length_feet=length)
        metal = self.pick("copper", "copper", "aluminum")
        self.primary_ground_least = _size(
            second.equipment_grounding_conductor(
                device=self.primary_rating,
                metal=metal,
                edition=self.edition,
                size=size,
                sets=run.sets,
                circuit_metal=run.metal,
                least_size=least,
                by_rating=least,
            )
        )
        self.primary_ground = "raceway" if self.chance(0.2) else "wire"
        wire = self.primary_ground == "wire"
        self.put(
            "primary.equipment_grounding",
            kind=self.primary_ground,
            size=self.primary_ground_least if wire else None,
            material=metal if wire else None,
            insulation=self.primary_insulation if wire else None,
        )

    def _secondary_run(self) -> None:
        conditions = self._conditions()
        wires = self.c.wires + self.nonlinear
        shares = {
            "25_ft": second.least_ampacity_25_ft,
            "feeder_tap_25_ft": second.least_ampacity_25_ft,
            "10_ft": second.least_ampacity_10_ft,
            "primary_device": second.least_ampacity_primary_device,
        }
        volts = (self.c.primary_volts, self.c.secondary_volts)
        share = shares.get(self.rule)
        self.least_ampacity = share(self.primary_rating, *volts) if share else 0.0
        if self.rule == "industrial_25_ft":
            self.least_ampacity = self.secondary_current
        ends_at = self.least_ampacity if self.rule == "primary_device" else self.ends_at
        for sets in range(1, 9):
            together = sets == 2 and self.chance(0.2)
            run = self._run(conditions, sets, together, wires)
            least = second.smallest_secondary_conductor(
                run,
                ends_at=ends_at,
                least_ampacity=self.least_ampacity,
                continuous=self.load[0],
                noncontinuous=self.load[1],
            )
            if _ordinary(least, sets):
                break
        else:
            raise NotBuilt("secondary conductors")
        self.secondary, self.secondary_size = run, self._upsized(run, least)
        self.secondary_raceways = 1 if together else run.sets
        self.secondary_insulation = conditions["insulation"]
        self._put_run("secondary", run, conditions, self.secondary_size, self.secondary_raceways)
        length = {"10_ft": 8, "feeder_tap_25_ft": 15, "outside": 60, "primary_device": 40}
        self.length = length.get(self.rule, 18)
        self.put("secondary.conductors", length_feet=self.length)
        self.put(
            "secondary",
            rule=self.rule,
            enclosed_in_raceway=True,
            protected_from_damage=True,
            qualified_persons_only=self.rule == "industrial_25_ft",
            first_disconnect_separate=True,
        )
        self.put("primary", protected_from_damage=True, supply_system=self.c.supply)

    def _grounded_conductor(self) -> None:
        run, size = self.secondary, self.secondary_size
        self.at_source = self.outdoors or self.chance(0.5)
        if self.kind == "main_lugs_only":
            self.at_source = True
        if not self.c.grounded:
            self.facts["secondary.neutral_load_amperes"] = None
            self.facts["secondary.grounded_conductor"] = {"present": False}
            self.grounded_size = None
            return
        load = math.floor(0.4 * min(self.secondary_current, run.ampacity(size), self.ends_at))
        self.neutral_load = load if self.c.has_neutral else None
        self.grounded_size = size
        if self.c.has_neutral and not self.nonlinear and self.chance(0.4):
            least = second.grounded_conductor(
                run, size, self.secondary_raceways, run.metal, self.ends_at, load
            )
            self.grounded_size = _size(least)
        self.facts["secondary.neutral_load_amperes"] = self.neutral_load
        self.put(
            "secondary.grounded_conductor",
            present=True,
            size=self.grounded_size,
            material=run.metal,
            insulation=self.secondary_insulation,
            sets=run.sets,
            current_carrying=self.nonlinear or not self.c.has_neutral,
        )

    # ------------------------------------------------------------ bonding and electrode

    def _bonding(self) -> None:
        run, size, edition = self.secondary, self.secondary_size, self.edition
        place = "source" if self.at_source else "first_disconnect"
        metal = self.pick("copper", "copper", "aluminum")
        jumper = _size(second.system_bonding_jumper(size, run.sets, run.metal, metal, edition))
        grounded = self.c.grounded
        self.put(
            "bonding.system_bonding_jumper",
            location=place if grounded else "none",
            size=jumper if grounded else None,
            material=metal if grounded else None,
            factory_furnished=False if grounded else None,
        )
        metal = self.pick("copper", "copper", "aluminum")
        self.jumper_size = _size(
            second.supply_side_bonding_jumper(
                size, run.sets, self.secondary_raceways, run.metal, metal, edition
            )
        )
        self.jumper_kind = "raceway" if not self.outdoors and self.chance(0.2) else "wire"
        wire = self.jumper_kind == "wire"
        self.put(
            "bonding.supply_side_bonding_jumper",
            kind=self.jumper_kind,
            size=self.jumper_size if wire else None,
            material=metal if wire else None,
            insulation=self.secondary_insulation if wire else None,
        )
        self.facts["bonding.neutral_bonded_downstream"] = False
        for bond in ("water_pipe_bond", "structural_steel_bond"):
            metal = self.pick("copper", "copper", "aluminum")
            self.put(
                f"bonding.{bond}",
                size=_size(self._area_bond(run, size, metal)),
                material=metal,
                present=True,
                metal_in_area=True,
            )
        self._electrode(place)

    def _area_bond(self, run: second.Run, size: str, metal: str) -> str | float:
        """250.104(D); by Table 250.66 in the 2014 edition, without the cap in that of 2017: the larger of all holds."""
        jumper = second.bonding_jumper(size, run.sets, run.metal, metal, self.edition)
        return jumper if second.kcmil_of(jumper) > 0 else "8"

    def _electrode(self, place: str) -> None:
        run, size, edition = self.secondary, self.secondary_size, self.edition
        used = self.pick(
            "building_steel", "building_steel", "water_pipe", "concrete_encased", "ring"
        )
        if edition == 2014 and used not in ("building_steel", "water_pipe"):
            used = "building_steel"  # 250.30(A)(4) of 2014
        metal = self.pick("copper", "copper", "aluminum")
        if self.outdoors or used in ("concrete_encased", "ring"):
            metal = "copper"
        conductor = second.grounding_electrode_conductor(
            size, run.sets, run.metal, metal, edition, electrode=used, sole_connection=False
        )
        shared = used == "building_steel" and self.chance(0.2)
        self.put(
            "electrode",
            available=["building_steel", "water_pipe", "concrete_encased"]
            + (["ring"] if used == "ring" else []),
            used=used,
            sole_connection=False,
            joined_to_building_system=True,
            nearest_of_steel_and_water=True,
            supplemented=True,
            resistance_ohms=None,
            conductor__size=conductor,
            conductor__material=metal,
            connected_at="source" if not self.c.grounded else place,
            ring_size="2" if used == "ring" else None,
            common_conductor=shared,
            common_conductor_size="3/0" if shared else None,
            common_conductor_material="copper" if shared else None,
        )

    # ------------------------------------------------------------ raceways

    def _raceways(self) -> None:
        primary_wires = 3 if self.c.phases == 3 else 2
        if self.c.primary_system == "wye_4_wire":
            primary_wires += 1  # room for the neutral that must not be landed
        contents = [
            (
                primary_wires * (self.primary.sets // self.primary_raceways),
                self.primary_size,
                self.primary_insulation,
            )
        ]
        if self.primary_ground == "wire":
            contents.append((1, self.primary_ground_least, self.primary_insulation))
        self._raceway("primary", contents, self.primary_ground == "raceway")
        here = self.secondary.sets // self.secondary_raceways
        contents = [(self.c.ungrounded * here, self.secondary_size, self.secondary_insulation)]
        if self.grounded_size:
            contents.append((here, self.grounded_size, self.secondary_insulation))
        if self.jumper_kind == "wire":
            contents.append((1, self.jumper_size, self.secondary_insulation))
        self._raceway("secondary", contents, self.jumper_kind == "raceway")

    def _raceway(self, side: str, contents: list[tuple[int, str, str]], is_the_path: bool) -> None:
        type_ = self.pick(*(("EMT", "RMC", "IMC") if is_the_path else ("EMT", "RMC", "PVC40")))
        trade_size = second.smallest_raceway(tuple(contents), type_, False, self.edition)
        if trade_size is None:
            raise NotBuilt("raceway")
        length = self.facts[f"{side}.conductors.length_feet"]
        rooftop = self.outdoors and self.chance(0.3)
        self.put(
            f"{side}.raceway",
            type=type_,
            trade_size=trade_size,
            nipple=False,
            length_feet=max(length - 2, 3),
            flexible_length_feet=0,
            flexibility_needed=False,
            fittings_listed_for_grounding=True,
            on_sunny_rooftop=rooftop,
            # Above 36 in. no edition adds to the ambient: the last row of the table of 2014, from memory.
            height_above_roof_inches=40 if rooftop else None,
        )

    # ------------------------------------------------------------ the rest

    def _nameplate(self) -> None:
        c = self.c
        self.impedance = self.pick(3, 4.5, 5.5) if self.kva < 300 else self.pick(5, 5.75)
        rise, class_ = self.pick((150, 220), (115, 220), (80, 180))
        plate = {
            "kva": self.kva,
            "phases": c.phases,
            "primary_volts": c.primary_volts,
            "secondary_volts": c.secondary_volts,
            "primary_system": c.primary_system,
            "secondary_system": c.secondary_system,
            "impedance_percent": self.impedance,
            "temperature_rise_celsius": rise,
        }
        k = 13 if self.nonlinear else self.pick(1, 4)
        self.put(
            "transformer",
            **plate,
            insulation_class_celsius=class_,
            k_factor=k,
            location="outdoors" if self.outdoors else "indoors",
            construction=self.pick("dry", "dry", "cast_resin"),
            enclosure="ventilated_with_weather_shield" if self.outdoors else "ventilated",
            nameplate_primary_amperes=round(self.primary_current, 1),
            nameplate_secondary_amperes=round(self.secondary_current, 1),
        )
        self.put("replacement.old", **plate, k_factor=k)

    def _ratings(self) -> None:
        """Above every fault current that the source behind the impedance could drive, a center tap included."""
        tolerance = 0.9  # IEEE C57.12.01, from memory: 10 % at or below 2.5 %, 7.5 % above
        at_terminals = second.fault_current(self.secondary_current, self.impedance) / tolerance
        center_tap = self.c.secondary_system in ("single_phase_3_wire", "delta_high_leg")
        self.fault_amperes = at_terminals * (second.CENTER_TAP_FAULT if center_tap else 1.5)
        # Motors on the secondary add about four times their current: common practice.
        rating = _least_rating(self.fault_amperes + 4 * self.secondary_current)
        lugs = self.kind == "main_lugs_only"
        self.put("secondary.protection", interrupting_kiloamperes=None if lugs else rating)
        panelboard = self.rule != "industrial_25_ft" and self.kind != "grouped_devices"
        bus = next(
            b
            for b in (
                60,
                100,
                125,
                225,
                400,
                600,
                800,
                1000,
                1200,
                1600,
                2000,
                2500,
                3000,
                4000,
                6000,
            )
            if b >= max(self.ends_at, self.primary_rating * self.ratio if lugs else 0)
        )
        self.put(
            "secondary.panelboard",
            present=panelboard,
            rating=bus if panelboard else None,
            short_circuit_kiloamperes=rating
            if panelboard or self.rule == "industrial_25_ft"
            else None,
            fed_by_two_mains=None,
            at_most_42_poles=None,
        )
        source = self.pick(14, 22, 42)
        self.put("primary", source_fault_kiloamperes=source)
        self.put("primary.device", interrupting_kiloamperes=65)

    def _surroundings(self) -> None:
        outside, industrial = self.rule == "outside", self.rule == "industrial_25_ft"
        self.put(
            "observations",
            supplies_switchboard=industrial,
            outdoors_all_the_way=outside,
            reverse_fed=self.c.reverse_fed,
            grounded_phase_identified=self.c.secondary_system == "delta_corner_grounded" or None,
            **dict.fromkeys(
                ("high_leg_orange", "high_leg_on_b", "high_leg_labeled"),
                self.c.secondary_system == "delta_high_leg" or None,
            ),
            **dict.fromkeys(
                ("ungrounded_marked", "ungrounded_labeled"), not self.c.grounded or None
            ),
            nonlinear_load=self.nonlinear,
            fire_resistant_room=not self.outdoors,
            working_space_depth_inches=60,
        )

    def _readings(self) -> None:
        line = self.c.secondary_volts
        to_neutral = {
            "wye_4_wire": [line / 3**0.5] * 3,
            "delta_high_leg": [line / 2, line * 3**0.5 / 2, line / 2],
            "single_phase_3_wire": [line / 2, line / 2],
            "single_phase_2_wire": [line],
        }.get(self.c.secondary_system)
        to_ground = {
            "delta_corner_grounded": [line, 0, line],
            "delta_3_wire_ungrounded": [line / 3**0.5] * 3,
            "single_phase_2_wire": [line, 0],
        }.get(self.c.secondary_system, to_neutral)
        shown = [round(v, 1) for v in to_neutral] if to_neutral else None
        grounded = self.c.grounded
        self.put(
            "readings",
            line_to_line_volts=[line] * (3 if self.c.phases == 3 else 1),
            line_to_neutral_volts=shown,
            line_to_ground_volts=[round(v, 1) for v in to_ground or []],
            neutral_to_ground_volts=0.1 if grounded else None,
            neutral_to_ground_far_volts=1.4 if grounded else None,
            bonding_conductor_amperes=0.1,
            electrode_conductor_amperes=0.1,
            bonding_path_ohms=0.002,
            neutral_insulation_megohms=20 if grounded else None,
        )


def draw(seed: int) -> Installation:
    """The sound installation of a seed: draws that no one would build are drawn again."""
    for again in range(1000):
        try:
            return _Drawing(seed + 1_000_003 * again).draw()
        except NotBuilt:
            continue
    raise AssertionError("nothing can be built")


def changed(installation: Installation, facts: dict[str, Any]) -> Data:
    """A copy of its job with facts by their paths replaced; the switch of a larger fuse takes it."""
    copy = replaced(installation.data)
    for device in ("primary.device", "secondary.protection"):
        rating, most = facts.get(f"{device}.rating"), get(copy, f"{device}.highest_rating")
        if rating and most and rating > most:
            put(copy, f"{device}.highest_rating", rating)
    for path, value in facts.items():
        put(copy, path, value)
    return copy
