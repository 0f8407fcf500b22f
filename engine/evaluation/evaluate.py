"""The order of the work, top to bottom as on site. One pure function: no clock, no input or output.

Values first (what the nameplate and the facts ask for), then checks (what was found, held against it). Only here does
a missing fact become *can't tell*, and only here is anything assumed, for values alone.
"""

from collections.abc import Callable, Collection, Iterable, Sequence
from functools import cache, lru_cache
from typing import Any, Literal, NamedTuple

from engine import __version__
from engine.code import EDITIONS, Code, code_for
from engine.derived import (
    bonding_jumpers,
    conductor_ampacity,
    currents,
    electrode_conductors,
    equipment_grounding,
    faults,
    grounded_conductors,
    primary_conductors,
    raceways,
    secondary_conductors,
)
from engine.derived.derived import Derived
from engine.evaluation.cautions import cautions
from engine.evaluation.drawn import drawing
from engine.evaluation.facts import contradicted, facts, heading, label, open_items, shown_at
from engine.evaluation.judged import (
    Judged,
    Outcome,
    asked_in_runs,
    is_judged_by_run,
    together,
    worst,
)
from engine.evaluation.kept_open import SELECTIVE, is_kept_open
from engine.evaluation.nameplates import nameplates
from engine.evaluation.sheet import sheet
from engine.evaluation.suppose import SupposingSite, read_or_supposed
from engine.evaluation.written_questions import written_questions
from engine.job import NAMEPLATE, Job, Readings
from engine.job.base import unread
from engine.job.missing import Missing
from engine.job.paths import is_fact_of
from engine.job.runs import run_count, run_name, value_of_run
from engine.job.site import Site, with_fact
from engine.judging.bounds import possibilities
from engine.judging.contradictions.entry import Contradiction
from engine.judging.contradictions.found import contradictions, doubted_by, without_doubted
from engine.judging.verdicts import Finding, Verdict, undetermined, worded
from engine.physics.quantities import amperes, shown
from engine.result import Alternative, Check, Group, Overall, Result, Value
from engine.rules import (
    arc_energy,
    bonding_readings,
    breaker_ratings,
    electrode_conductor,
    ground_fault,
    ground_fault_protection,
    ground_readings,
    grounded_conductor,
    grounding_electrode,
    insulation_volts,
    interrupting_ratings,
    panelboard,
    pipe_and_steel_bonds,
    primary,
    raceway_uses,
    replacement_fit,
    replacement_nameplate,
    replacement_work,
    secondary_load,
    secondary_rule,
    secondary_run,
    supply_side_bonding_jumper,
    system_bonding_jumper,
    system_grounding,
    transformer_load,
    transformer_protection,
    voltage_readings,
    wet_runs,
    winding_readings,
)
from engine.rules import raceways as raceway_rules
from engine.rules.conditions.control_circuits import (
    LIMITED_BY_ITS_SOURCE,
    but_class_2_or_3,
    but_control_circuits,
)
from engine.rules.dry_type import dry_type_indoors, dry_type_outdoors, hollow_space
from engine.rules.look import rule_of
from engine.rules.looks_electrode import ELECTRODE
from engine.rules.looks_enclosure import ENCLOSURE
from engine.rules.looks_runs import RUNS
from engine.rules.nameplate import nameplate_agrees, separate_windings
from engine.rules.rule import Rule
from engine.rules.several_enclosures import (
    jumper_of_several_enclosures,
    mains_in_one_panelboard,
)
from engine.rules.working_space import (
    accessibility,
    disconnecting_means,
    working_space,
    working_space_depth,
)

GROUPS: tuple[tuple[str, str], ...] = (
    ("nameplate", "Nameplate"),
    ("primary_disconnect", "Primary disconnect"),
    ("primary_run", "Primary run"),
    ("enclosure", "Transformer enclosure"),
    ("secondary_run", "Secondary run"),
    ("first_disconnect", "First disconnect"),
    ("bonding", "Bonding point"),
    ("electrode", "Electrode, pipe and steel"),
    ("downstream", "Downstream"),
    ("replacement", "Replacement"),
    ("readings", "Readings"),
)

