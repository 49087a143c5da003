"""Debian's Chromium, as all tests of pages start it."""

from pathlib import Path

CHROMIUM = Path("/usr/bin/chromium")
AXE = Path(__file__).parent / "tools" / "node_modules" / "axe-core" / "axe.min.js"
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update",
         "--disable-sync", "--no-first-run", "--disable-quic"]  # fmt: skip
