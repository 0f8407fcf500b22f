"""Overcurrent devices and boards: ratings, settings, fuses and switches, one main or several."""

from collections.abc import Callable, Iterator
from operator import attrgetter

from engine.code.limits import FUSES_OF_SMALL_SWITCHES, GROUND_FAULT_PROTECTION_FROM
from engine.job import Job
from engine.job.kinds import PRESENT_SETTING
from engine.judging.contradictions.entry import SIDES, Contradiction


def _several_mains(job: Job) -> bool:
    protection = job.secondary.protection
    return protection.kind == "main_device" and len(protection.ratings or ()) > 1


def _another_rating_of_the_main(job: Job) -> bool:
    protection = job.secondary.protection
    if protection.kind != "main_device" or protection.rating is None:
        return False
    ratings = protection.ratings or ()
    return len(ratings) == 1 and ratings[0] != protection.rating


def _group_of_one(job: Job) -> bool:
    protection = job.secondary.protection
    return protection.kind == "grouped_devices" and len(protection.ratings or ()) == 1


def _more_than_two_mains(job: Job) -> bool:
    secondary = job.secondary
    return (
        bool(secondary.panelboard.fed_by_two_mains) and len(secondary.protection.ratings or ()) > 2
    )


def _one_main_in_several_enclosures(job: Job) -> bool:
    protection = job.secondary.protection
    return protection.kind == "main_device" and protection.one_enclosure is False


def _is_above(one: float | None, other: float | None) -> bool:
    return one is not None and other is not None and one > other


def _highest_below_the_rating(job: Job) -> bool:
    device = job.primary.device
    return _is_above(device.rating, device.highest_rating)


def _highest_setting_twice(job: Job) -> bool:
    device = job.primary.device
    return (
        # Fuses have no setting, so that only they may be in a switch for more.
        device.kind != "fuse"
        and device.rating_basis == "highest_setting"
        and _is_above(device.highest_rating, device.rating)
    )


def _fixed_trip_set_higher(job: Job) -> bool:
    device = job.primary.device
    return (
        device.kind == "breaker"
        and device.adjustable is False
        and _is_above(device.highest_rating, device.rating)
    )


def _settings_of_none(side: str) -> Iterator[Contradiction]:
    """What has no setting and is said to be rated by its present one: a fixed trip, a fuse."""
    device, kind, name = {
        "primary": ("primary.device", "kind", ""),
        "secondary": ("secondary.protection", "device_kind", "secondary_"),
    }[side]
    read = attrgetter(f"{device}.{kind}", f"{device}.adjustable", f"{device}.rating_basis")

    def set_where_nothing_is_set(job: Job) -> bool:
        _, adjustable, basis = read(job)
        return adjustable is False and basis in PRESENT_SETTING

    def fuse_with_a_setting(job: Job) -> bool:
        which, _, basis = read(job)
        return which == "fuse" and basis in PRESENT_SETTING

    yield Contradiction(
        f"{name}set_where_nothing_is_set",
        (f"{device}.adjustable", f"{device}.rating_basis"),
        "One answer says that the trip can't be adjusted; the other says that the rating is its present setting.",
        set_where_nothing_is_set,
    )
    yield Contradiction(
        f"{name}fuse_with_a_setting",
        (f"{device}.{kind}", f"{device}.rating_basis"),
        "A fuse has no setting. Its rating is the one printed on it.",
        fuse_with_a_setting,
    )


def _largest_of_a_group(job: Job) -> float | None:
    """The largest rating [A] of grouped devices; None where they are not grouped, or not known."""
    protection = job.secondary.protection
    return (
        max(protection.ratings or (), default=None)
        if protection.kind == "grouped_devices"
        else None
    )


def _small_fuse_in_a_large_switch(
    device: str, kind: str, rating_of: Callable[[Job], float | None]
) -> Callable[[Job], bool]:
    """Whether a switch for fuses that ask for ground-fault protection is said to hold one that none of them holds [A]."""
    read = attrgetter(f"{device}.{kind}", f"{device}.highest_rating")

    def found(job: Job) -> bool:
        which, largest = read(job)
        rating = rating_of(job)
        return (
            which == "fuse"
            and rating is not None
            and rating <= FUSES_OF_SMALL_SWITCHES
            and largest is not None
            and largest >= GROUND_FAULT_PROTECTION_FROM
        )

    return found


def _fuse_larger_than_its_switch(job: Job) -> bool:
    protection = job.secondary.protection
    return _is_above(protection.rating, protection.highest_rating)


def _fuses_larger_than_their_switches(job: Job) -> bool:
    return _is_above(_largest_of_a_group(job), job.secondary.protection.highest_rating)


def _is_breaker_at_its_highest(job: Job) -> bool:
    """Whether the secondary has breakers whose ratings are not said to be present settings."""
    protection = job.secondary.protection
    # Where its kind was not answered, a trip that can be set says that it is a breaker.
    is_breaker = protection.device_kind == "breaker" or (
        protection.device_kind is None and protection.rating_basis == "highest_setting"
    )
    return is_breaker and protection.rating_basis not in PRESENT_SETTING


def _breaker_that_takes_a_fuse(job: Job) -> bool:
    protection = job.secondary.protection
    return _is_breaker_at_its_highest(job) and _is_above(
        protection.highest_rating, protection.rating
    )


def _breakers_that_take_fuses(job: Job) -> bool:
    return _is_breaker_at_its_highest(job) and _is_above(
        job.secondary.protection.highest_rating, _largest_of_a_group(job)
    )


