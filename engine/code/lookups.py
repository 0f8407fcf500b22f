"""Turns table rows into the plain dictionaries and tuples that the engine looks values up in."""

from typing import TypedDict

from engine.code.rows import Row, SectionRow, rows_of
from engine.code.sizes import MATERIALS, RACEWAY_TYPES, SIZES, TRADE_SIZES

NOT_CONFIRMED = "section not confirmed for this edition"
NO_SUCH_RULE = "no such rule in this edition"

# Table 4 prints two liquidtight nonmetallic conduits; type B is the one of the trade.
RACEWAY_ROWS = {name: ("LFNC-B" if name == "LFNC" else name) for name in RACEWAY_TYPES}

INSULATION_ROWS = {
    "THHN": "THHN/THWN/THWN-2",
    "THWN": "THHN/THWN/THWN-2",
    "THWN-2": "THHN/THWN/THWN-2",
    "XHHW": "XHHW/XHHW-2",
    "XHHW-2": "XHHW/XHHW-2",
    "TW": "TW/THW/THHW/THW-2",
    "THW": "TW/THW/THHW/THW-2",
    "THW-2": "TW/THW/THHW/THW-2",
    "THHW": "TW/THW/THHW/THW-2",
    # the larger of the two rows; the other stands under a name of its own
    "RHH": "RHH/RHW/RHW-2 with covering",
    "RHW": "RHH/RHW/RHW-2 with covering",
    "RHW-2": "RHH/RHW/RHW-2 with covering",
}
# Types that Table 5 prints with and without an outer covering.
UNCOVERED = ("RHH", "RHW", "RHW-2")
UNCOVERED_ROWS = {
    f"{name} without covering": "RHH/RHW/RHW-2 without covering" for name in UNCOVERED
}
COMPACT_ROWS = {
    "THHN": "THHN",
    "THWN": "THHN",
    "THWN-2": "THHN",
    "XHHW": "XHHW",
    "XHHW-2": "XHHW",
    "THW": "THW/THHW",
    "THW-2": "THW/THHW",
    "THHW": "THW/THHW",
}
CONDUITS = ("PVC", "Al", "steel")
ELECTRODE_CAPS = {
    ("rod", "copper"): "rod, pipe or plate sole connection, Cu cap",
    ("rod", "aluminum"): "rod, pipe or plate sole connection, Al cap",
    ("pipe", "copper"): "rod, pipe or plate sole connection, Cu cap",
    ("pipe", "aluminum"): "rod, pipe or plate sole connection, Al cap",
    ("plate", "copper"): "rod, pipe or plate sole connection, Cu cap",
    ("plate", "aluminum"): "rod, pipe or plate sole connection, Al cap",
    ("concrete_encased", "copper"): "concrete-encased electrode sole connection, Cu cap",
}

Bands = tuple[tuple[float, ...], tuple[str, ...]]
PercentCell = tuple[float, bool, str, str]


