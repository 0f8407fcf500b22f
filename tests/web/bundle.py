"""A TypeScript file with all that it imports, as one file that Node can run."""

from pathlib import Path

from web.build.tools import WEB, checked, environment


def bundled(out: Path, *options: str, web: Path = WEB, source: str = "") -> Path:
    """Bundles a file, or the source given, with the packages of a web folder. Raises BuildError with what was said."""
    esbuild = web / "node_modules" / ".bin" / "esbuild"
    command = [str(esbuild), "--bundle", f"--outfile={out}", *options]
    # Tests stand outside of web, where the packages are.
    found = {**environment(), "NODE_PATH": str(web / "node_modules")}
    checked(command, cwd=web, env=found, input=source)
    return out


def bundled_test(source: Path, folder: Path) -> Path:
    """A test file, bundled as a module for Node."""
    out = folder / f"{source.stem}.mjs"
    return bundled(out, str(source), "--format=esm", "--platform=node")


def bundled_store(out: Path, *, web: Path = WEB) -> Path:
    """All that keeps jobs, as one script that each tab of a test runs anew."""
    names = sorted(path.stem for path in (web / "jobs").glob("*.ts"))
    source = "".join(f'export * from "./jobs/{name}";\n' for name in names)
    return bundled(out, "--format=iife", "--global-name=store", web=web, source=source)
