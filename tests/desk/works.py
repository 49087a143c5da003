"""Small pieces of long work. They stand apart from tests, so that the process of each loads little."""

import os
import time
from pathlib import Path

from builder.desk.jobs import Say
from builder.desk.kept_work import MadeFile, WorkReport
from builder.errors import HandoverError


def counting(folder: str, name: str, say: Say) -> WorkReport:
    """Work that writes when it begins and ends, and tells of three steps."""
    with open(f"{folder}/order", "a", encoding="utf-8") as order:
        order.write(f"{name} begins\n")
    for step in range(3):
        say(f"step {step}")
    with open(f"{folder}/order", "a", encoding="utf-8") as order:
        order.write(f"{name} ends\n")
    return WorkReport((f"{name} is done.",))


def refusing(say: Say) -> WorkReport:
    raise HandoverError("Another build is writing. Try again when it has ended.")


def dying(say: Say) -> WorkReport:
    say("one step")
    os._exit(9)


def stumbling(say: Say) -> WorkReport:
    raise KeyError("12 Private Lane")


def making(say: Say) -> WorkReport:
    return WorkReport(("It is made.",), made=MadeFile("x.pdf", "application/pdf", b"%PDF"))


def waiting(folder: str, say: Say) -> WorkReport:
    """Work that goes on until somebody says that it may end, whoever listens."""
    say("begun")
    Path(folder, "begun").touch()
    while not Path(folder, "end").exists():
        time.sleep(0.02)
        say("and on")
    return WorkReport(("All was done.",))
