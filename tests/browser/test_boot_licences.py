"""Every library in use is under a licence that lets anybody use, change and pass on the app."""

from web.build.licences import licence_file, shipped, tools

OPEN = (
    "0BSD",
    "Apache",
    "BSD",
    "CC0",
    "HPND",
    "ISC",
    "MIT",
    "MPL",
    "Mozilla Public License",
    "PSF",
    "Python",
    "Unlicense",
    "Zlib",
    "libcst",
)


def is_open(licence: str) -> bool:
    """Whether a licence, as a package names it, is one of the open ones."""
    return any(name.lower() in licence.lower() for name in OPEN)


def test_what_reaches_the_phone_is_openly_licensed_and_listed_with_its_text(built_app) -> None:
    parts = shipped()
    assert {"pydantic", "pyodide", "preact", "comlink", "idb"} <= {part.name for part in parts}
    assert [part.line for part in parts if not is_open(part.licence)] == []
    text = (built_app / "licences.txt").read_bytes()
    assert text == licence_file()
    assert all(part.line.encode() in text for part in parts)


def test_the_tools_are_openly_licensed_too() -> None:
    parts = tools()
    assert len(parts) > 50
    assert [part.line for part in parts if not is_open(part.licence)] == []
