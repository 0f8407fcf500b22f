"""licences.txt against the parts themselves: what npm and pip brought, and what is in the wasm."""

import email
import json
import re
import zipfile
from pathlib import Path

import brotli
import pytest

from web.build import licences, parts
from web.build.tools import WEB, BuildError

PYODIDE = WEB / "node_modules" / "pyodide"
INTERPRETER = (PYODIDE / "pyodide.asm.wasm").read_bytes()
SCRIPT = (PYODIDE / "pyodide.asm.mjs").read_bytes()
LARGEST = 60_000
# By what each text is known, however it is laid out.
TEXTS = {
    "0BSD": "Permission to use, copy, modify, and/or distribute this software for any purpose",
    "Apache-2.0": "Apache License Version 2.0, January 2004",
    "BSD-2-Clause": "Redistributions in binary form must reproduce the above copyright notice",
    "BSD-3-Clause": "may be used to endorse or promote products derived from this software without",
    "ISC": "Permission to use, copy, modify, and distribute this software for any purpose",
    "LLVM-exception": "LLVM Exceptions to the Apache 2.0 License",
    "MIT": "Permission is hereby granted, free of charge, to any person obtaining a copy of this",
    "MPL-2.0": "Mozilla Public License Version 2.0 ================================== 1. Definitions",
    "PSF-2.0": "PYTHON SOFTWARE FOUNDATION LICENSE VERSION 2",
    "Unicode-3.0": "UNICODE LICENSE V3",
    "Unicode-DFS-2016": "UNICODE LICENSE V3",
    "Unlicense": "This is free and unencumbered software released into the public domain",
    "Zlib": "This software is provided 'as-is', without any express or implied warranty",
}
# The module of Python by which one sees that a library of others is linked in.
LIBRARIES = {
    "_bz2": "bzip2",
    "_ctypes": "libffi",
    "_curses": "ncurses",
    "_dbm": "gdbm",
    "_decimal": "libmpdec",
    "_gdbm": "gdbm",
    "_hashlib": "OpenSSL",
    "_hmac": "HACL*",
    "_lzma": "liblzma",
    "_random": "Mersenne Twister",
    "_sha2": "HACL*",
    "_sqlite3": "SQLite",
    "_ssl": "OpenSSL",
    "_tkinter": "Tk",
    "_uuid": "libuuid",
    "_zstd": "Zstandard",
    "pyexpat": "expat",
    "readline": "readline",
    "unicodedata": "Unicode Character Database",
    "zlib": "zlib",
}
# Where the interpreter says which version of a library it holds.
VERSIONS = {
    "bzip2": rb"(\d\.\d\.\d), \d+-\w+-20\d\d\0",
    "CPython and its standard library": rb"\0(3\.\d\d\.\d+)\0",
    "expat": rb"expat_(\d\.\d\.\d)\0",
    "zlib": rb" deflate (\d\.\d\.\d) Copyright",
}


def plain(text: str) -> str:
    """Text without its layout."""
    return " ".join(text.split())


@pytest.fixture(scope="module")
def text() -> str:
    return licences.licence_file().decode()


@pytest.fixture(scope="module")
def words(text) -> str:
    return plain(text)


def lines(text: str, name: str) -> list[str]:
    return [line for line in text.splitlines() if re.match(re.escape(name) + r"[^;]*: ", line)]


def test_every_package_of_the_page_is_there_with_its_text_and_source(text, words) -> None:
    wanted = json.loads((WEB / "package.json").read_text())["dependencies"]
    assert {"comlink", "idb", "preact", "pyodide"} <= set(wanted)
    for name in wanted:
        folder = WEB / "node_modules" / name
        package = json.loads((folder / "package.json").read_text())
        line, *_ = lines(text, f"{name} {package['version']}")
        assert package["license"] in line
        assert "; https://" in line
        assert TEXTS[package["license"]] in words
        for path in folder.glob("LICEN*"):
            assert plain(path.read_text()) in words


def test_every_wheel_is_there_with_its_text_and_source(text, words) -> None:
    wheels = parts.wheels()
    assert len(wheels) >= 5
    for path in wheels:
        with zipfile.ZipFile(path) as archive:
            inside = [name for name in archive.namelist() if ".dist-info/" in name]
            (described,) = [name for name in inside if name.endswith("/METADATA")]
            named = email.message_from_bytes(archive.read(described))
            found = [name for name in inside if re.search(r"LICEN[CS]E|COPYING", name)]
            assert found, path
            assert all(plain(archive.read(name).decode()) in words for name in found)
        line, *_ = lines(text, f"{named['Name']} {named['Version']}")
        assert "; https://" in line


def _native() -> tuple[bytes, dict]:
    """The one compiled extension, and the bill of materials that came with it."""
    for path in parts.wheels():
        with zipfile.ZipFile(path) as archive:
            names = archive.namelist()
            for bill in (name for name in names if "/sboms/" in name):
                (code,) = [name for name in names if name.endswith(".so")]
                return archive.read(code), json.loads(archive.read(bill))
    raise AssertionError("no wheel with a bill of materials")


