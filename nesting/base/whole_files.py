"""Files are replaced whole: a reader sees the old one or the new one, and a crash leaves no half."""

import errno
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
    _replace({path: content})


def replace_files(folder: Path, contents: Mapping[str, bytes]) -> None:
    """Replace several files of a folder together: all are on the disk before the first is moved to its place.

    Parameters
    ----------
    folder : Path
        Made where it is missing, as are folders within it that names ask for.
    contents : mapping of str to bytes
        By name, such as ``"quote.xlsx"`` or ``"tables/costs.csv"``.

    Raises
    ------
    OSError
        When something cannot be written; the old files are then untouched, all of them. Only a disk that fails between
        two renames can leave some files new and others old; none is ever half.
    """
    places = {folder / name: content for name, content in contents.items()}
    for path in places:
        if path.is_dir():
            raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(path))
    folder.mkdir(parents=True, exist_ok=True)
    for path in places:
        path.parent.mkdir(parents=True, exist_ok=True)
    _replace(places)


def _replace(contents: Mapping[Path, bytes]) -> None:
    """Write every file beside its place, then move all of them."""
    waiting: dict[Path, Path] = {}
    try:
        for path, content in contents.items():
            handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
            waiting[path] = Path(name)
            with os.fdopen(handle, "wb") as file:
                file.write(content)
                file.flush()
                os.fsync(file.fileno())
            with suppress(OSError):  # mkstemp makes the file private; give it the rights that an ordinary new file has
                Path(name).chmod(path.stat().st_mode & 0o777 if path.exists() else 0o666 & ~_umask())
        for path, beside in waiting.items():
            beside.replace(path)
    except BaseException:
        for beside in waiting.values():
            with suppress(OSError):
                beside.unlink()
        raise


def _umask() -> int:
    """Return the process's file mode mask (it can only be read by setting it)."""
    mask = os.umask(0)
    os.umask(mask)
    return mask