GROUNDING_CHECKS = frozenset(
    {
        "separate_windings",
        "system_grounding",
        "supply_side_bonding_jumper",
        "system_bonding_jumper",
        "secondary_flexible_section",
        "jumper_of_several_enclosures",
        "single_bonding_point",
        "grounding_electrode",
        "supplemental_electrode",
        "outdoor_electrode",
        "grounding_electrode_conductor",
        "water_pipe_bond",
        "structural_steel_bond",
        "grounded_conductor",
        "grounded_conductor_sets",
        "ground_detection",
        "ungrounded_marking",
        "neutral_isolation",
        "supplied_neutral",
        "common_grounding_electrode_conductor",
        "water_pipe_entry",
    }
)
# What a grounding visit looks at besides, once an answer says that it is there.
GROUPING_CHECKS = frozenset({"circuit_grouping"})
GROUNDED_CONDUCTOR_CHECKS = frozenset({"grounded_conductor_load"})
ALUMINUM_CHECKS = frozenset({"aluminum_electrode_conductor"})


class ValueOf(NamedTuple):
    """One value of the result: id, title, place on the walk, and how it is worked out."""

    id: str
    title: str
    group: str
    work_out: Callable[[Site], Derived | None]


VALUES: tuple[ValueOf, ...] = (
    ValueOf(
        "full_load_current_primary",
        "Full-load current, primary",
        "nameplate",
        currents.full_load_current_primary,
    ),
    ValueOf(
        "full_load_current_secondary",
        "Full-load current, secondary",
        "nameplate",
        currents.full_load_current_secondary,
    ),
    ValueOf(
        "primary_device_maximum",
        "Largest primary device, alone",
        "primary_disconnect",
        currents.primary_device_maximum,
    ),
    ValueOf(
        "primary_device_maximum_with_secondary_protection",
        "Largest primary device, with secondary protection",
        "primary_disconnect",
        currents.primary_device_maximum_with_secondary_protection,
    ),
    ValueOf(
        "secondary_device_maximum",
        "Largest secondary device",
        "first_disconnect",
        currents.secondary_device_maximum,
    ),
    ValueOf(
        "primary_conductor_minimum",
        "Smallest primary conductor",
        "primary_run",
        primary_conductors.primary_conductor_minimum,
    ),
    ValueOf(
        "primary_conductor_ampacity",
        "Ampacity of the primary conductors",
        "primary_run",
        conductor_ampacity.primary_conductor_ampacity,
    ),
    ValueOf(
        "primary_equipment_grounding_minimum",
        "Smallest primary equipment grounding conductor",
        "primary_run",
        equipment_grounding.primary_equipment_grounding_minimum,
    ),
    ValueOf(
        "primary_raceway_minimum",
        "Smallest primary raceway",
        "primary_run",
        raceways.primary_raceway_minimum,
    ),
    ValueOf(
        "primary_raceway_fill",
        "Fill of the primary raceway",
        "primary_run",
        raceways.primary_raceway_fill,
    ),
    ValueOf(
        "primary_voltage_drop",
        "Voltage drop, primary (advice)",
        "primary_run",
        faults.primary_voltage_drop,
    ),
    ValueOf(
        "secondary_conductor_minimum",
        "Smallest secondary conductor",
        "secondary_run",
        secondary_conductors.secondary_conductor_minimum,
    ),
    ValueOf(
        "secondary_conductor_ampacity",
        "Ampacity of the secondary conductors",
        "secondary_run",
        conductor_ampacity.secondary_conductor_ampacity,
    ),
    ValueOf(
        "grounded_conductor_minimum",
        "Smallest grounded conductor",
        "secondary_run",
        grounded_conductors.grounded_conductor_minimum,
    ),
    ValueOf(
        "supply_side_bonding_jumper_minimum",
        "Smallest supply-side bonding jumper, in each raceway",
        "secondary_run",
        bonding_jumpers.supply_side_bonding_jumper_minimum,
    ),
    ValueOf(
        "secondary_raceway_minimum",
        "Smallest secondary raceway",
        "secondary_run",
        raceways.secondary_raceway_minimum,
    ),
    ValueOf(
        "secondary_raceway_fill",
        "Fill of the secondary raceway",
        "secondary_run",
        raceways.secondary_raceway_fill,
    ),
    ValueOf(
        "secondary_voltage_drop",
        "Voltage drop, secondary (advice)",
        "secondary_run",
        faults.secondary_voltage_drop,
    ),
    ValueOf(
        "secondary_fault_current",
        "Fault current at the secondary terminals, infinite bus, by the printed impedance",
        "first_disconnect",
        faults.secondary_fault_current,
    ),
    ValueOf(
        "secondary_fault_current_highest",
        "Fault current at the secondary terminals, infinite bus, at most",
        "first_disconnect",
        faults.secondary_fault_current_within_tolerance,
    ),
    ValueOf(
        "secondary_fault_current_to_center_tap",
        "Fault current from one line to the center tap, infinite bus, at most",
        "first_disconnect",
        faults.secondary_fault_current_to_center_tap,
    ),
    ValueOf(
        "secondary_fault_current_at_first_disconnect",
        "Fault current at the first disconnect, at most",
        "first_disconnect",
        faults.secondary_fault_current_at_first_disconnect,
    ),
    ValueOf(
        "secondary_equipment_grounding_minimum",
        "Equipment grounding conductor past the secondary device",
        "downstream",
        equipment_grounding.secondary_equipment_grounding_minimum,
    ),
    ValueOf(
        "system_bonding_jumper_minimum",
        "Smallest system bonding jumper",
        "bonding",
        bonding_jumpers.system_bonding_jumper_minimum,
    ),
    ValueOf(
        "grounding_electrode_conductor_minimum",
        "Smallest grounding electrode conductor",
        "electrode",
        electrode_conductors.grounding_electrode_conductor_minimum,
    ),
    ValueOf(
        "water_pipe_bond_minimum",
        "Smallest bond of the metal water pipe",
        "electrode",
        bonding_jumpers.water_pipe_bond_minimum,
    ),
    ValueOf(
        "structural_steel_bond_minimum",
        "Smallest bond of the structural steel",
        "electrode",
        bonding_jumpers.structural_steel_bond_minimum,
    ),
)

