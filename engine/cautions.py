"""The usual cautions, where they matter."""

from engine.job import Job

ALWAYS = (
    "For qualified persons. De-energize, lock out, tag and test dead before touching anything; taking a voltage reading "
    "is work on energized parts.",
    "The authority having jurisdiction and the local code decide. This is an aid to licensed practice: no certificate, no "
    "engineering study. It says at most that no conflict was found in what was looked at.",
    "The manufacturer's instructions and the listing count too. The tool never asks anyone to open a cover.",
)


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
    ):
        said.append(
            "A bond is missing or doubled here: treat all metal as live until it is proved dead."
        )
    said.append(
        "A fault in the first panel on the secondary, ahead of its main, is cleared only by the primary device: often the "
        "highest incident energy in the building."
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
            "Nearly equal voltages: make sure that this is no autotransformer (buck-boost). That is not a separately derived "
            "system, and a bonding jumper there joins neutral and ground a second time."
        )
    if job.transformer.kva <= 1:
        said.append("Exceptions for control transformers of 1000 VA and less are not covered here.")
    if job.edition == 2026:
        said.append(
            "2026 edition: its transformer article and others are renumbered. Section numbers that could not be confirmed "
            "are shown as such; values are those of 2023 unless said."
        )
    return said