def _rating_of_no_board(job: Job) -> bool:
    panelboard = job.secondary.panelboard
    return (
        panelboard.present is False
        and job.observations.supplies_switchboard is False
        and panelboard.short_circuit_kiloamperes is not None
    )


_SMALL_FUSE = (
    "A switch built for fuses of 1000 A or more doesn't take a fuse this small. Read the switch label and the fuse "
    "label again."
)
SETTINGS_AND_FUSES: tuple[Contradiction, ...] = (
    Contradiction(
        "highest_below_the_rating",
        ("primary.device.rating", "primary.device.highest_rating"),
        "The highest setting, or the largest fuse that the switch takes, can't be below the rating.",
        _highest_below_the_rating,
    ),
    Contradiction(
        "highest_setting_twice",
        (
            "primary.device.rating",
            "primary.device.rating_basis",
            "primary.device.highest_rating",
        ),
        "The rating is entered as the highest setting, but a higher setting is entered too.",
        _highest_setting_twice,
    ),
    Contradiction(
        "fixed_trip_set_higher",
        (
            "primary.device.kind",
            "primary.device.adjustable",
            "primary.device.rating",
            "primary.device.highest_rating",
        ),
        "A trip that can't be adjusted can't be set above its rating.",
        _fixed_trip_set_higher,
    ),
    *(entry for side in SIDES for entry in _settings_of_none(side)),
    Contradiction(
        "fuse_larger_than_its_switch",
        ("secondary.protection.rating", "secondary.protection.highest_rating"),
        "The fuse in the switch can't be larger than the largest fuse that the switch takes.",
        _fuse_larger_than_its_switch,
    ),
    Contradiction(
        "fuses_larger_than_their_switches",
        (
            "secondary.protection.kind",
            "secondary.protection.ratings",
            "secondary.protection.highest_rating",
        ),
        "A fuse in a switch can't be larger than the largest fuse that the switches take.",
        _fuses_larger_than_their_switches,
    ),
    Contradiction(
        "small_fuse_in_a_large_switch",
        ("primary.device.kind", "primary.device.rating", "primary.device.highest_rating"),
        _SMALL_FUSE,
        _small_fuse_in_a_large_switch(
            "primary.device", "kind", attrgetter("primary.device.rating")
        ),
    ),
    Contradiction(
        "secondary_small_fuse_in_a_large_switch",
        (
            "secondary.protection.device_kind",
            "secondary.protection.rating",
            "secondary.protection.highest_rating",
        ),
        _SMALL_FUSE,
        _small_fuse_in_a_large_switch(
            "secondary.protection", "device_kind", attrgetter("secondary.protection.rating")
        ),
    ),
    Contradiction(
        "small_fuses_in_large_switches",
        (
            *("secondary.protection.kind", "secondary.protection.device_kind"),
            *("secondary.protection.ratings", "secondary.protection.highest_rating"),
        ),
        _SMALL_FUSE,
        _small_fuse_in_a_large_switch("secondary.protection", "device_kind", _largest_of_a_group),
    ),
    Contradiction(
        "breaker_that_takes_a_fuse",
        (
            "secondary.protection.device_kind",
            "secondary.protection.rating",
            "secondary.protection.highest_rating",
        ),
        "A breaker takes no fuse. If its trip can be set above the rating entered, the highest setting is its rating.",
        _breaker_that_takes_a_fuse,
    ),
    Contradiction(
        "breakers_that_take_fuses",
        (
            *("secondary.protection.kind", "secondary.protection.device_kind"),
            *("secondary.protection.ratings", "secondary.protection.highest_rating"),
        ),
        "Breakers take no fuses. If a trip can be set above the rating entered, the highest setting is the rating of "
        "that breaker.",
        _breakers_that_take_fuses,
    ),
)
RATING_OF_NO_BOARD: tuple[Contradiction, ...] = (
    Contradiction(
        "rating_of_no_board",
        (
            "secondary.panelboard.present",
            "observations.supplies_switchboard",
            "secondary.panelboard.short_circuit_kiloamperes",
        ),
        "Neither a panelboard nor a switchboard is supplied, yet the short-circuit rating of one is given.",
        _rating_of_no_board,
    ),
)
MAINS: tuple[Contradiction, ...] = (
    Contradiction(
        "several_mains",
        ("secondary.protection.kind", "secondary.protection.ratings"),
        "A single main has one rating; the list gives several.",
        _several_mains,
    ),
    Contradiction(
        "another_rating_of_the_main",
        ("secondary.protection.rating", "secondary.protection.ratings"),
        "Two different ratings are entered for the main.",
        _another_rating_of_the_main,
    ),
    Contradiction(
        "group_of_one",
        ("secondary.protection.kind", "secondary.protection.ratings"),
        "Grouped devices are two or more, but only one rating is entered. Enter a single device as the main, or enter "
        "the ratings of all.",
        _group_of_one,
    ),
    Contradiction(
        "more_than_two_mains",
        ("secondary.panelboard.fed_by_two_mains", "secondary.protection.ratings"),
        "Two mains have two ratings; the list gives more.",
        _more_than_two_mains,
    ),
    Contradiction(
        "one_main_in_several_enclosures",
        ("secondary.protection.kind", "secondary.protection.one_enclosure"),
        "One main is in one enclosure. Separate switches side by side are grouped devices.",
        _one_main_in_several_enclosures,
    ),
)