OBSERVED = tuple(rule_of(seen) for seen in (*ENCLOSURE, *RUNS, *ELECTRODE))

RULES: tuple[Rule, ...] = (
    nameplate_agrees,
    separate_windings,
    transformer_load.k_factor_load,
    transformer_load.transformer_load,
    but_class_2_or_3(disconnecting_means),
    but_class_2_or_3(transformer_protection.primary_device),
    primary.primary_load,
    interrupting_ratings.primary_interrupting_rating,
    breaker_ratings.primary_straight_rated,
    breaker_ratings.adjustable_trip,
    breaker_ratings.secondary_adjustable_trip,
    ground_fault_protection.primary_ground_fault_protection,
    arc_energy.primary_arc_energy,
    transformer_load.inrush,
    primary.primary_conductors,
    primary.primary_conductor_protection,
    primary.primary_equipment_grounding,
    ground_fault.ground_fault_path,
    raceway_rules.primary_raceway,
    raceway_uses.primary_raceway_use,
    raceway_rules.primary_flexible_section,
    *(r for r in OBSERVED if r.group == "enclosure"),
    working_space,
    working_space_depth,
    accessibility,
    hollow_space,
    dry_type_indoors,
    dry_type_outdoors,
    but_class_2_or_3(secondary_rule.secondary_rule, LIMITED_BY_ITS_SOURCE),
    but_class_2_or_3(secondary_run.secondary_conductors, LIMITED_BY_ITS_SOURCE),
    secondary_run.wet_insulation,
    wet_runs.wet_run_insulation,
    insulation_volts.insulation_voltage,
    secondary_run.neutral_counted,
    but_control_circuits(grounded_conductor.grounded_conductor),
    but_class_2_or_3(grounded_conductor.grounded_conductor_load, LIMITED_BY_ITS_SOURCE),
    grounded_conductor.grounded_conductor_sets,
    supply_side_bonding_jumper.supply_side_bonding_jumper,
    raceway_rules.secondary_flexible_section,
    raceway_rules.secondary_raceway,
    raceway_uses.secondary_raceway_use,
    *(r for r in OBSERVED if r.group == "secondary_run"),
    but_class_2_or_3(transformer_protection.secondary_device),
    secondary_load.secondary_load,
    panelboard.panelboard_protection,
    mains_in_one_panelboard,
    panelboard.back_fed_main,
    interrupting_ratings.interrupting_ratings,
    interrupting_ratings.secondary_device_interrupting,
    interrupting_ratings.motor_contribution,
    ground_fault_protection.secondary_ground_fault_protection,
    arc_energy.secondary_arc_energy,
    *(r for r in OBSERVED if r.group == "first_disconnect"),
    but_control_circuits(system_grounding.system_grounding),
    but_control_circuits(system_bonding_jumper.system_bonding_jumper),
    jumper_of_several_enclosures,
    but_control_circuits(system_bonding_jumper.single_bonding_point),
    raceway_rules.knockout_bonding,
    system_grounding.ground_detection,
    grounding_electrode.grounding_electrode,
    grounding_electrode.supplemental_electrode,
    electrode_conductor.grounding_electrode_conductor,
    electrode_conductor.common_grounding_electrode_conductor,
    pipe_and_steel_bonds.water_pipe_bond,
    pipe_and_steel_bonds.structural_steel_bond,
    *(r for r in OBSERVED if r.group == "electrode"),
    system_bonding_jumper.neutral_isolation,
    *(r for r in OBSERVED if r.group == "downstream"),
    replacement_work.replacement_isolation,
    replacement_nameplate.replacement_voltages,
    replacement_nameplate.replacement_capacity,
    replacement_nameplate.replacement_fault_current,
    replacement_nameplate.replacement_inrush,
    replacement_nameplate.replacement_k_factor,
    replacement_fit.replacement_terminals,
    replacement_nameplate.replacement_tap_range,
    replacement_work.replacement_taps,
    replacement_fit.replacement_enclosure,
    replacement_fit.replacement_weight,
    replacement_fit.replacement_size,
    replacement_work.replacement_frequency,
    replacement_work.replacement_bonds,
    voltage_readings.line_to_line_reading,
    voltage_readings.voltage_balance_reading,
    voltage_readings.line_to_neutral_reading,
    ground_readings.line_to_ground_reading,
    ground_readings.neutral_to_ground_reading,
    ground_readings.far_neutral_to_ground_reading,
    bonding_readings.bonding_current_reading,
    bonding_readings.neutral_insulation_reading,
    winding_readings.winding_insulation_reading,
    bonding_readings.bonding_path_reading,
    winding_readings.rotation_reading,
    winding_readings.turns_ratio_reading,
)

