"""What a verdict and its severity are called, each written once: on paper, in a terminal and within a sentence."""

from engine.job import words as job_words
from engine.judging.verdicts import Severity, Verdict

VERDICTS: dict[Verdict, str] = {
    "meets": "Meets",
    "does_not_meet": "Does not meet",
    "cannot_tell": "Can't tell",
    "does_not_apply": "Does not apply",
}
SAID: dict[Verdict, str] = {
    verdict: name[0].lower() + name[1:] for verdict, name in VERDICTS.items()
}
SEVERITIES: dict[Severity, str] = {
    "danger": "danger to life",
    "violation": "violation",
    "advice": "advice",
}
JUMPER_PLACES = {place: name.said for place, name in job_words.JUMPER_PLACES.items()}
CONDUCTORS = job_words.CONDUCTORS
STOPS = job_words.STOPS
