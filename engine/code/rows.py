"""Shape of the tables: key columns, and what each row says about its editions and its sources."""

from typing import NamedTuple

STATUSES = ("two-sources", "one-source", "formula", "memory")
MARKS = ("two sources", "one source", "memory", "not confirmed", "none")

TAIL = (
    "from_edition",
    "to_edition",
    "confirmed_editions",
    "value",
    "unit",
    "cite_id",
    "source1",
    "source2",
    "status",
    "note",
)

TABLE_KEYS: dict[str, tuple[str, ...]] = {
    "ampacity": ("size", "material", "column"),
    "ambient_correction": ("up_to_celsius", "column"),
    "conductor_count_adjustment": ("conductors_from",),
    "rooftop_adder": ("up_to_inches", "includes_end"),
    "standard_ratings": ("device", "rating"),
    "small_conductors": ("size", "material"),
    "grounding_electrode_conductor": ("row", "up_to_copper", "up_to_aluminum", "material"),
    "bonding_jumper": ("row", "up_to_copper", "up_to_aluminum", "material"),
    "equipment_grounding_conductor": ("rating_up_to", "material"),
    "transformer_protection": ("method", "side", "amperes_from", "next_size_up_permitted"),
    "transformer_protection_notes": ("item",),
    "transformer_thermal_protection": ("impedance_up_to_percent",),
    "transformer_protection_over_1000": (
        "location",
        "method",
        "impedance_up_to_percent",
        "side",
        "device",
        "next_size_up_permitted",
    ),
    "raceway_fill": ("conductors",),
    "raceway_dimensions": ("raceway", "trade_size", "metric_designator", "quantity"),
    "conductor_dimensions": ("insulation", "size", "quantity"),
    "compact_conductor_dimensions": ("insulation", "size", "quantity"),
    "conductor_properties": ("size", "stranding", "quantity"),
    "ac_impedance": ("size", "quantity"),
    "chapter_9_notes": ("item",),
    "electrodes": ("item",),
    "parallel_conductors": ("item",),
    "working_space": ("up_to_volts_to_ground", "faces"),
    "insulations": ("insulation", "location"),
    "transformer_facts": ("phases", "kva", "quantity", "made"),
}


class Row(NamedTuple):
    """One cell of a table with its edition range and sources; an empty value means none in those editions.

    `to_edition` is the newest edition where the table leaves it empty: still in force.
    """

    key: tuple[str, ...]
    from_edition: int
    to_edition: int
    confirmed_editions: tuple[int, ...]
    value: str
    unit: str
    cite_id: str
    source1: str
    source2: str
    status: str
    note: str

    def holds_in(self, edition: int) -> bool:
        """Whether this row is the one of the edition."""
        return self.from_edition <= edition <= self.to_edition


class SectionRow(NamedTuple):
    """One citation with its edition range; an empty section is one that is not printed."""

    cite_id: str
    from_edition: int
    to_edition: int
    section: str
    title: str
    mark: str
    source_note: str


class ChoiceRow(NamedTuple):
    """Which of several methods the editions of a range use."""

    choice_id: str
    from_edition: int
    to_edition: int
    choice: str
    mark: str
    note: str


def rows_of(rows: tuple[Row, ...], edition: int) -> dict[tuple[str, ...], Row]:
    """Rows of one edition by key, in the order of the file."""
    return {row.key: row for row in rows if row.holds_in(edition)}
