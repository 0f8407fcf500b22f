"""What the command line reads and writes: nothing destroyed that it did not write, whole lines only, any terminal.

Every failure of a file, a disk or a pipe becomes a Refusal that says what and where.
"""

import codecs
import json
import os
import re
import stat
import sys
import traceback
import unicodedata
from collections.abc import Callable, Iterable
from contextlib import suppress
from pathlib import Path
from typing import IO, TextIO, cast

from engine.files.refusals import Refusal, refuse

STANDARD_INPUT = "standard input"
STANDARD_OUTPUT = "standard output"


def refused_by(name: str, error: OSError | ValueError, right: str) -> Refusal:
    """The system's own reason as a refusal. Unit: none. Section: none."""
    # A ValueError is a name with a zero byte in it.
    wrong = (
        (error.strerror or "cannot be used").lower() if isinstance(error, OSError) else "not a path"
    )
    return refuse(name, wrong, right)


def standard_input() -> IO[bytes]:
    """Standard input as bytes. Raises Refusal when it is closed. Unit: none. Section: none."""
    stream = cast("TextIO | None", sys.stdin)
    if stream is None:
        raise refuse(STANDARD_INPUT, "closed", "a file to read, or text on standard input")
    return stream.buffer


def status_of(name: str) -> os.stat_result | None:
    """What the system knows about a path, `-` for standard input; None when there is nothing. Never raises.

    Unit: none. Section: none.
    """
    with suppress(OSError, ValueError, AttributeError):
        return os.fstat(sys.stdin.fileno()) if name == "-" else os.stat(name)
    return None


def status_of_standard_output() -> os.stat_result | None:
    """The same for standard output. Never raises. Unit: none. Section: none."""
    with suppress(OSError, ValueError, AttributeError):
        return os.fstat(sys.stdout.fileno())
    return None


def refuse_same_file(name: str, output: os.stat_result | None, read: str) -> None:
    """Raises Refusal when the output is the file that is read, however it is spelled or linked.

    Unit: none. Section: none.
    """
    source = status_of(read)
    if (
        output is not None
        and source is not None
        and stat.S_ISREG(source.st_mode)
        and os.path.samestat(output, source)
    ):
        raise refuse(
            name,
            "the same file as the input; writing it would destroy the jobs",
            "another file for the output",
        )


# ---------------------------------------------------------------- terminal

_PLAIN = {
    **{"×": "x", "·": ".", "−": "-", "–": "-", "—": "-", "…": "...", "√": "sqrt", "Ω": "ohm"},
    **{"≤": "<=", "≥": ">=", "≠": "!=", "≈": "~", "→": "->", "°": "deg", "÷": "/", "±": "+/-"},
    **{"‘": "'", "’": "'", "“": '"', "”": '"', "•": "*", "¬": "not ", "\u00ad": "", "\u202f": " "},
}


def _left_over(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return error.object[error.start : error.end], error.end


def _json_escapes(error: UnicodeError) -> tuple[str, int]:
    text, end = _left_over(error)
    return json.dumps(text)[1:-1], end


def _plain_letters(error: UnicodeError) -> tuple[str, int]:
    text, end = _left_over(error)
    return "".join(_plain(letter) for letter in text), end


def _plain(letter: str) -> str:
    if letter in _PLAIN:
        return _PLAIN[letter]
    bare = unicodedata.normalize("NFKD", letter).encode("ascii", "ignore").decode()
    return bare or letter.encode("ascii", "backslashreplace").decode()


codecs.register_error("platepath.json", _json_escapes)
codecs.register_error("platepath.words", _plain_letters)


def print_out(text: str, *, as_json: bool = False, end: str = "\n") -> None:
    """Prints on standard output, whatever letters it knows: JSON stays the same JSON, words get plain letters.

    Raises Refusal when it is closed or full, BrokenPipeError when its reader is gone. Unit: none. Section: none.
    """
    out = cast("TextIO | None", sys.stdout)
    if out is None:
        raise refuse(STANDARD_OUTPUT, "closed", "an open one, or a file with -o")
    encoding = out.encoding or "utf-8"
    if encoding.lower().replace("_", "-") not in ("utf-8", "utf8"):
        errors = "platepath.json" if as_json else "platepath.words"
        text = text.encode(encoding, errors).decode(encoding)
    try:
        out.write(text + end)
    except BrokenPipeError:
        raise
    except OSError as error:
        raise _not_printed(error) from None


def flush_out() -> None:
    """Brings out what was printed. Raises as `print_out` does. Unit: none. Section: none."""
    out = cast("TextIO | None", sys.stdout)
    if out is None or out.closed:
        return
    try:
        out.flush()
    except OSError as error:
        # What is left in the buffer must not be tried again when the program ends.
        _to_nowhere(out)
        if isinstance(error, BrokenPipeError):
            raise
        raise _not_printed(error) from None


def _not_printed(error: OSError) -> Refusal:
    return refused_by(STANDARD_OUTPUT, error, "one that takes the whole text")


def _to_nowhere(stream: TextIO) -> None:
    with suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
        os.close(nowhere)


_CONTROL = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029]")