NO_READINGS = unread(Readings)
MOST_UNKNOWNS = 4
MOST_POSSIBILITIES = 60
# Enough where an answer on record is tried the other way: it is tried for many checks.
FEW_POSSIBILITIES = 8


_SAID = {
    "meets": "meets",
    "does_not_meet": "does not meet",
    "cannot_tell": "can't tell",
    "does_not_apply": "does not apply",
}


class _Budget:
    """How many possibilities may still be tried for one check."""

    def __init__(self, left: int) -> None:
        self.left = left


def without_assumed(job: Job) -> Job:
    """The job without what was only assumed on site: to a rule that is as unknown as what nobody read.

    Unit: none. Section: the contract, first trap.
    """
    for path in _assumed(job):
        job = with_fact(job, path, None)
    return job


def _assumed(job: Job) -> list[str]:
    return [
        path
        for path, known in job.provenance.items()
        if known == "assumed" and is_fact_of(job, path) and path not in NAMEPLATE
    ]


def _taken_on_site(job: Job, clashes: Sequence[Contradiction]) -> dict[str, str]:
    """What a value may rest on and no verdict: facts assumed by whoever looked, and facts that are contradicted."""
    return {
        path: f"{label(path).lower()} as assumed by whoever looked" for path in _assumed(job)
    } | {path: _as_entered(path) for path in doubted_by(clashes)}


def _as_entered(path: str) -> str:
    return f"{label(path).lower()} as entered, though another answer contradicts it"


def _by_run(rule: Rule, site: Site) -> list[tuple[Rule, Site]]:
    """The rule as each secondary run is held to it, and that run."""
    return [(rule.for_run(number), run) for number, run in enumerate(site.runs)]


def judge(rule: Rule, site: Site) -> Judged:
    """One check: the rule as it stands, or, with facts missing, under everything that they may turn out to be.

    Where several secondary runs are fed, a rule that reads facts of a run is held to each of them.
    """
    if site.has_further_runs and is_judged_by_run(rule):
        return together([_judge_one(*each) for each in _by_run(rule, site)], rule.severity)
    return _judge_one(rule, site)


