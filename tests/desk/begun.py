"""A desk that begins two pieces of work in a folder and tells what they are called, to be killed."""

import sys
import time
from datetime import datetime
from pathlib import Path

from builder.desk.jobs import Jobs
from builder.desk.kept_work import KeptWork
from tests.desk.works import counting, waiting

if __name__ == "__main__":
    folder = sys.argv[1]
    jobs = Jobs(datetime.now, KeptWork(Path(folder)))
    first = jobs.begin("First", waiting, (folder,), back="/release", by="sales", total=24)
    second = jobs.begin("Second", counting, (folder, "second"), back="/recall", by="editor")
    sys.stdout.write(f"{first.id} {second.id}\n")
    sys.stdout.flush()
    time.sleep(600)
