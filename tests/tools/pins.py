"""Writes the pins again: `requirements.txt` (what users need) and `constraints.txt` (tests too).

    make pins                               keeps every version that still fits
    make pins PINS="--upgrade"              takes the newest of all
    make pins PINS="--upgrade-package rich" takes the newest of one

One version of each package serves every Python that is promised, because another version of a
Markdown extension writes other bytes. The lowest Python is resolved first, then all of them with
what that chose. Each file has the digests of every published wheel, Windows and macOS included. At the
end every Python and platform is asked whether it finds a wheel for each pin.
"""

import subprocess
import sys
import tomllib
from pathlib import Path

PROJECT = Path(__file__).parents[2]
PYTHONS = ("3.11.0", "3.11.2", "3.12", "3.13", "3.14")
LINUX = "x86_64-manylinux_2_31"
PLATFORMS = (LINUX, "aarch64-manylinux_2_31", "windows", "macos")
OLDER_MAC = "x86_64-apple-darwin"
PLAIN = ("--quiet", "--only-binary", ":all:", "--no-header", "--no-annotate")
EVERYWHERE = ("--universal", "--fork-strategy", "fewest", "--generate-hashes")
USED = ("--extra", "desk", "--extra", "models")
SOURCES = {
    "constraints.txt": ("pyproject.toml", "-", "--extra", "test", "--extra", "bench"),
    "requirements.txt": ("pyproject.toml", "-", *USED, "--constraint", "constraints.txt"),
}


def build_requirements() -> str:
    """What builds the project, which pip is told not to fetch by itself."""
    project = tomllib.loads((PROJECT / "pyproject.toml").read_text(encoding="utf-8"))
    return "\n".join(project["build-system"]["requires"])


def compile_pins(*arguments: str, given: str = "") -> None:
    """Runs the resolver. What it cannot resolve ends this script, in the resolver's own words."""
    command = [sys.executable, "-m", "uv", "pip", "compile", *PLAIN, *arguments]
    done = subprocess.run(
        command, input=given, text=True, cwd=PROJECT, check=False, stdout=subprocess.DEVNULL
    )
    if done.returncode:
        sys.exit(done.returncode)


def write(name: str, *choices: str) -> None:
    """One file of pins, for all Pythons from the lowest one on."""
    lowest = ("--output-file", name, "--python-version", PYTHONS[0], *SOURCES[name])
    given = build_requirements()
    compile_pins("--python-platform", LINUX, *choices, *lowest, given=given)
    compile_pins(*EVERYWHERE, *lowest, given=given)


def look_for_wheels(name: str, platforms: tuple[str, ...]) -> None:
    """Asks for a wheel of every pin, for each Python on each platform."""
    for python in PYTHONS:
        for platform in platforms:
            compile_pins(
                "--no-deps", "--python-version", python, "--python-platform", platform, name
            )


if __name__ == "__main__":
    write("constraints.txt", *sys.argv[1:])
    write("requirements.txt")
    look_for_wheels("constraints.txt", PLATFORMS)
    look_for_wheels("requirements.txt", (*PLATFORMS, OLDER_MAC))
