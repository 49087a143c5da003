"""Sets papers whose templates somebody else wrote: in a process of its own, within limits.

Typst knows no budget: a template may count for hours and fill all memory before anybody can stop it. A
process can be bounded by the system, and what it leaves behind is small.
"""

import multiprocessing
import os
import signal
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing.connection import Connection
from pathlib import Path

from builder.errors import Finding, FindingsError, HandoverError, Place


class NotSetError(HandoverError):
    """A template has a mistake: what Typst says of it."""


_MEGABYTE = 1024 * 1024
_NOWHERE = "http://127.0.0.1:9"
_NO_NETWORK = {
    **dict.fromkeys(("HTTP_PROXY", "HTTPS_PROXY", "ALL_PROXY", "http_proxy", "https_proxy", "all_proxy"), _NOWHERE),
    "NO_PROXY": "", "no_proxy": "",
}  # fmt: skip
"""Typst fetches packages that a template imports, and has no switch against it: it is sent where nothing answers."""


@dataclass(frozen=True, slots=True)
class PaperLimits:
    """What setting one paper may take: ``seconds`` of processor time, ``memory`` and ``output`` in bytes."""

    seconds: int = 60
    memory: int = 3 * 1024 * _MEGABYTE
    output: int = 100 * _MEGABYTE


LIMITS = PaperLimits()
"""Some twenty times what the largest paper takes that ships, a book of 60 pages with its pictures."""

Compile = Callable[[Path, Path, dict[str, str] | None], bytes]
"""Sets a file within a folder with inputs. Raises NotSetError."""


def set_apart(
    compile_: Compile, main: Path, root: Path, inputs: dict[str, str] | None, name: str, limits: PaperLimits
) -> bytes:  # fmt: skip
    """The PDF of a template that a workspace wrote. ``name``: what findings call the template.

    Raises FindingsError where it takes more than it may, NotSetError where it has a mistake.
    """
    context = multiprocessing.get_context("spawn")
    ours, its = context.Pipe(duplex=False)
    process = context.Process(
        target=_set_in_process, args=(its, compile_, main, root, inputs, limits)
    )
    process.start()
    its.close()
    try:
        pdf, wrong = ours.recv()
    except EOFError:
        pdf, wrong = b"", ""
    finally:
        process.join()
        ours.close()
    if wrong:
        raise NotSetError(wrong)
    if pdf and len(pdf) <= limits.output:
        return bytes(pdf)
    raise FindingsError([_too_much(name, _why_stopped(process.exitcode, len(pdf), limits))])


def _set_in_process(
    answers: Connection, compile_: Compile, main: Path, root: Path, inputs: dict[str, str] | None, limits: PaperLimits
) -> None:  # fmt: skip
    """Runs in the process: whatever it is stopped by ends the process alone."""
    _bounded(limits)
    os.environ.update(_NO_NETWORK)
    try:
        pdf, wrong = compile_(main, root, inputs), ""
    except NotSetError as error:
        pdf, wrong = b"", str(error)
    answers.send((pdf, wrong))
    answers.close()


def _bounded(limits: PaperLimits) -> None:
    """Bounds the time and the memory of this process, where the system can."""
    try:
        import resource  # noqa: PLC0415  (not on every system)
    except ImportError:
        return
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    resource.setrlimit(resource.RLIMIT_AS, (limits.memory, limits.memory))
    resource.setrlimit(resource.RLIMIT_CPU, (limits.seconds, limits.seconds + 5))


def _why_stopped(exit_code: int | None, size: int, limits: PaperLimits) -> str:
    if size > limits.output:
        return f"It makes a paper of {size / _MEGABYTE:,.0f} MB; at most {limits.output / _MEGABYTE:,.0f} MB are kept."
    if exit_code in (-getattr(signal, "SIGXCPU", 24), -getattr(signal, "SIGKILL", 9)):
        return f"It takes more than the {limits.seconds} seconds of processor time that a paper may take."
    return f"It takes more than the {limits.memory / _MEGABYTE:,.0f} MB of memory that a paper may take, or calls itself too deeply."


def _too_much(name: str, wrong: str) -> Finding:
    right = "Look for what repeats without end in it, or in what it imports; leave it out to print with the template that ships."
    return Finding("template.limits", Place(name), wrong, right, basis="house rule: one template never stops the others")  # fmt: skip
