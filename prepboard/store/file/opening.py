"""Whether a path can be a kitchen's file at all, asked before SQLite touches it.

SQLite's shared memory needs one machine: a file on a network drive would be read as torn or stale by another
machine, so it is refused.
"""

from __future__ import annotations

import errno
import os
import re
from pathlib import Path

from prepboard.store.file.faults import StoreFault
from prepboard.store.file.permissions import remedy
from prepboard.texts import _

NETWORK_DRIVES = frozenset(
    {"nfs", "nfs4", "cifs", "smb2", "smb3", "smbfs", "ncpfs", "9p", "afs", "ceph", "lustre", "vboxsf"}
    | {f"fuse.{kind}" for kind in ("sshfs", "glusterfs", "rclone", "s3fs", "davfs", "curlftpfs", "smbnetfs")}
)

_HEADER = b"SQLite format 3\0"
_OCTAL = re.compile(r"\\([0-7]{3})")
"""How the system writes a space in the name of a mount."""


def check_path(path: Path, *, create: bool, writes: bool = True, mounts: Path = Path("/proc/self/mountinfo")) -> Path:
    """The file's real path, symbolic links followed; StoreFault when there can be no kitchen there. One that is
    only read may lie where nothing can be written."""
    try:
        real = path.resolve()
        if real.is_symlink():  # From Python 3.13 on a ring of links is no error by itself.
            raise OSError(errno.ELOOP, os.strerror(errno.ELOOP))
        drive = network_drive(real, mounts)
        if not drive:
            _check_place(path, real, create, writes)
            return real
    except (OSError, RuntimeError, ValueError) as fault:
        # A ring of links, a name too long, a folder that may not be entered.
        why = fault.strerror if isinstance(fault, OSError) else fault
        raise StoreFault(_("{file} cannot be reached: {why}").format(file=path, why=why)) from None
    said = _("{file} is on a network drive ({kind}); the file must be on the kitchen's own machine")
    raise StoreFault(said.format(file=path, kind=drive))


def _check_place(path: Path, real: Path, create: bool, writes: bool) -> None:
    if real.is_dir():
        raise StoreFault(_("{file} is a folder, not a file").format(file=path))
    if not real.parent.is_dir():
        raise StoreFault(_("there is no folder {folder}").format(folder=real.parent))
    if not real.exists() and not create:
        raise StoreFault(_("there is no kitchen in {file}; load a book into it first").format(file=path))
    if writes and not os.access(real.parent, os.W_OK | os.X_OK):
        said = _("the folder {folder} may not be written to").format(folder=real.parent)
        raise StoreFault(said + remedy(real.parent, real))
    if not real.exists():
        return
    if writes and not os.access(real, os.R_OK | os.W_OK):
        raise StoreFault(_("{file} may not be written to").format(file=path) + remedy(real, real))
    if not os.access(real, os.R_OK):
        raise StoreFault(_("{file} may not be read").format(file=path) + remedy(real, real))
    with real.open("rb") as opened:
        header = opened.read(len(_HEADER))
    if header != _HEADER and (header or not create):
        raise StoreFault(_("{file} is not a kitchen's file").format(file=path))


def network_drive(real: Path, mounts: Path) -> str:
    """The kind of network drive that a path lies on; "" when it is none, or where the system does not tell."""
    try:
        lines = mounts.read_text(encoding="utf-8", errors="replace").splitlines()
    except OSError:
        return ""
    best, kind = -1, ""
    for line in lines:
        before, _dash, after = line.partition(" - ")
        point = _OCTAL.sub(lambda found: chr(int(found[1], 8)), before.split(" ")[4])
        inside = point == "/" or real == Path(point) or real.is_relative_to(point)
        # A later mount on the same point hides the earlier one.
        if inside and len(point) >= best:
            best, kind = len(point), after.split(" ")[0]
    return kind if kind in NETWORK_DRIVES else ""