def one_line(text: str) -> str:
    """Text in which nothing breaks the line or steers the terminal. Unit: none. Section: none."""
    return _CONTROL.sub(lambda found: json.dumps(found.group())[1:-1], text).replace(
        "\x7f", "\\u007f"
    )


def say(text: str, *, end: str = "\n") -> None:
    """Says something on stderr. Never raises: where nobody listens the work goes on. Unit: none. Section: none."""
    stream = cast("TextIO | None", sys.stderr)
    if stream is None:
        return
    try:
        print(text, end=end, file=stream, flush=True)
    except OSError:
        _to_nowhere(stream)


def fault(error: BaseException) -> str:
    """A fault of this program in one line, with its place. Unit: none. Section: none."""
    frames = traceback.extract_tb(error.__traceback__)
    place = f", {Path(frames[-1].filename).name} line {frames[-1].lineno}" if frames else ""
    return one_line(
        f"a fault of this program, not of the input ({type(error).__name__}: {error}{place}); please report it"
    )


# ---------------------------------------------------------------- files


class WholeLines:
    """A file that gets whole lines only: a line that cannot be finished is taken out again."""

    def __init__(self, name: str, read: str) -> None:
        """Opens or makes the file and leaves what is in it. Raises Refusal; also when it is the file `read`."""
        self.name = name
        self._end = 0
        kept = status_of(name)
        refuse_same_file(name, kept, read)
        # A pipe or a device is only written; a file is looked at first.
        self.regular = kept is None or stat.S_ISREG(kept.st_mode)
        how = os.O_RDWR | os.O_CREAT if self.regular else os.O_WRONLY
        try:
            self._file = os.open(name, how | getattr(os, "O_BINARY", 0), 0o666)
        except (OSError, ValueError) as error:
            raise refused_by(name, error, "a path to write") from None

    def close(self) -> None:
        """Closes the file. Unit: none. Section: none."""
        os.close(self._file)

    def written(self, longest: int) -> Iterable[bytes]:
        """The lines that are in it now, each at most so long. Unit: none. Section: none."""
        if not self.regular:
            return
        with os.fdopen(os.dup(self._file), "rb") as file:
            file.seek(0)
            while line := file.readline(longest):
                yield line

    def begin(self, size: int) -> None:
        """Keeps the first bytes and writes behind them. Raises Refusal. Unit: bytes. Section: none."""
        if not self.regular:
            return
        try:
            os.ftruncate(self._file, size)
            os.lseek(self._file, size, os.SEEK_SET)
        except OSError as error:
            raise refused_by(self.name, error, "a file that can be written") from None
        self._end = size

    def write(self, lines: str) -> None:
        """Writes whole lines. Raises Refusal when they do not fit, BrokenPipeError when the reader is gone.

        Unit: none. Section: none.
        """
        data = lines.encode()
        done = 0
        try:
            while done < len(data):
                done += os.write(self._file, memoryview(data)[done:])
        except BrokenPipeError:
            raise
        except OSError as error:
            if self.regular:
                whole = data.rfind(b"\n", 0, done) + 1
                with suppress(OSError):
                    os.ftruncate(self._file, self._end + whole)
            raise refused_by(
                self.name, error, "room for the rest; the file holds whole lines only"
            ) from None
        self._end += done


class Printed:
    """Standard output in the place of a file."""

    def __init__(self, read: str) -> None:
        """Raises Refusal when standard output goes to the file `read`."""
        refuse_same_file(STANDARD_OUTPUT, status_of_standard_output(), read)

    def write(self, lines: str) -> None:
        """Prints whole lines. Raises as `print_out` does. Unit: none. Section: none."""
        print_out(lines, as_json=True, end="")
        flush_out()


def write_document(name: str, text: str, read: str, wrong: Callable[[str], str]) -> None:
    """Writes a document whole or not at all, beside the old one first.

    wrong: what speaks against replacing the file that stands there, or "". Raises Refusal. Unit: none. Section: none.
    """
    kept = status_of(name)
    refuse_same_file(name, kept, read)
    try:
        if kept is not None and not stat.S_ISREG(kept.st_mode):
            Path(name).write_text(text, encoding="utf-8")
            return
        # Behind a link stands the file that is meant.
        target = Path(os.path.realpath(name))
        if kept is not None and kept.st_size:
            said = wrong(target.read_text(encoding="utf-8", errors="replace"))
            if said:
                raise refuse(name, said, "another file for the output")
        _replace(target, text, kept)
    except BrokenPipeError:
        raise
    except (OSError, ValueError) as error:
        if isinstance(error, Refusal):
            raise
        raise refused_by(name, error, "a path that can be written") from None


def _replace(target: Path, text: str, kept: os.stat_result | None) -> None:
    beside = target.with_name(f".{os.getpid()}.partial")
    try:
        beside.write_text(text, encoding="utf-8")
        if kept is not None:
            beside.chmod(stat.S_IMODE(kept.st_mode))
        beside.replace(target)
    except BaseException:
        with suppress(OSError):
            beside.unlink()
        raise
