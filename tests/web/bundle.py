"""A TypeScript file with all that it imports, as one file that Node can run."""

from pathlib import Path

from web.build.tools import WEB, checked, environment


def bundled(source: Path, out: Path, *options: str, web: Path = WEB) -> Path:
    """Bundles a file with the packages of a web folder. Raises BuildError with what the bundler said."""
    esbuild = web / "node_modules" / ".bin" / "esbuild"
    command = [str(esbuild), str(source), "--bundle", f"--outfile={out}", *options]
    # Tests stand outside of web, where the packages are.
    checked(command, cwd=web, env={**environment(), "NODE_PATH": str(web / "node_modules")})
    return out


def bundled_test(source: Path, folder: Path) -> Path:
    """A test file, bundled as a module for Node."""
    return bundled(source, folder / f"{source.stem}.mjs", "--format=esm", "--platform=node")


def bundled_store(source: Path, out: Path, *, web: Path = WEB) -> Path:
    """The store as a script that each tab of a test runs anew."""
    return bundled(source, out, "--format=iife", "--global-name=store", web=web)
