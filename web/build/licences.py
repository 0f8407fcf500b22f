"""Whose work the app and its tools stand on, and under which licence.

`python -m web.build.licences` lists everything; what is shipped goes into the static folder as
licences.txt: every part with its version, licence, text and source.

Parts name themselves, and bring their texts, where they do. What is linked into the wasm of others is
listed in licence_texts/linked.json, each with a mark by which it is found in there: a part that is no
longer in there, or that comes without a text, stops the build.
"""

import ast
import email
import importlib.metadata
import json
import re
import sys
import zipfile
from dataclasses import dataclass
from email.message import Message
from functools import cache
from pathlib import Path
from typing import cast

from web.build import parts
from web.build.tools import WEB, BuildError

PACKAGES = WEB / "node_modules"
TEXTS = WEB / "build" / "licence_texts"
LINKED = json.loads((TEXTS / "linked.json").read_text())
TEXT_NAMES = ("LICENSE", "LICENCE", "COPYING", "NOTICE")
# pyodide.asm and the standard library come as one npm package, but are two works.
PYTHON_LICENCE = "PSF-2.0"
PYTHON_SOURCE = "https://github.com/python/cpython"
# Of several licences the first here is chosen: the first two ask for no notice of each author.
PREFERRED = ("Apache-2.0", "Unlicense", "MIT")
# The Unicode consortium has put the later text in the place of the earlier.
SAME_TEXT = {"Unicode-DFS-2016": "Unicode-3.0"}
# Texts that need no notice of an author, or hold it themselves.
WITHOUT_NOTICE = ("Apache-2.0", "LLVM-exception", "MPL-2.0", "PSF-2.0", "Unicode-3.0", "Unlicense")
CHANGED = ("SCRIPT", "_compiled_at_once")
FOREWORD = """\
Platepath uses the works below. Each line names version, licence and where its source is; notices and
the texts of the licences follow. Where a work offers several licences, the text given is the one used.

All are as their authors published them, but for this: Python's modules are compiled, and two functions
of Pyodide's script stand in parentheses. The source of that script is Pyodide's, at
{pyodide}; the change, which is under the same licence
(MPL-2.0), is made by these lines of web/build/assemble.py:

{change}"""
RULER = "\n\n" + "-" * 72 + "\n\n"


@dataclass(frozen=True)
class Part:
    """One work: its licence as it names it itself, where its source is, its notices, and the text it brought."""

    name: str
    version: str
    licence: str
    source: str = ""
    notices: tuple[str, ...] = ()
    authors: str = ""
    text: str = ""

    @property
    def line(self) -> str:
        """Name, version, licence and source on one line."""
        named = f"{self.name} {self.version}".strip()
        return f"{named}: {self.licence}{f'; {self.source}' if self.source else ''}"

    @property
    def shared_texts(self) -> tuple[str, ...]:
        """The names of the texts in licence_texts that it needs, none where it brought its own."""
        if self.text:
            return ()
        chosen: list[str] = []
        for alternatives in self.licence.split(" AND "):
            offered = alternatives.strip("()").split(" OR ")
            best = next((name for name in PREFERRED if name in offered), offered[0])
            chosen += [SAME_TEXT.get(name, name) for name in best.split(" WITH ")]
        return tuple(chosen)


@cache
def shipped() -> list[Part]:
    """Every work of which something reaches the phone. Raises BuildError where one cannot be accounted for."""
    own = json.loads((WEB / "package.json").read_text())["dependencies"]
    found = [_npm(PACKAGES / name) for name in own]
    python = json.loads((parts.PYODIDE / "pyodide-lock.json").read_text())["info"]["python"]
    found.append(
        Part(
            "CPython and its standard library",
            python,
            PYTHON_LICENCE,
            f"{PYTHON_SOURCE}/tree/v{python}",
        )
    )
    wheels = parts.wheels()
    found += [_wheel(path) for path in wheels]
    native = b""
    for path in wheels:
        with zipfile.ZipFile(path) as archive:
            native += b"".join(
                archive.read(name) for name in archive.namelist() if name.endswith(".so")
            )
            found += [crate for name in _boms(archive) for crate in _crates(archive.read(name))]
    found += _linked("interpreter", (parts.PYODIDE / "pyodide.asm.wasm").read_bytes())
    found += _linked("script", (parts.PYODIDE / "pyodide.asm.mjs").read_bytes())
    found += _linked("native", native)
    for part in found:
        _check(part)
    return sorted(found, key=lambda part: part.name.lower())


def _linked(where: str, content: bytes) -> list[Part]:
    """What is linked into a file, each with the version that the file says."""
    found: list[Part] = []
    for entry in LINKED[where]:
        mark = re.search(entry["mark"].encode(), content)
        if not mark:
            raise BuildError(
                f"{entry['name']} was not found in the {where}: mend web/build/licence_texts/linked.json."
            )
        version = mark.group(1).decode() if mark.re.groups else ""
        found.append(
            Part(entry["name"], version, entry["licence"], entry["source"], (*entry["notices"],))
        )
    return found


def _boms(archive: zipfile.ZipFile) -> list[str]:
    return [name for name in archive.namelist() if name.endswith(".cyclonedx.json")]


def _crates(bill: bytes) -> list[Part]:
    """The Rust crates that a wheel's own bill of materials lists, those left out that only its build used."""
    return [
        Part(
            each["name"],
            each["version"],
            each["licenses"][0]["expression"],
            _address(next(r["url"] for r in each["externalReferences"] if r["type"] == "vcs")),
            tuple(filter(None, [LINKED["crates"].get(each["name"])])),
            authors=each.get("author", ""),
        )
        for each in json.loads(bill)["components"]
        if each["scope"] == "required"
    ]


