"""Puts the static folder together: hashed names, one build id, policy, list of files, packed copies."""

import concurrent.futures
import gzip
import json
import re
import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import cast

import brotli  # pyright: ignore[reportMissingTypeStubs]  it brings none

from web.build import parts
from web.build.licences import licence_file
from web.build.screen import (
    BUILD_MARK,
    FILES_MARK,
    PARTS_MARK,
    QUESTIONS_MARK,
    WORDS_MARK,
    WORKER_MARK,
)
from web.build.tools import CACHE, GENERATED, WEB, BuildError, sha256

START_PAGE = "index.html"
SERVICE_WORKER = "service_worker.js"
BUNDLED_LANGUAGE = "en"
EMPTY_FOLDER = "python/empty"
EMPTY_MODULE = b"\0asm\1\0\0\0"
SCRIPT = re.compile(
    rb"(async function _createPyodideModule\(.*)"
    rb"function assignWasmExports(\(wasmExports\)\{.*?\})var wasmImports=(.*\})"
    rb"\s*export default _createPyodideModule;\s*",
    re.DOTALL,
)
UNPACKED = {".png", ".webp", ".ico"}
NAME_LENGTH = 12


def _brotli(content: bytes) -> bytes:
    # The library has no types.
    return cast("bytes", brotli.compress(content, quality=11))  # pyright: ignore[reportUnknownMemberType]


def _gzip(content: bytes) -> bytes:
    return gzip.compress(content, 9, mtime=0)


PACKED_BY: dict[str, Callable[[bytes], bytes]] = {".br": _brotli, ".gz": _gzip}

POLICY = {
    "default-src": "'none'",
    "script-src": "'self' 'wasm-unsafe-eval'",
    # Joined by the hashes of the documents' own style sheets.
    "style-src": "'self'",
    "img-src": "'self' data: blob:",
    "font-src": "'self'",
    "connect-src": "'self'",
    "worker-src": "'self'",
    "manifest-src": "'self'",
    "frame-src": "'self' blob: data:",
    "base-uri": "'none'",
    "form-action": "'none'",
}
# Not allowed in a meta tag, so only in the header.
HEADER_ONLY = {"frame-ancestors": "'none'"}
HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Permissions-Policy": "geolocation=(), microphone=()",
}


def policy(*, header: bool) -> str:
    """The Content-Security-Policy, for the header or for the meta tag."""
    styles = json.loads((GENERATED / "report_styles.json").read_text())
    rules = POLICY | {"style-src": " ".join(["'self'", *styles])} | (HEADER_ONLY if header else {})
    return "; ".join(f"{name} {value}" for name, value in rules.items())


def assemble(bundles: dict[str, bytes], python: dict[str, bytes]) -> dict[str, bytes]:
    """Every file of the static folder by its path, packed copies left out."""
    python = {
        **python,
        "pyodide.asm.mjs": _compiled_at_once((parts.PYODIDE / "pyodide.asm.mjs").read_bytes()),
        "pyodide.asm.wasm": (parts.PYODIDE / "pyodide.asm.wasm").read_bytes(),
    }
    build = _build_id(bundles, python)
    files = _static_files()
    # What Pyodide fetches for itself while the worker has its wasm compiled already.
    files[f"{EMPTY_FOLDER}/pyodide.asm.wasm"] = EMPTY_MODULE
    places = {"empty": f"./{EMPTY_FOLDER}/"}
    for key, name in {
        "script": "pyodide.asm.mjs",
        "interpreter": "pyodide.asm.wasm",
        "stdlib": "stdlib.zip",
        "site": "site.zip",
        "native": "pydantic_core.wasm",
    }.items():
        places[key] = f"./{_add(files, f'python/{name}', python[name])}"

    marks = {BUILD_MARK: build, PARTS_MARK: json.dumps(places)}
    questions = _add(files, "questions.json", (GENERATED / "questions.json").read_bytes())
    marks[QUESTIONS_MARK] = f"./{questions}"
    words = {
        path.stem: f"./{_add(files, f'words/{path.name}', _compact(path))}"
        for path in sorted((WEB / "words").glob("*.json"))
        if path.stem != BUNDLED_LANGUAGE
    }
    marks[WORDS_MARK] = json.dumps(words)
    worker = _add(files, "worker.js", _filled(bundles["worker.js"], marks))
    marks[WORKER_MARK] = f"./{worker}"
    screen = {
        name: _filled(content, marks)
        for name, content in bundles.items()
        if name.startswith(("main.", "later-", "reserve-", "chunk-"))
    }
    named = _add_modules(files, screen)
    (shared,) = (name for old, name in named.items() if old.startswith("chunk-"))
    style = _add(files, "style.css", bundles["style.css"])
    files[START_PAGE] = _start_page(
        {"main.js": named["main.js"], "shared.js": shared, "style.css": style}
    )

    # Small ones first: the screen works while the engine still comes in.
    listed = sorted(files, key=lambda name: (len(files[name]), name))
    marks[FILES_MARK] = json.dumps(
        [{"url": name, "sha256": sha256(files[name]), "bytes": len(files[name])} for name in listed]
    )
    files[SERVICE_WORKER] = _filled(bundles["service_worker.js"], marks)
    files["_headers"] = _header_file(files).encode()
    return files


def write(files: dict[str, bytes], target: Path) -> None:
    """Replaces the target folder by the files, each text beside its .br and .gz copy."""
    fresh = target.with_name(f".{target.name}.new")
    shutil.rmtree(fresh, ignore_errors=True)
    packed = {name for name in files if Path(name).suffix not in UNPACKED and name != "_headers"}
    with concurrent.futures.ThreadPoolExecutor() as pool:
        made = pool.map(_packed, [files[name] for name in packed])
        copies = dict(zip(packed, made, strict=True))
    for name, content in files.items():
        path = fresh / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
        for suffix, copy in copies.get(name, {}).items():
            path.with_name(path.name + suffix).write_bytes(copy)
    shutil.rmtree(target, ignore_errors=True)
    fresh.rename(target)


