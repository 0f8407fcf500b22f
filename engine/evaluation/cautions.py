"""The usual cautions, where they matter."""

from engine.code.choices import choice, editions_with
from engine.job import Job
from engine.job.runs import run_count

ALWAYS = (
    "For qualified persons. De-energize, lock out, tag and test dead before touching anything; taking a voltage reading "
    "is work on energized parts.",
    "The authority having jurisdiction and the local code decide. This is an aid to licensed practice, not a "
    "certificate and not an engineering study. It says at most that no conflict was found in what was looked at.",
    "The manufacturer's instructions and the listing count too. The tool never asks anyone to open a cover.",
)


def _of_the_connections(job: Job) -> list[str]:
    """What the two connections together, or one of them, do to people who expect another one."""
    said: list[str] = []
    transformer = job.transformer
    primary, secondary = transformer.primary_system or "", transformer.secondary_system or ""
    steps_up = transformer.primary_volts < transformer.secondary_volts
    if primary.startswith("wye") and secondary.startswith("delta"):
        said.append(
            "A wye is fed and the output is a delta: leave X0 (or H0) of the fed wye open, with no supply neutral "
            "and no bond on it. The delta has no neutral: ground it as a system of its own, or install ground "
            "detection."
        )
    elif steps_up:
        said.append(
            "Step-up: do not land the supply's neutral on this transformer, and do not bond the winding that is "
            "fed to the case. The case is bonded by the equipment grounding conductor."
        )
    if steps_up:
        said.append(
            "The low-voltage winding is fed: expect more inrush than usual, and taps that work in reverse."
        )
    neutral = job.secondary.grounded_conductor
    is_run = bool(neutral.present) or neutral.size is not None
    if primary == "wye_3_wire" and (
        secondary == "wye_4_wire" or (secondary == "wye_3_wire" and is_run)
    ):
        said.append(
            "Three-wire wye primary to a four-wire wye secondary: the neutral point of the primary floats. Unequal "
            "loads shift the voltages to neutral, and a ground fault may draw too little current to trip. "
            "Ask the manufacturer whether this unit is made for it."
        )
    if secondary == "delta_high_leg":
        said.append(
            "The center tap of a high-leg delta carries only a small part of the kVA. The manufacturer's limit for 120 V load "
            "is on the nameplate or the data sheet: keep the load below it."
        )
    return said


def cautions(job: Job) -> list[str]:
    """The cautions for this job, most general first. Unit: none. Section: 90.4, 110.3(B), NFPA 70E."""
    said = [*ALWAYS]
    jumper = job.bonding.system_bonding_jumper.location
    # An ungrounded system has no jumper, and lacks none.
    missing = jumper == "none" and job.transformer.secondary_system != "delta_3_wire_ungrounded"
    if (
        missing
        or job.observations.enclosure_bonded is False
        or jumper == "both"
        or job.bonding.neutral_bonded_downstream
        or any(run.neutral_bonded_downstream for run in job.secondary.further_runs)
    ):
        said.append(
            "A bond is missing or doubled here: treat all metal as live until it is tested dead."
        )
    said.append(
        "A fault in the first panel on the secondary, ahead of its main, is cleared only by the primary device: often the "
        "highest incident energy in the building."
    )
    if job.secondary.further_runs:
        said.append(
            f"{run_count(job)} secondary runs are entered. The system bonding jumper, the electrode conductor and the bonds of "
            "pipe and steel are sized by all of them together: with a run left out, they may pass though they are "
            "too small. Answer for pipe and steel in the areas that all runs serve."
        )
    sets = (job.primary.conductors.sets, job.secondary.conductors.sets)
    if job.secondary.further_runs or max(each or 1 for each in sets) > 1:
        said.append(
            "More than one conductor may land on one terminal. A lug may hold only as many conductors as its marking "
            "says. This tool does not check that."
        )
    if False in (
        job.primary.protected_from_damage,
        job.secondary.protected_from_damage,
        *(run.protected_from_damage for run in job.secondary.further_runs),
    ):
        said.append(
            "A run is recorded as not protected from damage. Not every rule in this report checks that, but the code "
            "always requires protection: protect the run, or use a raceway made for such places."
        )
    if job.purpose == "replacement":
        said.append(
            "A transformer can be fed from either side: isolate both. Never change taps, lift the system bonding jumper or "
            "open a neutral while energized."
        )
    if job.transformer.primary_volts > 1000:
        said.append(
            "Primary above 1000 V: the transformer's overcurrent limits and the secondary side are judged; primary conductors, their "
            "raceway and their equipment grounding conductor are not."
        )
    ratio = job.transformer.primary_volts / job.transformer.secondary_volts
    if job.transformer.autotransformer is None and 0.8 <= ratio <= 1.25:
        said.append(
            "Nearly equal voltages: make sure that this is not an autotransformer (buck-boost). That is not a separately derived "
            "system, and a bonding jumper there joins neutral and ground a second time."
        )
    if job.transformer.kva <= 1 and job.secondary.class_1_2_3_circuits_only is None:
        said.append(
            "Not over 1000 VA: for Class 1, 2 or 3 control circuits only, the code requires a smaller jumper and "
            "no electrode conductor. Answer what it feeds."
        )
    said.extend(_of_the_connections(job))
    if choice(job.edition, "section_numbering") == "renumbered":
        said.append(
            f"{job.edition} edition: the transformer article and others are renumbered. Section numbers that are not "
            f"confirmed are marked; values are those of {editions_with('section_numbering', 'kept')[-1]} unless noted."
        )
    return said