def _alternatives(expression: str) -> list[list[str]]:
    return [part.strip("()").split(" OR ") for part in expression.split(" AND ")]


def test_every_crate_of_the_bill_of_materials_is_there_with_its_text_and_source(
    text, words
) -> None:
    _, bill = _native()
    needed = [each for each in bill["components"] if each["scope"] == "required"]
    assert len(needed) > 70
    for each in needed:
        (line,) = lines(text, f"{each['name']} {each['version']}")
        expression = each["licenses"][0]["expression"]
        assert f": {expression}; https://" in line
        for offered in _alternatives(expression):
            assert any(TEXTS[name] in words for name in offered), line
        if expression == "MIT":
            block = text.split(f"\n\n{each['name']} {each['version']}\n")[1].split("\n\n")[0]
            assert re.match(r"Copyright|by ", block), each["name"]


def test_every_crate_that_the_compiled_extension_names_is_there(text) -> None:
    code, _ = _native()
    named = set(re.findall(rb"/([a-z][a-z0-9_-]*)-(\d+\.\d+\.\d+)/src/", code))
    assert len(named) > 20
    for name, version in named:
        found = [line for line in lines(text, name.decode()) if f" {version.decode()}: " in line]
        assert found, (name, version)
    (commit,) = set(re.findall(rb"/rustc/([0-9a-f]{40})/", code))
    assert commit.decode()[:12] in text


def test_every_library_in_the_interpreter_is_there(text) -> None:
    modules = {name.decode() for name in re.findall(rb"PyInit_(\w+)", INTERPRETER)}
    assert {"_lzma", "_sqlite3", "_zstd", "zlib"} <= modules
    for module in modules & set(LIBRARIES):
        assert lines(text, LIBRARIES[module]), module
    linked = {"mimalloc": b"mimalloc: error", "HACL*": b"Hacl_", "hiwire": b"hiwire_"}
    linked |= {"libc++": b"NSt3__2", "musl": b"__libc_malloc", "libffi": b"ffi_call"}
    for name, mark in linked.items():
        assert (mark in INTERPRETER) == bool(lines(text, name)), name
    for name, mark in {"error-stack-parser": b"ErrorStackParser", "MiniLZ4": b"MiniLZ4"}.items():
        assert (mark in SCRIPT) == bool(lines(text, name)), name


def test_libraries_have_the_version_that_the_interpreter_says(text) -> None:
    for name, mark in VERSIONS.items():
        (version,) = set(re.findall(mark, INTERPRETER))
        assert lines(text, f"{name} {version.decode()}"), name


def test_every_holder_of_rights_that_the_interpreter_names_is_named(words) -> None:
    found = set(
        re.findall(rb"Copyright (?:\(c\) )?[\d-]+ (?:by )?([A-Z][^\0\n.,]{5,40})", INTERPRETER)
    )
    assert len(found) >= 6
    for holder in found:
        assert " ".join(holder.decode().split()[:2]) in words


def test_the_change_to_pyodide_is_told_with_its_source(text, words) -> None:
    version = json.loads((PYODIDE / "package.json").read_text())["version"]
    assert f"https://github.com/pyodide/pyodide/tree/{version}; the change" in words
    assert "def _compiled_at_once(script: bytes) -> bytes:" in text
    assert "SCRIPT = re.compile(" in text
    assert "Exhibit B - " in words


def test_python_has_the_copyright_that_the_interpreter_says(words) -> None:
    (said,) = re.findall(rb"(Copyright \(c\) [\d-]+ Python Software Foundation)", INTERPRETER)
    assert f"{said.decode()}; All Rights Reserved" in words
    assert "CNRI LICENSE AGREEMENT FOR PYTHON 1.6.1" in words


def test_it_is_small_and_names_no_package_registry(text) -> None:
    assert len(brotli.compress(text.encode(), quality=11)) < LARGEST
    assert not re.search(r"npmjs|pypi|pythonhosted|crates\.io|docs\.rs", text)


@pytest.mark.parametrize(
    ("part", "words_"),
    [
        (licences.Part("x", "1", "GPL-9", "https://x.invalid"), "has no GPL-9.txt"),
        (licences.Part("x", "1", "MIT", "https://x.invalid"), "asks for its copyright notice"),
        (licences.Part("x", "1", "Apache-2.0"), "where its source is"),
    ],
)
def test_a_part_that_is_not_accounted_for_stops_the_build(part, words_) -> None:
    with pytest.raises(BuildError) as stopped:
        licences._check(part)
    assert words_ in str(stopped.value)


def test_a_library_that_is_no_longer_linked_in_stops_the_build() -> None:
    with pytest.raises(BuildError) as stopped:
        licences._linked("interpreter", b"")
    assert "was not found in the interpreter" in str(stopped.value)


def test_every_text_that_is_kept_is_used(text) -> None:
    kept = {path.stem for path in Path(licences.TEXTS).glob("*.txt")}
    assert kept == {name for part in licences.shipped() for name in part.shared_texts}
