"""The first Python that runs in the browser: makes the engine importable and hands out its entry.

Lies at the root of site.zip. pydantic_core is half in that archive (its Python) and half a file
beside it (its compiled module), which an import from an archive would not find.
"""

import gc
import os
import sys
import zipimport
from importlib.machinery import ExtensionFileLoader, ModuleSpec
from types import ModuleType

NATIVE = {"pydantic_core._pydantic_core": "/pydantic_core.so"}


class NativeFinder:
    """Finds the compiled modules that lie beside the archive."""

    @staticmethod
    def find_spec(name: str, path: object = None, target: object = None) -> ModuleSpec | None:
        """The spec of a compiled module, or None for every other name."""
        file = NATIVE.get(name)
        return ModuleSpec(name, ExtensionFileLoader(name, file), origin=file) if file else None


sys.meta_path.insert(0, NativeFinder)


def name_in_archive(archive: zipimport.zipimporter, name: str) -> str:
    """The file name of a module in an archive, from its list of files alone.

    zipimport's own way reads and unmarshals the module to find its name, and then again to run it.
    """
    base = archive.prefix + name.rpartition(".")[2]
    files = archive_files.get(archive.archive, ())
    for end in ("/__init__.pyc", ".pyc"):
        if base + end in files:
            return f"{archive.archive}/{base}{end}"
    return read_name(archive, name)


# zipimport's own list, which the type stubs leave out.
archive_files: dict[str, dict[str, object]] = vars(zipimport)["_zip_directory_cache"]
read_name = zipimport.zipimporter.get_filename
setattr(zipimport.zipimporter, "get_filename", name_in_archive)  # noqa: B010  its own type is narrower

# What is made while the engine loads stays; looking it over for garbage, again and again, is time lost.
gc.disable()

# The build id is known only after everything is packed, so the worker brings it.
build_module = ModuleType("engine._build")
vars(build_module)["BUILD"] = os.environ.get("PLATEPATH_BUILD", "unknown")
sys.modules[build_module.__name__] = build_module

from engine.interfaces.handle import handle  # noqa: E402  importable only from here on

gc.freeze()
gc.enable()

# One evaluation over a demo job that the build packs beside this file.
self_test = __loader__.get_data("/site.zip/self_test.json").decode()


def restored() -> None:
    """Makes up for what a snapshot froze: every start would draw the same random numbers."""
    if random := sys.modules.get("random"):
        random.seed()


__all__ = ["handle", "restored", "self_test"]
