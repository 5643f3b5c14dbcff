"""Files are replaced whole: a reader sees the old one or the new one, and a crash leaves no half."""

import os
import tempfile
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path


def replace_file(path: Path, content: bytes) -> None:
    """Write a file beside its place, flush it to the disk, then move it over the old one.

    Parameters
    ----------
    path : Path
        Where it is to stand; its folder must exist.
    content : bytes
        The whole content.

    Raises
    ------
    OSError
        When the folder cannot be written; the old file is then untouched.
    """
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        with suppress(OSError):  # mkstemp makes the file private; give it the rights that an ordinary new file has
            Path(name).chmod(path.stat().st_mode & 0o777 if path.exists() else 0o666 & ~_umask())
        Path(name).replace(path)
    except BaseException:
        with suppress(OSError):
            Path(name).unlink()
        raise


def replace_files(folder: Path, contents: Mapping[str, bytes]) -> None:
    """Replace several files of a folder, after all of them were made; the folder is made where missing."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, content in contents.items():
        replace_file(folder / name, content)


def _umask() -> int:
    """Return the process's file mode mask (it can only be read by setting it)."""
    mask = os.umask(0)
    os.umask(mask)
    return mask