class Lookups(TypedDict):
    """All values of one edition, ready to be looked up; plain literals only."""

    sections: dict[str, tuple[str, str, bool, str, bool]]
    ampacity: dict[tuple[str, str, int], float]
    ambient: dict[int, tuple[tuple[float, ...], tuple[float, ...]]]
    adjustment: tuple[tuple[int, ...], tuple[float, ...]]
    rooftop: tuple[tuple[float, bool, float], ...]
    ratings: dict[str, tuple[float, ...]]
    small_conductors: dict[tuple[str, str], float]
    electrode_conductor: dict[tuple[str, str], Bands]
    bonding_jumper: dict[tuple[str, str], Bands]
    bonding_jumper_percent: float
    equipment_grounding: dict[str, Bands]
    protection: dict[tuple[str, str], tuple[tuple[float, PercentCell], ...]]
    secondary_devices: int
    thermal: tuple[tuple[float, float], ...]
    protection_over_1000: dict[tuple[str, str, str, str], tuple[tuple[float, PercentCell], ...]]
    fill: tuple[float, float, float]
    nipple_fill: float
    nipple_inches: float
    round_up: float
    raceway_area: dict[tuple[str, str], float]
    raceway_diameter: dict[tuple[str, str], float]
    raceway_trade_sizes: dict[str, tuple[str, ...]]
    metric_designator: dict[str, int]
    conductor_area: dict[tuple[str, str], float]
    conductor_diameter: dict[tuple[str, str], float]
    compact_area: dict[tuple[str, str], float]
    compact_diameter: dict[tuple[str, str], float]
    bare_area: dict[str, float]
    kcmil: dict[str, float]
    insulation_column: dict[tuple[str, bool], int]
    dc_resistance: dict[tuple[str, str], float]
    ac_impedance: dict[tuple[str, str, str], tuple[float, float]]
    parallel_minimum_size: str
    working_space: dict[str, tuple[tuple[float, float], ...]]
    electrode_caps: dict[tuple[str, str], str]
    single_electrode_ohms: float
    ground_ring_minimum_size: str
    common_conductor: dict[str, str]
    standard_kva: dict[int, tuple[float, ...]]
    normal_impedance: dict[tuple[int, float], tuple[float, float]]
    minimum_efficiency: dict[tuple[int, float], tuple[tuple[int, float], ...]]


def sections_of(
    rows: tuple[SectionRow, ...], edition: int
) -> dict[str, tuple[str, str, bool, str, bool]]:
    """Section text, title, whether confirmed, mark and whether the rule exists, by cite id."""
    found: dict[str, tuple[str, str, bool, str, bool]] = {}
    for row in rows:
        if row.from_edition <= edition <= row.to_edition:
            text = row.section or (NO_SUCH_RULE if row.mark == "none" else NOT_CONFIRMED)
            found[row.cite_id] = (
                text,
                row.title,
                row.mark != "not confirmed",
                row.mark,
                row.mark != "none",
            )
    return found


def _limit(size: str, kcmil: dict[str, float]) -> float:
    if not size:
        return float("inf")
    return kcmil[size] if size in kcmil else float(size)


def _trade_size(size: str) -> str:
    # 1200 kcmil, printed to 2017, is no size of Table 8: the smallest conductor that reaches it is 1250
    return size if size in SIZES else next(s for s in SIZES if s.isdigit() and int(s) >= int(size))


def _depths(printed: dict[tuple[str, ...], str]) -> dict[str, tuple[tuple[float, float], ...]]:
    depths: dict[str, tuple[tuple[float, float], ...]] = {}
    for (up_to, faces), inches in printed.items():
        depths[faces] = tuple(sorted((*depths.get(faces, ()), (float(up_to), float(inches)))))
    return depths


