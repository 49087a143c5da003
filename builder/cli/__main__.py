"""``python -m builder.cli`` is the command ``handover``."""

from builder.cli.commands import main

main(prog_name="handover")
