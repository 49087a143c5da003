"""Runs the two commands of the README in bare roots of Debian, as root: trust no machine that has more.

    python3 tests/tools/bare_root.py                      both, `make demo` and what `make test` sets up
    python3 tests/tools/bare_root.py --whole bookworm     all of `make test` too, in Debian 12

A root holds what debootstrap calls minimal, and make, python3 and ca-certificates. How this machine
reaches its packages (the configuration of apt and pip, certificates, a proxy) is taken along as it
stands here. Nothing outlives the run: processes and mounts end with their namespace.
"""

import argparse
import os
import shutil
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

PROJECT = Path(__file__).parents[2]
SUITES = {"bookworm": "Debian 12", "trixie": "Debian 13"}
PACKAGES = "make,python3,ca-certificates"
TAKEN = ("/etc/apt/apt.conf.d", "/etc/apt/auth.conf.d", "/etc/resolv.conf", "/etc/hosts")
TAKEN += ("/etc/ssl/certs/ca-certificates.crt", str(Path.home() / ".npmrc"))
HOME = Path("/root")
OF_PIP = ("index-url", "trusted-host", "cert", "proxy", "timeout")
VARIABLES = ("NPM_CONFIG_", "NODE_EXTRA_CA", "SSL_CERT_FILE", "REQUESTS_CA", "CURL_CA")
INSIDE = "/home/builder"


def mirror() -> str:
    """Where this machine has its Debian packages from."""
    command = ["apt-get", "indextargets", "--format", "$(REPO_URI)", "Created-By: Packages"]
    found = subprocess.run(command, capture_output=True, text=True, check=True).stdout.split()
    return next(address for address in found if address.rstrip("/").endswith("/debian"))


def make_root(suite: str, root: Path) -> None:
    """A minimal root, and how this machine reaches what is installed into it."""
    log = root.with_suffix(".log")
    with log.open("wb") as out:
        command = ["debootstrap", "--variant=minbase", f"--include={PACKAGES}", suite, str(root)]
        subprocess.run([*command, mirror()], check=True, stdout=out, stderr=out)
    for path in map(Path, TAKEN):
        take(path, root)


def take(path: Path, root: Path) -> None:
    """Copies one file or folder of this machine to the same place in the root."""
    to = HOME / path.relative_to(Path.home()) if path.is_relative_to(Path.home()) else path
    target = root / to.relative_to("/")
    target.parent.mkdir(parents=True, exist_ok=True)
    if path.is_dir():
        shutil.copytree(path, target, dirs_exist_ok=True)
    elif path.exists():
        shutil.copy(path, target)


def copy_project(root: Path) -> None:
    """The files that version control knows, as they stand here."""
    known = ["git", "ls-files", "--cached", "-z"]
    names = subprocess.run(known, cwd=PROJECT, capture_output=True, text=True, check=True).stdout
    for name in filter(None, names.split("\0")):
        target = root / INSIDE.lstrip("/") / name
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(PROJECT / name, target)


def environment() -> dict[str, str]:
    """What the root is told of this machine. Packages that only this machine has are not named."""
    told = {name: value for name, value in os.environ.items() if name.startswith(VARIABLES)}
    told |= {name: value for name, value in os.environ.items() if name.lower().endswith("_proxy")}
    told |= {f"PIP_{name.upper().replace('-', '_')}": value for name, value in pip_settings()}
    return told | {"HOME": str(HOME), "PATH": "/usr/sbin:/usr/bin:/sbin:/bin", "LANG": "C.UTF-8"}


def pip_settings() -> Iterator[tuple[str, str]]:
    """How pip reaches its index from this machine."""
    listing = [sys.executable, "-m", "pip", "config", "list"]
    listed = subprocess.run(listing, capture_output=True, text=True, check=False).stdout
    for line in listed.splitlines():
        name, _, value = line.partition("=")
        if name.rpartition(".")[2] in OF_PIP:
            yield name.rpartition(".")[2], value.strip("'")


def inside(root: Path, command: str) -> list[str]:
    """The command line that runs something in the root, in mounts and processes of its own."""
    mounts = f"mount -t proc proc {root}/proc && mount --rbind /dev {root}/dev"
    shell = f'{mounts} && exec chroot {root} /bin/sh -c "cd {INSIDE} && {command}"'
    return ["unshare", "--mount", "--pid", "--fork", "--kill-child", "/bin/sh", "-c", shell]


def run(root: Path, command: str) -> None:
    """Runs one command to its end. One that fails ends this script."""
    started = time.monotonic()
    done = subprocess.run(inside(root, command), env=environment(), check=False)
    print(f"{command}: {time.monotonic() - started:.0f} s, exit code {done.returncode}", flush=True)
    if done.returncode:
        sys.exit(1)


def demo(root: Path) -> None:
    """`make demo` until it serves a guide, then it is stopped."""
    port = free_port()
    started = time.monotonic()
    with running(inside(root, f"make demo PORT={port}")) as process:
        while not served(root, port):
            if process.poll() is not None:
                sys.exit(f"make demo ended with {process.returncode}")
            time.sleep(1)
    guides = len(list((root / INSIDE.lstrip("/") / "public" / "g").iterdir()))
    print(
        f"make demo: {time.monotonic() - started:.0f} s until {guides} guides are served",
        flush=True,
    )


@contextmanager
def running(command: list[str]) -> Iterator[subprocess.Popen[bytes]]:
    """A command that is stopped at the end, with all that it started."""
    process = subprocess.Popen(command, env=environment())
    try:
        yield process
    finally:
        process.kill()
        process.wait()


def free_port() -> int:
    with socket.socket() as asked:
        asked.bind(("127.0.0.1", 0))
        return int(asked.getsockname()[1])


def served(root: Path, port: int) -> bool:
    """Whether a guide of the root can be read over HTTP."""
    for guide in (root / INSIDE.lstrip("/") / "public" / "g").glob("*/index.html"):
        address = f"http://127.0.0.1:{port}/g/{guide.parent.name}/"
        try:
            with urllib.request.build_opener(urllib.request.ProxyHandler({})).open(address) as page:
                return page.read() == guide.read_bytes()
        except OSError:
            return False
    return False


def try_suite(suite: str, *, whole: bool) -> None:
    """Both commands in one new root, which is removed again."""
    with tempfile.TemporaryDirectory(prefix=f"{suite}-") as folder:
        root = Path(folder) / "root"
        started = time.monotonic()
        make_root(suite, root)
        copy_project(root)
        print(
            f"{SUITES[suite]} ({suite}): bare root in {time.monotonic() - started:.0f} s",
            flush=True,
        )
        run(root, "python3 --version")
        demo(root)
        run(root, "make tested tools")
        if whole:
            run(root, "make test")


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    parser.add_argument("suites", nargs="*", metavar="SUITE", help=", ".join(SUITES))
    parser.add_argument("--whole", action="store_true", help="run all of `make test` too")
    asked = parser.parse_args()
    if shutil.which("debootstrap") is None:
        subprocess.run([PROJECT / "tests/tools/debian.sh", "debootstrap"], check=True)
    for suite in asked.suites or SUITES:
        try_suite(suite, whole=asked.whole)


if __name__ == "__main__":
    main()
