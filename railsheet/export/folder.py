"""A folder held by one run at a time, and the step that exchanges it with another."""

from __future__ import annotations

import contextlib
import ctypes
import errno
import os
import sys
from pathlib import Path
from types import TracebackType

from railsheet.errors import BadInput

# linux/fcntl.h and linux/fs.h.
_AT_FDCWD = -100
_RENAME_EXCHANGE = 2


class Folder:
    """An output folder, made if it is missing and held while the ``with`` block lasts.

    It is held by an advisory lock on the folder itself, so that nothing is left lying about. Where
    a system or a disk has no such locks, two runs are not kept apart.

    Attributes:
        asked: the folder as it was asked for, absolute.
        path: where it is, links followed.

    Raises:
        BadInput: it cannot be made, or another run holds it.
    """

    def __init__(self, asked: Path) -> None:
        self.asked = Path(os.path.abspath(asked))  # noqa: PTH100 - resolve() would follow links
        self.path = self.asked
        self._made: list[Path] = []
        self._held: list[int] = []

    def __enter__(self) -> Folder:
        self._make()
        self.path = self.asked.resolve()
        try:
            while not self.hold(self.path):
                self._let_go()
        except BlockingIOError:
            self._let_go()
            raise self._bad("another run is writing into it: let that one finish") from None
        except OSError as error:
            self.unmake()
            raise self._bad(f"a folder that can be written to ({error.strerror})") from None
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._let_go()

    def hold(self, folder: Path) -> bool:
        """Hold a folder as well; False where another has taken its name meanwhile.

        Raises:
            BlockingIOError: another run holds it.
        """
        if sys.platform == "win32":
            return True
        import fcntl

        handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
        self._held.append(handle)
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise
        except OSError:
            # Network shares may have no locks.
            return True
        return folder.is_dir() and os.path.samestat(os.fstat(handle), folder.stat())

    def unmake(self) -> None:
        """Remove the folders that were made, where they are still empty."""
        for folder in reversed(self._made):
            with contextlib.suppress(OSError):
                folder.rmdir()

    def _let_go(self) -> None:
        for handle in self._held:
            os.close(handle)
        self._held.clear()

    def _make(self) -> None:
        at = self.asked
        while not at.exists() and at != at.parent:
            self._made.insert(0, at)
            at = at.parent
        try:
            self.asked.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            self.unmake()
            raise self._bad(f"a folder that can be written to ({error.strerror})") from None

    def _bad(self, allowed: str) -> BadInput:
        return BadInput(str(self.asked), "output folder", "", allowed)


def exchange(first: Path, second: Path) -> bool:
    """Let two folders change names in one step; False where system or disk cannot.

    Source: renameat2(2), RENAME_EXCHANGE.

    Raises:
        OSError: it could be, and failed.
    """
    if not sys.platform.startswith("linux"):
        return False
    try:
        rename = ctypes.CDLL(None, use_errno=True).renameat2
    except (OSError, AttributeError):
        return False
    if not rename(_AT_FDCWD, os.fsencode(first), _AT_FDCWD, os.fsencode(second), _RENAME_EXCHANGE):
        return True
    code = ctypes.get_errno()
    if code in (errno.ENOSYS, errno.EINVAL, errno.EXDEV, errno.EBUSY, errno.EPERM, errno.EACCES):
        return False
    raise OSError(code, os.strerror(code))