def _judge_one(rule: Rule, site: Site) -> Judged:
    judged = _judge(rule, site, _Budget(MOST_POSSIBILITIES), 0)
    finding = judged.finding
    if isinstance(finding.remedy, str):
        return judged
    return judged._replace(finding=finding._replace(remedy=worded(finding)))


def outcome_of(rule: Rule, site: Site) -> Outcome:
    """The verdict of `judge` alone, without the work of finding what would mend it. Unit: none. Section: the rule's."""
    if site.has_further_runs and is_judged_by_run(rule):
        return worst([outcome_of(*each) for each in _by_run(rule, site)])
    finding = _judge(rule, site, _Budget(MOST_POSSIBILITIES), 0).finding
    verdict = finding.verdict
    return Outcome(verdict, finding.severity or rule.severity, _told_unasked(rule, site, verdict))


def _tried_a_little(rule: Rule, site: Site) -> Judged:
    return _judge(rule, site, _Budget(FEW_POSSIBILITIES), 0)


def _told_unasked(rule: Rule, site: Site, verdict: Verdict) -> bool:
    """Whether a visit that does not ask about a check tells it: an answer on record keeps it open."""
    if site.job.purpose != SELECTIVE or verdict != "cannot_tell" or rule.id in GROUNDING_CHECKS:
        return False
    if site.has_further_runs and is_judged_by_run(rule):
        return any(
            is_kept_open(own, run, own.asks, _tried_a_little) for own, run in _by_run(rule, site)
        )
    return is_kept_open(rule, site, asked_in_runs(rule, run_count(site.job)), _tried_a_little)


def _judge(rule: Rule, site: Site, budget: _Budget, depth: int) -> Judged:
    try:
        return Judged(rule.judge(site))
    except Missing as missing:
        path, shown_so_far = missing.path, (missing.required, missing.found)
    budget.left -= 1
    options = _options(path, site)
    if not options or depth >= MOST_UNKNOWNS or budget.left < len(options):
        return _cannot_tell(site, (path,), known=shown_so_far)
    outcomes: list[tuple[Any, Judged]] = []
    for option in options:
        outcome = _judge(rule, site.knowing(path, option), budget, depth + 1)
        if outcome.finding.verdict == "cannot_tell":
            paths = tuple(dict.fromkeys((path, *outcome.missing)))
            sites = (site.knowing(path, other) for other in options)
            return _cannot_tell(site, paths, known=_known_under_all(rule, sites, outcome.finding))
        outcomes.append((option, outcome))
        if depth and outcome.finding.verdict != outcomes[0][1].finding.verdict:
            return _cannot_tell(site, (path,))
    verdicts = {outcome.finding.verdict for _, outcome in outcomes}
    if len(verdicts) > 1:
        return _cannot_tell(site, (path,), depends=_depends(path, outcomes))
    option, hardest = min(outcomes, key=lambda pair: pair[1].finding.margin)
    if len(outcomes) == 1:
        return hardest
    known = "contradicted" if path in site.doubted else "not known"
    note = f"{label(path)} {known}; worst case {shown_at(path, option)}"
    return Judged(hardest.finding, (), (note, *hardest.even_if))


def _options(path: str, site: Site) -> Sequence[Any] | None:
    """Everything that the unknown at a path may turn out to be; None without a bound, or where its bound is doubted."""
    try:
        return possibilities(path, site.job)
    except Missing:
        return None


def _known_under_all(rule: Rule, sites: Iterable[Site], finding: Finding) -> tuple[str, str]:
    """What is required and found whichever of the possibilities it is: no possibility is shown as if it had been read."""
    required, found = finding.required, finding.found
    if not (required or found):
        return "", ""
    for site in sites:
        try:
            other = rule.judge(site)
            here = (other.required, other.found)
        except Missing as missing:
            here = (missing.required, missing.found)
        required, found = (
            a if a == b else "" for a, b in zip((required, found), here, strict=True)
        )
        if not (required or found):
            break
    return required, found


def _options_shown(path: str, options: Sequence[Any]) -> str:
    """Answers one after the other; counts that follow one another as a range."""
    if len(options) > 2 and all(type(option) is int for option in options):
        first, last = options[0], options[-1]
        if [*options] == [*range(first, last + 1)]:
            return f"{shown_at(path, first)} to {shown_at(path, last)}"
    # Some answers have a comma of their own.
    return " / ".join(shown_at(path, option) for option in options)


