"""The usual cautions, where they matter."""

from engine.site import Site

ALWAYS = (
    "For qualified persons. De-energize, lock out, tag and test dead before touching anything; taking a voltage reading "
    "is work on energized parts.",
    "The authority having jurisdiction and the local code decide. This is an aid to licensed practice: no certificate, no "
    "engineering study. It says at most that no conflict was found in what was looked at.",
    "The manufacturer's instructions and the listing count too. The tool never asks anyone to open a cover.",
)


def cautions(site: Site) -> list[str]:
    """The cautions for this job, most general first. Unit: none. Section: 90.4, 110.3(B), NFPA 70E."""
    said = [*ALWAYS]
    job = site.job
    if (
        job.bonding.system_bonding_jumper.location == "none"
        or job.bonding.neutral_bonded_downstream
    ):
        said.append(
            "A bond is missing or doubled here: treat all metal as live until it is proved dead."
        )
    said.append(
        "The first panel on the secondary, ahead of its main, is cleared only by the primary device: often the highest "
        "incident energy in the building."
    )
    if job.purpose == "replacement":
        said.append(
            "A transformer can be fed from either side: isolate both. Never change taps, lift the system bonding jumper or "
            "open a neutral while energized."
        )
    if job.transformer.primary_volts > 1000:
        said.append(
            "Primary above 1000 V: only the overcurrent limits of the transformer are worked out here."
        )
    if job.edition == 2026:
        said.append(
            "2026 edition: its transformer article and others are renumbered. Section numbers that could not be confirmed "
            "are shown as such; values are those of 2023 unless said."
        )
    return said