def build(
    tables: dict[str, tuple[Row, ...]], sections: tuple[SectionRow, ...], edition: int
) -> Lookups:
    """Lookups of one edition from the rows of all tables."""
    table = {name: rows_of(rows, edition) for name, rows in tables.items()}

    def values(name: str) -> dict[tuple[str, ...], str]:
        return {key: row.value for key, row in table[name].items() if row.value}

    # stranded rows come after solid ones, so they win where the table has both
    properties: dict[tuple[str, str], float] = {}
    for stranding in ("solid", "stranded"):
        for (size, kind, quantity), value in values("conductor_properties").items():
            if kind == stranding:
                properties[size, quantity] = float(value)
    kcmil = {size: properties[size, "area"] / 1000 for size in SIZES}

    ambient: dict[int, tuple[tuple[float, ...], tuple[float, ...]]] = {}
    for column in (60, 75, 90):
        bands = sorted(
            (float(up_to), float(value))
            for (up_to, of_column), value in values("ambient_correction").items()
            if int(of_column) == column
        )
        ambient[column] = (tuple(b[0] for b in bands), tuple(b[1] for b in bands))

    adjustment = sorted(
        (int(count), float(value) / 100)
        for (count,), value in values("conductor_count_adjustment").items()
    )

    common = [
        float(v)
        for (device, _), v in values("standard_ratings").items()
        if device == "breaker or fuse"
    ]
    fuse_only = [
        float(v) for (device, _), v in values("standard_ratings").items() if device == "fuse"
    ]

    def size_bands(name: str) -> dict[tuple[str, str], Bands]:
        found: dict[tuple[str, str], Bands] = {}
        for index, ungrounded in ((1, "copper"), (2, "aluminum")):
            for material in MATERIALS:
                bands = sorted(
                    (_limit(key[index], kcmil), row.value)
                    for key, row in table[name].items()
                    if key[3] == material and "percent" not in row.unit
                )
                found[ungrounded, material] = (
                    tuple(b[0] for b in bands),
                    tuple(b[1] for b in bands),
                )
        return found

    equipment_grounding: dict[str, Bands] = {}
    for material in MATERIALS:
        bands = sorted(
            (float(rating), _trade_size(value))
            for (rating, of_material), value in values("equipment_grounding_conductor").items()
            if of_material == material
        )
        equipment_grounding[material] = (tuple(b[0] for b in bands), tuple(b[1] for b in bands))

    protection: dict[tuple[str, str], list[tuple[float, PercentCell]]] = {}
    for (method, side, amperes_from, up), row in table["transformer_protection"].items():
        if row.value:
            cell = (float(row.value), up == "yes", row.status, row.note)
            protection.setdefault((method, side), []).append((float(amperes_from), cell))
    over_1000: dict[tuple[str, str, str, str], list[tuple[float, PercentCell]]] = {}
    for (location, method, impedance, side, device, up), row in table[
        "transformer_protection_over_1000"
    ].items():
        if row.value:
            cell = (float(row.value), up == "yes", row.status, row.note)
            limit = float(impedance) if impedance else float("inf")
            for one in ("breaker", "fuse") if device == "any" else (device,):
                over_1000.setdefault((location, method, side, one), []).append((limit, cell))

    raceway: dict[str, dict[tuple[str, str], float]] = {"internal diameter": {}, "total area": {}}
    designator: dict[str, int] = {}
    back: dict[str, list[str]] = {}
    for name, of_row in RACEWAY_ROWS.items():
        back.setdefault(of_row, []).append(name)
        if name != of_row:
            back[of_row].append(of_row)
    for (of_row, trade_size, metric, quantity), value in values("raceway_dimensions").items():
        designator[trade_size] = int(metric)
        for name in back.get(of_row, [of_row]):
            raceway[quantity][name, trade_size] = float(value)
    trade_sizes = {
        name: tuple(size for size in TRADE_SIZES if (name, size) in raceway["total area"])
        for name in sorted({key[0] for key in raceway["total area"]})
    }

    def insulated(name: str, rows: dict[str, str], quantity: str) -> dict[tuple[str, str], float]:
        printed = values(name)
        return {
            (insulation, size): float(printed[of_row, size, quantity])
            for insulation, of_row in rows.items()
            for size in SIZES
            if (of_row, size, quantity) in printed
        }

    reactance_row = {
        "PVC": "XL PVC or Al conduit",
        "Al": "XL PVC or Al conduit",
        "steel": "XL steel conduit",
    }
    printed = values("ac_impedance")
    impedance_of = {
        (size, material, conduit): (
            float(printed[size, f"R {symbol} {conduit} conduit"]),
            float(printed[size, reactance_row[conduit]]),
        )
        for size in SIZES
        for material, symbol in (("copper", "Cu"), ("aluminum", "Al"))
        for conduit in CONDUITS
        if (size, f"R {symbol} {conduit} conduit") in printed
    }

    notes = values("chapter_9_notes")
    electrodes = values("electrodes")
    facts = values("transformer_facts")
    normal_impedance = {
        (int(phases), float(kva)): (
            float(low),
            float(facts[phases, kva, "normal impedance high", made]),
        )
        for (phases, kva, quantity, made), low in facts.items()
        if quantity == "normal impedance low"
    }
    efficiency: dict[tuple[int, float], list[tuple[int, float]]] = {}
    for (phases, kva, quantity, made), value in facts.items():
        if quantity.startswith("minimum efficiency"):
            efficiency.setdefault((int(phases), float(kva)), []).append((int(made), float(value)))

    return Lookups(
        sections=sections_of(sections, edition),
        ampacity={(s, m, int(c)): float(v) for (s, m, c), v in values("ampacity").items()},
        ambient=ambient,
        rooftop=tuple(
            sorted(
                (float(up_to), includes == "yes", float(value))
                for (up_to, includes), value in values("rooftop_adder").items()
            )
        ),
        adjustment=(tuple(a[0] for a in adjustment), tuple(a[1] for a in adjustment)),
        ratings={"breaker": tuple(sorted(common)), "fuse": tuple(sorted(common + fuse_only))},
        small_conductors={(s, m): float(v) for (s, m), v in values("small_conductors").items()},
        electrode_conductor=size_bands("grounding_electrode_conductor"),
        bonding_jumper=size_bands("bonding_jumper"),
        bonding_jumper_percent=next(
            float(row.value) for row in table["bonding_jumper"].values() if "percent" in row.unit
        ),
        equipment_grounding=equipment_grounding,
        protection={key: tuple(sorted(cells, reverse=True)) for key, cells in protection.items()},
        secondary_devices=int(
            values("transformer_protection_notes")[
                ("secondary devices grouped in one location, most",)
            ]
        ),
        thermal=tuple(
            sorted(
                (float(z), float(v)) for (z,), v in values("transformer_thermal_protection").items()
            )
        ),
        protection_over_1000={key: tuple(sorted(cells)) for key, cells in over_1000.items()},
        fill=(
            float(values("raceway_fill")[("1",)]),
            float(values("raceway_fill")[("2",)]),
            float(values("raceway_fill")[("over 2",)]),
        ),
        nipple_fill=float(notes[("nipple fill limit",)]),
        nipple_inches=float(notes[("nipple maximum length",)]),
        round_up=float(
            notes[("decimal at or above which the count rounds up (same-size conductors)",)]
        ),
        raceway_area=raceway["total area"],
        raceway_diameter=raceway["internal diameter"],
        raceway_trade_sizes=trade_sizes,
        metric_designator=designator,
        conductor_area=insulated("conductor_dimensions", INSULATION_ROWS | UNCOVERED_ROWS, "area"),
        conductor_diameter=insulated(
            "conductor_dimensions", INSULATION_ROWS | UNCOVERED_ROWS, "diameter"
        ),
        compact_area=insulated("compact_conductor_dimensions", COMPACT_ROWS, "area"),
        compact_diameter=insulated("compact_conductor_dimensions", COMPACT_ROWS, "diameter"),
        bare_area={size: properties[size, "overall area"] for size in SIZES},
        kcmil=kcmil,
        insulation_column={
            (insulation, place == "wet"): int(v)
            for (insulation, place), v in values("insulations").items()
        },
        dc_resistance={
            (size, material): properties[size, quantity]
            for size in SIZES
            for material, quantity in (
                ("copper", "DC resistance 75C Cu uncoated"),
                ("aluminum", "DC resistance 75C Al"),
            )
            if (size, quantity) in properties
        },
        ac_impedance=impedance_of,
        working_space=_depths(values("working_space")),
        parallel_minimum_size=values("parallel_conductors")[
            ("minimum parallel size, Cu, Al or CCA",)
        ],
        electrode_caps={key: electrodes[(item,)] for key, item in ELECTRODE_CAPS.items()},
        single_electrode_ohms=float(
            electrodes[("single rod resistance limit to omit a supplement",)]
        ),
        ground_ring_minimum_size=electrodes[("ground ring bare copper size, minimum",)],
        common_conductor={
            "copper": electrodes[("common GEC minimum Cu",)],
            "aluminum": electrodes[("common GEC minimum Al",)],
        },
        standard_kva={
            phases: tuple(
                sorted(
                    float(v)
                    for (p, _, q, _), v in facts.items()
                    if q == "standard rating" and int(p) == phases
                )
            )
            for phases in (1, 3)
        },
        normal_impedance=normal_impedance,
        minimum_efficiency={key: tuple(sorted(pairs)) for key, pairs in efficiency.items()},
    )