def _depends(path: str, outcomes: list[tuple[Any, Judged]]) -> str:
    by_verdict: dict[str, list[Any]] = {}
    for option, outcome in outcomes:
        by_verdict.setdefault(outcome.finding.verdict, []).append(option)
    if all(isinstance(option, float) for option, _ in outcomes):
        return f"It depends on: {label(path).lower()}."
    parts = [
        f"{_options_shown(path, options)}: {_SAID[verdict]}"
        for verdict, options in by_verdict.items()
    ]
    return f"It depends on: {label(path).lower()} ({'; '.join(parts)})."


def _cannot_tell(
    site: Site, paths: tuple[str, ...], *, depends: str = "", known: tuple[str, str] = ("", "")
) -> Judged:
    doubted = [path for path in paths if path in site.doubted]
    unread = [path for path in paths if path not in site.doubted]
    said: list[str] = []
    if doubted:
        said.append(f"Contradicted by another answer: {'; '.join(map(label, doubted))}.")
    if unread:
        said.append(f"Not known yet: {'; '.join(map(label, unread))}.")
    reason = " ".join(said)
    if depends:
        reason = f"{reason} {depends}"
    required, found = known
    return Judged(undetermined(reason, required=required, found=found), paths)


def _shown(derived: Derived) -> str:
    """The value for people; a limit between standard ratings with the device that keeps it."""
    text = shown(derived.value, derived.unit)
    if not derived.has_standard_rating or derived.standard_rating == derived.value:
        return text
    if derived.standard_rating is None:
        return f"{text} (no standard rating)"
    return f"{text} ({amperes(derived.standard_rating)} device)"


# Most values and checks are the same from one answer to the next, so they are put into words once.
@lru_cache(maxsize=512)
def _value(item: ValueOf, code: Code, derived: Derived, taken: tuple[str, ...]) -> Value:
    citation = code.cite(derived.cite)
    steps = [*derived.steps]
    if taken:
        steps.insert(0, f"Assumed: {'; '.join(taken)}.")
    return Value(
        value=derived.value,
        unit=derived.unit,
        shown=_shown(derived),
        title=item.title,
        section=citation.section,
        section_confirmed=citation.confirmed,
        steps=steps,
        assumed=bool(taken),
        group=item.group,
        standard_rating=derived.standard_rating,
        size=derived.size,
        alternatives=[
            Alternative(label=each.label, shown=each.shown) for each in derived.alternatives
        ],
    )


# What is worked out for each secondary run; the rest is of the transformer, or of all runs together.
OF_EACH_RUN = frozenset(
    {
        "secondary_conductor_minimum",
        "secondary_conductor_ampacity",
        "grounded_conductor_minimum",
        "supply_side_bonding_jumper_minimum",
        "secondary_raceway_minimum",
        "secondary_raceway_fill",
        "secondary_voltage_drop",
        "secondary_fault_current_at_first_disconnect",
        "secondary_equipment_grounding_minimum",
    }
)
# The primary run's own, which may differ by the rule that a secondary run relies on.
BY_RULE_OF_A_RUN = frozenset(
    {"primary_conductor_minimum", "primary_equipment_grounding_minimum", "primary_raceway_minimum"}
)


def _values(site: Site, supposing: SupposingSite, doubted: Collection[str]) -> dict[str, Value]:
    """`doubted`: what of the nameplate itself is contradicted, which every value rests on."""
    on_nameplate = tuple(_as_entered(path) for path in sorted(doubted))
    if not site.has_further_runs:
        return _values_of(VALUES, site, supposing, on_nameplate)
    by_run = OF_EACH_RUN | BY_RULE_OF_A_RUN
    shared_by_all = [item for item in VALUES if item.id not in by_run]
    of_a_run = [item for item in VALUES if item.id in by_run]
    values = _values_of(shared_by_all, site, supposing, on_nameplate)
    of_first: dict[str, Value] = {}
    for number, (run, supposed) in enumerate(zip(site.runs, supposing.runs, strict=True)):
        for id_, value in _values_of(of_a_run, run, supposed, on_nameplate).items():
            if number == 0:
                of_first[id_] = value
            elif id_ in BY_RULE_OF_A_RUN and value == of_first.get(id_):
                continue
            shared = number == 0 and id_ in BY_RULE_OF_A_RUN
            title = value.title if shared else f"{run_name(number)}: {value.title}"
            values[value_of_run(id_, number)] = value.model_copy(update={"title": title})
    order = [value_of_run(item.id, number) for item in VALUES for number in range(len(site.runs))]
    return {id_: values[id_] for id_ in order if id_ in values}