def _build_id(bundles: dict[str, bytes], python: dict[str, bytes]) -> str:
    everything = {
        **bundles,
        **python,
        **_static_files(),
        START_PAGE: (WEB / START_PAGE).read_bytes(),
        "questions.json": (GENERATED / "questions.json").read_bytes(),
        **{path.name: path.read_bytes() for path in (WEB / "words").glob("*.json")},
        "policy": policy(header=True).encode(),
    }
    hashes = (f"{name} {sha256(everything[name])}\n" for name in sorted(everything))
    return sha256("".join(hashes).encode())[:16]


def _compiled_at_once(script: bytes) -> bytes:
    """Pyodide's script with its two longest functions in parentheses, which changes nothing they do.

    A browser then compiles them while it reads the script. Without, it looks the million bytes
    over first, for errors alone, and reads them again at the call.
    """
    found = SCRIPT.fullmatch(script)
    if not found:
        raise BuildError("pyodide.asm.mjs is not made up as it was: see _compiled_at_once.")
    return (
        b"const _createPyodideModule=(%bvar assignWasmExports=(function%b);var wasmImports=%b);"
        b"export default _createPyodideModule;\n" % found.groups()
    )


def _static_files() -> dict[str, bytes]:
    paths = [WEB / "manifest.webmanifest", *sorted((WEB / "icons").glob("*.*"))]
    files = {path.relative_to(WEB).as_posix(): path.read_bytes() for path in paths}
    return {"licences.txt": licence_file(), **files}


def _add(files: dict[str, bytes], name: str, content: bytes) -> str:
    """Adds a file under a name that holds its hash, so that a URL never changes its content."""
    path = Path(name)
    named = path.with_name(f"{path.stem}-{sha256(content)[:NAME_LENGTH]}{path.suffix}").as_posix()
    files[named] = content
    return named


def _add_modules(files: dict[str, bytes], modules: dict[str, bytes]) -> dict[str, str]:
    """Adds modules that import each other, each once it names those it imports by their final names."""
    named: dict[str, str] = {}
    while len(named) < len(modules):
        ready = {
            old: content
            for old, content in modules.items()
            if old not in named
            and not any(
                b"/" + other.encode() in content for other in modules if other not in {*named, old}
            )
        }
        if not ready:
            raise BuildError("The modules of the screen import each other in a circle.")
        for old, content in ready.items():
            renamed = content
            for other, final in named.items():
                renamed = renamed.replace(f"./{other}".encode(), f"./{final}".encode())
            kind = old.split(".")[0].split("-")[0]
            named[old] = _add(files, f"{'main-shared' if kind == 'chunk' else kind}.js", renamed)
    return named


def _filled(bundle: bytes, marks: dict[str, str]) -> bytes:
    text = bundle.decode()
    for mark, value in marks.items():
        # The marks stand inside string literals, in whichever quotes the bundler chose.
        for quote in "\"'`":
            literal = json.dumps(value, ensure_ascii=False)
            text = text.replace(f"{quote}{mark}{quote}", literal)
    if "@@" in text and any(mark in text for mark in marks):
        raise BuildError("A mark was left in a bundle: the bundler joined it with other text.")
    return text.encode()


def _compact(path: Path) -> bytes:
    words = json.loads(path.read_text())
    return json.dumps(words, ensure_ascii=False, separators=(",", ":")).encode()


def _start_page(names: dict[str, str]) -> bytes:
    page = (WEB / START_PAGE).read_text()
    for plain, hashed in names.items():
        if page.count(f'"{plain}"') + page.count(f'"./{plain}"') != 1:
            raise BuildError(f"web/index.html should name {plain} once.")
        page = page.replace(f'"{plain}"', f'"./{hashed}"').replace(f'"./{plain}"', f'"./{hashed}"')
    tag = f'<meta http-equiv="Content-Security-Policy" content="{policy(header=False)}">'
    if page.count("<head>") != 1:
        raise BuildError("web/index.html should have one <head>.")
    return page.replace("<head>", f"<head>\n    {tag}").encode()


def _header_file(files: dict[str, bytes]) -> str:
    """The `_headers` file that static hosts of the common kind read."""
    lines = ["/*", f"  Content-Security-Policy: {policy(header=True)}"]
    lines += [f"  {name}: {value}" for name, value in HEADERS.items()]
    lines += ["/*.wasm", "  Content-Type: application/wasm"]
    lines += ["/*.txt", "  Content-Type: text/plain; charset=utf-8"]
    for name in sorted(files):
        if name.startswith("python/") or ("-" in Path(name).stem and Path(name).suffix == ".js"):
            lines += [f"/{name}", "  Cache-Control: public, max-age=31536000, immutable"]
    return "\n".join(lines) + "\n"


def _packed(content: bytes) -> dict[str, bytes]:
    """The .br and .gz copies, kept between builds since packing the runtime takes long."""
    folder = CACHE / "packed"
    folder.mkdir(parents=True, exist_ok=True)
    copies: dict[str, bytes] = {}
    for suffix, pack in PACKED_BY.items():
        kept = folder / f"{sha256(content)}{suffix}"
        if not kept.exists():
            # Under a name of its own: files of equal content are packed at the same time.
            with tempfile.NamedTemporaryFile(dir=folder, suffix=".partial", delete=False) as made:
                made.write(pack(content))
            Path(made.name).replace(kept)
        copies[suffix] = kept.read_bytes()
    return copies
