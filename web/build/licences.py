"""Whose work the app and its tools stand on, and under which licence.

`python -m web.build.licences` lists everything; what is shipped goes into the static folder as
licences.txt, with the texts that came along.
"""

import email
import importlib.metadata
import json
import sys
import zipfile
from dataclasses import dataclass
from email.message import Message
from pathlib import Path

from web.build import parts
from web.build.tools import WEB

PACKAGES = WEB / "node_modules"
TEXT_NAMES = ("LICENSE", "LICENCE", "COPYING", "NOTICE")
# pyodide.asm and the standard library come as one npm package, but are two works.
PYTHON_LICENCE = "PSF-2.0"
FOREWORD = (
    "Platepath uses these libraries. They are as their makers published them, but for this: Python's\n"
    "modules are compiled, and two functions of pyodide's script stand in parentheses, which the build\n"
    "(web/build/assemble.py) puts there."
)


@dataclass(frozen=True)
class Part:
    """One library: its licence as it names it itself, and the text where it came along."""

    name: str
    version: str
    licence: str
    text: str = ""

    @property
    def line(self) -> str:
        """Name, version and licence on one line."""
        return f"{self.name} {self.version}: {self.licence}"


def shipped() -> list[Part]:
    """Every library of which something reaches the phone."""
    own = json.loads((WEB / "package.json").read_text())["dependencies"]
    found = [_npm(PACKAGES / name) for name in own]
    python = json.loads((parts.PYODIDE / "pyodide-lock.json").read_text())["info"]["python"]
    found.append(Part("CPython and its standard library", python, PYTHON_LICENCE))
    found += [_wheel(path) for path in parts.wheels()]
    return sorted(found, key=lambda part: part.name.lower())


def tools() -> list[Part]:
    """Every library that builds or tests the app, and stays here."""
    lock = json.loads((WEB / "package-lock.json").read_text())["packages"]
    found = {
        Part(name.split("node_modules/")[-1], package["version"], package.get("license", ""))
        for name, package in lock.items()
        if name
    }
    found |= {
        Part(one.metadata["Name"], one.version, _licence(one.metadata))
        for one in importlib.metadata.distributions()
    }
    return sorted(found, key=lambda part: part.name.lower())


def licence_file() -> bytes:
    """The content of licences.txt."""
    listed = shipped()
    blocks = [f"{FOREWORD}\n\n" + "\n".join(part.line for part in listed)]
    blocks += [f"{part.line}\n\n{part.text.strip()}" for part in listed if part.text]
    return ("\n\n" + "-" * 72 + "\n\n").join(blocks).encode() + b"\n"


def _npm(folder: Path) -> Part:
    package = json.loads((folder / "package.json").read_text())
    texts = [path for path in sorted(folder.iterdir()) if path.stem.upper() in TEXT_NAMES]
    text = "\n\n".join(path.read_text() for path in texts)
    return Part(package["name"], package["version"], package["license"], text)


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
    return Part(metadata["Name"], metadata["Version"], _licence(metadata), "\n\n".join(texts))


def _licence(metadata: Message | importlib.metadata.PackageMetadata) -> str:
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