def _values_of(
    items: Iterable[ValueOf], site: Site, supposing: SupposingSite, on_nameplate: tuple[str, ...]
) -> dict[str, Value]:
    values: dict[str, Value] = {}
    for item in items:
        derived, taken = read_or_supposed(site, supposing, item.work_out)
        taken = (*on_nameplate, *taken)
        if derived is not None:
            values[item.id] = _value(item, site.code, derived, taken)
    return values


@lru_cache(maxsize=1024)
def _check(
    rule: Rule, code: Code, judged: Judged, asked: bool, differ: str | None, runs: int
) -> Check:
    finding = judged.finding
    citation = code.cite(finding.cite or rule.cite)
    reason = finding.reason
    if judged.even_if and finding.verdict in ("meets", "does_not_meet"):
        said = "Meets even if" if finding.verdict == "meets" else "Does not meet in any case"
        reason = f"{reason} {said}: {'; '.join(judged.even_if)}."
    return Check(
        id=rule.id,
        title=rule.title,
        verdict=finding.verdict,
        required=finding.required,
        found=finding.found or ("not known" if judged.missing else ""),
        section=citation.section,
        section_confirmed=citation.confirmed,
        reason=reason,
        remedy=worded(finding),
        severity=finding.severity or rule.severity,
        group=rule.group,
        steps=[*finding.steps],
        missing=[*judged.missing],
        questions=[*dict.fromkeys((*asked_in_runs(rule, runs), *judged.missing))],
        even_if=[*judged.even_if],
        editions_differ=differ,
        asked=asked,
    )


def _neighbours(edition: int) -> tuple[int, ...]:
    at = EDITIONS.index(edition)
    return tuple(EDITIONS[i] for i in (at - 1, at + 1) if 0 <= i < len(EDITIONS))


def _differ(rule: Rule, neighbours: Collection[Site], verdict: str) -> str | None:
    if not rule.changes_between_editions:
        return None
    parts: list[str] = []
    for site in neighbours:
        other = outcome_of(rule, site).verdict
        if other != verdict:
            parts.append(f"{site.code.edition}: {_SAID[other]}")
    return f"Under another edition: {'; '.join(parts)}." if parts else None


def asked_ids(job: Job) -> frozenset[str]:
    """The ids of the checks that the purpose of this visit looks at. Unit: none. Section: none."""
    ids = _asked_ids(job.purpose, job.readings != NO_READINGS)
    if job.purpose == "grounding":
        electrode = job.electrode
        # How many raceways hold a supply-side bonding wire, only a look at each of them tells.
        if supply_side_bonding_jumper.is_wire_in_several_raceways(job):
            ids |= GROUPING_CHECKS
        if grounded_conductor.is_grounded_conductor_thin(job, code_for(job.edition)):
            ids |= GROUNDED_CONDUCTOR_CHECKS
        if "aluminum" in (electrode.conductor.material, electrode.common_conductor_material):
            ids |= ALUMINUM_CHECKS
    return ids


@cache
def _asked_ids(purpose: str, has_readings: bool) -> frozenset[str]:
    if purpose == "grounding":
        return GROUNDING_CHECKS
    left_out: set[str] = set() if purpose == "replacement" else {"replacement"}
    if purpose != "replacement" and not has_readings:
        left_out.add("readings")
    return frozenset(rule.id for rule in RULES if rule.group not in left_out)


def overall_of(
    broken: int, open_: int, contradicted: int = 0
) -> Literal["conflict_found", "not_determined", "no_conflict_found"]:
    """The worst of the parts: how many requirements are broken, how many open, how many contradictions there are.

    Unit: none. Section: none.
    """
    if broken:
        return "conflict_found"
    return "not_determined" if open_ or contradicted else "no_conflict_found"