def _check(part: Part) -> None:
    missing = [name for name in part.shared_texts if not (TEXTS / f"{name}.txt").exists()]
    if missing:
        raise BuildError(f"{part.line}: web/build/licence_texts has no {', '.join(missing)}.txt.")
    bare = [name for name in part.shared_texts if name not in WITHOUT_NOTICE]
    if bare and not part.notices:
        raise BuildError(
            f"{part.line}: {', '.join(bare)} asks for its copyright notice; "
            "put it into web/build/licence_texts/linked.json."
        )
    if not part.source:
        raise BuildError(f"{part.line}: it does not say where its source is.")


def tools() -> list[Part]:
    """Every library that builds or tests the app, and stays here."""
    lock = json.loads((WEB / "package-lock.json").read_text())["packages"]
    found = {
        Part(name.split("node_modules/")[-1], package["version"], package.get("license", ""))
        for name, package in lock.items()
        if name
    }
    found |= {
        Part(one.metadata["Name"], one.version, _licence(_message(one)))
        for one in importlib.metadata.distributions()
    }
    return sorted(found, key=lambda part: part.name.lower())


@cache
def licence_file() -> bytes:
    """The content of licences.txt."""
    listed = shipped()
    pyodide = next(part for part in listed if part.name == "pyodide")
    blocks = [FOREWORD.format(pyodide=pyodide.source, change=_change())]
    blocks.append("\n".join(part.line for part in listed))
    blocks.append("\n\n".join(_noticed(part) for part in listed if not part.text))
    blocks += [f"{part.line}\n\n{part.text.strip()}" for part in listed if part.text]
    for name in sorted({name for part in listed for name in part.shared_texts}):
        blocks.append(f"{name}\n\n{(TEXTS / f'{name}.txt').read_text().strip()}")
    return RULER.join(blocks).encode() + b"\n"


def _noticed(part: Part) -> str:
    by = [f"by {part.authors}"] if part.authors and not part.notices else []
    texts = ", ".join(part.shared_texts)
    return "\n".join((f"{part.name} {part.version}".strip(), *part.notices, *by, f"Text: {texts}"))


def _change() -> str:
    """The source of the change to Pyodide's script, as it stands in the build."""
    source = (WEB / "build" / "assemble.py").read_text()
    found: dict[str, str | None] = {}
    for node in ast.parse(source).body:
        match node:
            case ast.FunctionDef(name=name) | ast.Assign(targets=[ast.Name(id=name)]):
                found[name] = ast.get_source_segment(source, node)
            case _:
                continue
    return "\n\n".join(found[name] or "" for name in CHANGED)


def _npm(folder: Path) -> Part:
    package = json.loads((folder / "package.json").read_text())
    texts = [path for path in sorted(folder.iterdir()) if path.stem.upper() in TEXT_NAMES]
    text = "\n\n".join(path.read_text() for path in texts)
    named = package["repository"]
    address = _address(named if isinstance(named, str) else named["url"])
    if folder == parts.PYODIDE:
        address += f"/tree/{package['version']}"
    return Part(package["name"], package["version"], package["license"], address, text=text)


def _address(repository: str) -> str:
    """A repository as npm packages write it, as an address to open."""
    plain = repository.removeprefix("git+").removesuffix("/").removesuffix(".git")
    plain = re.sub(r"^(git|ssh)://(git@)?", "https://", plain)
    return plain if "://" in plain else f"https://github.com/{plain.removeprefix('github:')}"


def _wheel(path: Path) -> Part:
    with zipfile.ZipFile(path) as archive:
        names = archive.namelist()
        (described,) = [name for name in names if name.endswith(".dist-info/METADATA")]
        metadata = email.message_from_bytes(archive.read(described))
        texts = [
            archive.read(name).decode()
            for name in names
            if ".dist-info/" in name and Path(name).stem.upper() in TEXT_NAMES
        ]
    return Part(
        metadata["Name"],
        metadata["Version"],
        _licence(metadata),
        _source(metadata),
        text="\n\n".join(texts),
    )


def _source(metadata: Message) -> str:
    """Where a wheel says its source is."""
    named = {
        label.strip().lower(): address.strip()
        for line in metadata.get_all("Project-URL") or []
        for label, address in [line.split(",", 1)]
    }
    wanted = ("source", "source code", "repository", "homepage", "home")
    return next((named[label] for label in wanted if label in named), metadata["Home-page"] or "")


def _message(installed: importlib.metadata.Distribution) -> Message:
    # Every version of Python gives a Message; the type stubs promise less.
    return cast("Message", installed.metadata)


def _licence(metadata: Message) -> str:
    """The licence in the newest of the three places where packages name it."""
    lines = (metadata.get("License") or "").strip().splitlines()
    # Older packages put the whole text there.
    named = metadata.get("License-Expression") or (lines[0] if len(lines) == 1 else "")
    classified = [
        line.split(" :: ")[-1]
        for line in metadata.get_all("Classifier") or []
        if line.startswith("License ::")
    ]
    return named or ", ".join(classified) or "".join(lines[:1])


def main() -> int:
    """Prints both lists."""
    print("On the phone:", *(part.line for part in shipped()), sep="\n  ")
    print("Tools:", *(part.line for part in tools()), sep="\n  ")
    return 0


if __name__ == "__main__":
    sys.exit(main())
