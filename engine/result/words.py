"""What a verdict and its severity are called, each written once: on paper, in a terminal and within a sentence."""

from engine.job import words as job_words

VERDICTS: dict[str, str] = {
    "meets": "Meets",
    "does_not_meet": "Does not meet",
    "cannot_tell": "Can't tell",
    "does_not_apply": "Does not apply",
}
SAID: dict[str, str] = {verdict: name[0].lower() + name[1:] for verdict, name in VERDICTS.items()}
SEVERITIES: dict[str, str] = {
    "danger": "danger to life",
    "violation": "violation",
    "advice": "advice",
}
JUMPER_PLACES = {place: name.said for place, name in job_words.JUMPER_PLACES.items()}
CONDUCTOR_NAMES = job_words.CONDUCTOR_NAMES
STOPS = job_words.STOPS
