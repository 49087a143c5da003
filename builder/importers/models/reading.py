"""Reads models in a process of its own: what is broken or too large for it cannot take ours along."""

import multiprocessing
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from importlib.util import find_spec
from pathlib import Path

from builder.errors import FindingsError, UsageError
from builder.importers.finding import about
from builder.importers.models.drawn import ModelDrawing
from builder.importers.models.request import ModelRequest, NoOutlinesError
from builder.importers.models.words import Vocabulary

LARGEST = 300 * 1024 * 1024
"""Bytes of a model that is read."""
MEMORY = 3 * 1024 * 1024 * 1024
"""Bytes that reading may take: about ten times what the largest model has."""
LONGEST = 900
"""Seconds of processor time that reading may take; the largest model that is read takes far less."""
_BEGINS = b"ISO-10303-21;"
_ENDS = b"END-ISO-10303-21;"
_TAIL = 4096
_AGAIN = "Open it in the program that wrote it, and export it again."
_DRAWN = (b"SECTION", b"EOF")
"""What a drawing begins with, after its comments, and what it ends with (DXF reference, from memory)."""
_NEEDED = {".ifc": "ifcopenshell", ".dxf": "ezdxf"}


def read_models(asked: ModelRequest, words: Vocabulary) -> list[ModelDrawing]:
    """Each model as a drawing.

    Raises FindingsError with all that stands in the way, and UsageError for a file that is not there.
    """
    paths = asked.files
    for path in paths:
        _can_be_read(path)
    mistakes = [found for path in paths if (found := _outside(path)) is not None]
    if mistakes:
        raise FindingsError(about(*each) for each in mistakes)
    return [_read_apart(path, words, asked) for path in paths]


def _can_be_read(path: Path) -> None:
    if not path.is_file():
        raise UsageError(f"There is no file '{path}'.")
    library = _NEEDED.get(path.suffix.lower())
    if library is None:
        raise UsageError(
            f"'{path}' is no model that can be read: models end in .ifc, drawings in .dxf."
        )
    if find_spec(library) is None:
        raise UsageError(
            f"'{path}' is read by {library}, which is not installed: pip install 'handover-pack-builder[models]'."
        )


def _outside(path: Path) -> tuple[str, str, str, str] | None:
    """What can be seen of a file without reading it through: file, code, what is wrong, what is right."""
    size, name = path.stat().st_size, path.name
    if size > LARGEST:
        return (name, "model.too-large", f"This model has {size:,} bytes; at most {LARGEST:,} are read.",
                "Export the one home alone, without its surroundings and furniture.")  # fmt: skip
    with path.open("rb") as file:
        begins = file.read(_TAIL).lstrip(b"\xef\xbb\xbf \r\n\t")
        file.seek(max(size - _TAIL, 0))
        ends = file.read()
    if path.suffix.lower() != ".ifc":
        return _outside_of_drawing(name, begins, ends)
    if begins.startswith(b"PK"):
        return (
            name,
            "model.packed",
            "This model is packed as a ZIP file.",
            "Unpack it, and give the .ifc file inside.",
        )
    if not begins.startswith(_BEGINS):
        return (name, "model.not-ifc", f"This is no IFC file: it does not begin with '{_BEGINS.decode()}'.",
                "Export the model as IFC (STEP file, .ifc).")  # fmt: skip
    return None if _ENDS in ends else _cut_off(name)


def _outside_of_drawing(name: str, begins: bytes, ends: bytes) -> tuple[str, str, str, str] | None:
    if _DRAWN[0] not in begins:
        return (name, "model.not-dxf", "This is no DXF drawing: it has no sections.", "Export the drawing as DXF (.dxf).")  # fmt: skip
    return None if _DRAWN[1] in ends else _cut_off(name)


def _cut_off(name: str) -> tuple[str, str, str, str]:
    return (name, "model.cut-off", "This model ends in the middle.", "Export or copy it again, whole.")  # fmt: skip


def _read_apart(path: Path, words: Vocabulary, asked: ModelRequest) -> ModelDrawing:
    """Reads one model in a process whose memory is bounded."""
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(1, mp_context=context, initializer=bounded) as pool:
        try:
            drawing, problem = pool.submit(read_here, path, words, asked).result()
        except BrokenProcessPool:
            drawing, problem = (
                None,
                ("model.unreadable", "The reader of models gave up on this file.", _AGAIN),
            )
    if drawing is None:
        code, wrong, right = problem
        raise FindingsError([about(path.name, code, wrong, right)])
    return drawing


def bounded() -> None:
    """Bounds the memory and the time of this process, where the system can."""
    try:
        import resource  # noqa: PLC0415  (not on every system)
    except ImportError:
        return
    resource.setrlimit(resource.RLIMIT_AS, (2 * MEMORY, 2 * MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (LONGEST, LONGEST))


def read_here(
    path: Path, words: Vocabulary, asked: ModelRequest
) -> tuple[ModelDrawing | None, tuple[str, str, str]]:
    """A model as a drawing, or nothing and why: code, what is wrong, what would be right. Runs in the
    process that reads models."""
    try:
        return _read_by_form(path, words, asked), ("", "", "")
    except NoOutlinesError as error:
        return None, ("model.no-outlines", str(error), error.right)
    except MemoryError:
        wrong = "Reading this model takes more memory than it may."
        return None, ("model.too-large", wrong, "Export the one home alone.")
    except RecursionError:
        return None, ("model.unreadable", "Something in this model leads back to itself.", _AGAIN)
    except Exception as error:
        said = " ".join(str(error).replace(str(path), path.name).split())[:200].rstrip(".")
        wrong = f"This model cannot be read: {said or type(error).__name__}."
        return None, ("model.unreadable", wrong, _AGAIN)


def _read_by_form(path: Path, words: Vocabulary, asked: ModelRequest) -> ModelDrawing:
    # Each library takes long to load, and one run needs one of them.
    if path.suffix.lower() == ".dxf":
        from builder.importers.models.dxf import read_dxf  # noqa: PLC0415

        return read_dxf(path, path.name, words, asked)
    from builder.importers.models.ifc import read_ifc  # noqa: PLC0415

    return read_ifc(path, path.name, words, asked.unit)