def _counted_as(check: Check) -> str:
    """Advice that is not taken breaks nothing, so it is counted apart; advice that is taken asks for nothing more."""
    if check.severity == "advice" and check.verdict == "does_not_meet":
        return "advice_not_met"
    if check.severity == "advice" and check.verdict == "cannot_tell":
        return "advice_open"
    return check.verdict


def _requirements(count: int) -> str:
    return f"{count} requirement{'' if count == 1 else 's'}"


def _dangers(danger: int, broken: int) -> str:
    """How many of the broken requirements are a danger to life."""
    if danger == 0:
        return ""
    if danger == broken:
        return ", a danger to life" if broken == 1 else ", all of them a danger to life"
    return f", {danger} of them a danger to life"


def _contradictions_said(count: int) -> str:
    """How many contradictions wait for a correction."""
    if count == 0:
        return ""
    return (
        " Two answers contradict each other: correct one of them."
        if count == 1
        else f" {count} contradictions between answers: correct them."
    )


def _overall(checks: list[Check], contradicted: int) -> Overall:
    counts = dict.fromkeys((*_SAID, "advice_not_met", "advice_open"), 0)
    looked_at = [check for check in checks if check.asked]
    for check in looked_at:
        counts[_counted_as(check)] += 1
    # A conflict counts whatever the purpose of the visit; the purpose only silences what was not looked at.
    broken = [c for c in checks if c.verdict == "does_not_meet" and c.severity != "advice"]
    open_ = [c for c in looked_at if c.verdict == "cannot_tell" and c.severity != "advice"]
    settled = counts["meets"]
    verdict = overall_of(len(broken), len(open_), contradicted)
    if verdict == "conflict_found":
        danger = sum(c.severity == "danger" for c in broken)
        text = (
            f"Conflict found: {_requirements(len(broken))} not met{_dangers(danger, len(broken))}."
        )
        if open_:
            text += f" {len(open_)} more can't be told yet."
    elif verdict == "not_determined" and not open_:
        text = f"Not determined. No conflict found in the {settled} looked at so far."
    elif verdict == "not_determined":
        text = f"Not determined: {_requirements(len(open_))} can't be told yet. "
        text += (
            f"No conflict found in the {settled} looked at so far."
            if settled
            else "Nothing was looked at yet."
        )
    else:
        text = (
            f"No conflict found in what was looked at: {_requirements(settled)}. The authority having jurisdiction "
            "decides."
        )
    return Overall(verdict=verdict, text=text + _contradictions_said(contradicted), counts=counts)


def evaluate(job: Job, *, compare_editions: bool = True) -> Result:
    """Everything that the code asks of this installation, held against what was found.

    Units, sections and steps stand beside every value. Never raises for a valid job.
    compare_editions: whether to say where a neighbouring edition would give another verdict (it costs time).
    Section: the domain as a whole; each value and check names its own.
    """
    code = code_for(job.edition)
    read = without_assumed(job)
    clashes = contradictions(read)
    doubted = doubted_by(clashes)
    known = without_doubted(read, doubted)
    site = Site(known, code, doubted)
    supposing = SupposingSite(job, code, said=_taken_on_site(job, clashes))
    values = _values(site, supposing, doubted & NAMEPLATE)
    asked = asked_ids(job)
    runs = run_count(job)
    compared = _neighbours(job.edition) if compare_editions else ()
    neighbours = [Site(known, code_for(edition), doubted) for edition in compared]
    checks: list[Check] = []
    for rule in RULES:
        judged = judge(rule, site)
        differ = _differ(rule, neighbours, judged.finding.verdict)
        looked_at = rule.id in asked or _told_unasked(rule, site, judged.finding.verdict)
        checks.append(_check(rule, code, judged, looked_at, differ, runs))
    return Result(
        format="platepath.result/1",
        edition=job.edition,
        job=heading(job),
        overall=_overall(checks, len(clashes)),
        values=values,
        sheet=sheet(site, supposing, values),
        nameplates=nameplates(read, {check.id: check for check in checks}),
        checks=checks,
        written_questions=written_questions(site),
        cautions=cautions(job),
        contradictions=[contradicted(job, clash.id, clash.why, clash.paths) for clash in clashes],
        facts=facts(job),
        open_items=open_items(checks, runs),
        groups=[Group(id=id_, title=title) for id_, title in GROUPS],
        drawing=drawing(site, checks),
        engine_version=__version__,
    )
