"""The only road from a fact that is not known to a verdict of *can't tell*."""

from collections.abc import Callable
from functools import cache
from operator import attrgetter
from types import CodeType
from typing import Any, TypeVar

M = TypeVar("M")
T = TypeVar("T")


class Missing(Exception):
    """A fact that a rule needs and nobody has read yet. `path` names it as the job file does.

    `required` and `found` carry what is known all the same, to be shown beside *can't tell*.
    """

    def __init__(self, path: str, *, required: str = "", found: str = "") -> None:
        super().__init__(path)
        self.path = path
        self.required = required
        self.found = found


class _Recorder:
    """Answers every attribute with itself and remembers the way."""

    def __init__(self, names: tuple[str, ...] = ()) -> None:
        object.__setattr__(self, "names", names)

    def __getattr__(self, name: str) -> "_Recorder":
        return _Recorder((*object.__getattribute__(self, "names"), name))


_paths: dict[CodeType, str] = {}


def path_of(read: Callable[[Any], Any]) -> str:
    """The dotted path that a reader such as `lambda job: job.primary.device.rating` follows."""
    path = _paths.get(read.__code__)
    if path is None or read.__closure__:
        path = ".".join(object.__getattribute__(read(_Recorder()), "names"))
        _paths[read.__code__] = path
    return path


def need(job: M, read: Callable[[M], T | None]) -> T:
    """The fact itself.

    Raises Missing, with the path of the fact, when it is not known. Nothing else may turn a `T | None` into a `T`.
    Section: the contract, first trap. Unit: that of the field.
    """
    value = read(job)
    if value is None:
        raise Missing(path_of(read))
    return value


@cache
def reader(path: str) -> Callable[[Any], Any]:
    """What reads the fact at a dotted path; a number in it names one of a list, None beyond its end.

    Unit: that of the field. Section: none.
    """
    names = path.split(".")
    at = next((place for place, name in enumerate(names) if name.isdecimal()), None)
    if at is None:
        return attrgetter(path)
    listed, rest = attrgetter(".".join(names[:at])), attrgetter(".".join(names[at + 1 :]))
    number = int(names[at])

    def read(job: Any) -> Any:
        items = listed(job)
        return rest(items[number]) if number < len(items) else None

    return read


def need_at(job: Any, path: str) -> Any:
    """The fact at a dotted path, for rules that are themselves data.

    Raises Missing when it is not known. Section: the contract, first trap. Unit: that of the field.
    """
    value = reader(path)(job)
    if value is None:
        raise Missing(path)
    return value
