"""Tells a page how far long work is, each time that it gets further."""

import json
from collections.abc import AsyncIterator
from typing import Final

from anyio import sleep

from builder.desk.jobs import Jobs

SECONDS: Final = 0.25
"""How often it is looked at."""
_QUIET: Final = 40
"""Looks without news after which a line is sent, so that nothing between takes the way for closed."""


async def progress(jobs: Jobs, number: str) -> AsyncIterator[str]:
    """Server-sent events of a piece of work, until it is finished or nobody listens."""
    last, quiet = None, 0
    while (job := jobs.of(number)) is not None:
        if job != last:
            told = {"state": job.state, "words": job.words, "steps": job.steps, "total": job.total}
            yield f"data: {json.dumps(told)}\n\n"
            last, quiet = job, 0
        if job.finished:
            return
        quiet += 1
        if quiet % _QUIET == 0:
            yield ": still at work\n\n"
        await sleep(SECONDS)
