"""Every library in use is under a licence that lets anybody use, change and pass on the app.

What licences.txt must hold is tried in tests/web/test_licences.py, against the parts themselves.
"""

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
    "Unicode",
    "Unlicense",
    "Zlib",
    "bzip2",
    "dtoa",
    "libcst",
    "public-domain",
)


def is_open(licence: str) -> bool:
    """Whether a licence, as a package names it, is one of the open ones."""
    return any(name.lower() in licence.lower() for name in OPEN)


def test_what_reaches_the_phone_is_openly_licensed_and_listed(built_app) -> None:
    parts = shipped()
    assert {"pydantic", "pyodide", "preact", "comlink", "idb"} <= {part.name for part in parts}
    assert [part.line for part in parts if not is_open(part.licence)] == []
    assert (built_app / "licences.txt").read_bytes() == licence_file()


def test_the_tools_are_openly_licensed_too() -> None:
    parts = tools()
    assert len(parts) > 50
    assert [part.line for part in parts if not is_open(part.licence)] == []
