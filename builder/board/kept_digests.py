"""The digests of a workspace's files, of which only those are read again that changed."""

from collections.abc import Mapping
from functools import cached_property
from pathlib import Path

from builder.build.source_files import SourceFiles
from builder.digests import digest_of_file
from builder.errors import Findings
from builder.sources.kept_files import KeptFiles


class KeptDigests(SourceFiles):
    """The files of one workspace as they are now. ``kept``: what is known of them from before."""

    def __init__(self, root: Path, kept: KeptFiles) -> None:
        super().__init__(root)
        self._kept = kept

    @cached_property
    def files(self) -> Mapping[str, str]:
        """The SHA-256 of each source file by its path in the workspace."""
        return {name: self._digest(path) for name, path in self.paths.items()}

    def _digest(self, path: Path) -> str:
        def digest(_: Findings) -> str:
            try:
                return digest_of_file(path)
            except OSError as error:
                return f"cannot be read: {error.strerror}"

        return self._kept.made("digest", path, digest, Findings())
