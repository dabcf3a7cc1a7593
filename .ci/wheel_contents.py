"""Hold a wheel against the checkout: whatever the program reads at run time must be in it."""

import subprocess
import sys
import zipfile
from pathlib import Path

ROOT = Path(__file__).parent.parent


def wanted() -> set[str]:
    """Give the paths in the wheel of every tracked file of the packages and the templates."""
    listed = subprocess.run(
        ["git", "ls-files", "hangar", "inventory", "builds", "templates"],  # noqa: S607
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    ).stdout.split("\n")
    return {f"hangar/{name}" if name.startswith("templates/") else name for name in listed if name}


def main() -> None:
    """Leave with the names of what is missing, or say how many files are there."""
    names = set(zipfile.ZipFile(sys.argv[1]).namelist())
    files = wanted()
    if not files:
        sys.exit("this checkout tracks no files of the packages")
    missing = sorted(files - names)
    stray = sorted(name for name in names if name.startswith("tests/"))
    if missing or stray:
        sys.exit(f"missing in the wheel: {missing}; not to be in it: {stray}")
    for part in ("/migrations/0001", "hangar/templates/", "/static/"):
        if not any(part in name for name in names):
            sys.exit(f"nothing in the wheel is below {part}")
    sys.stdout.write(f"{len(names)} files in the wheel, none missing\n")


main()
