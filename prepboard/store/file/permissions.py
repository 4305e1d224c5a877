"""Who may work on the kitchen's file, by the permissions of the file and its folder, and what others lack.

SQLite makes two files beside it, with the file's own permissions and the folder's group; so a group of users needs a
folder that it may write to and that hands its group on (chmod 2775), and a file that it may write to (chmod 664).
"""

from __future__ import annotations

import stat
import sys
from pathlib import Path

from prepboard.texts import _


def who_may_write(path: Path) -> str:
    """Who may write to the file, and how a group of users may where it may not; "" where the system does not tell."""
    if sys.platform == "win32":
        return ""
    try:
        file, folder = path.stat(), path.parent.stat()
    except OSError:
        return ""
    group, owner = _group(file.st_gid), _owner(file.st_uid)
    if file.st_mode & folder.st_mode & stat.S_IWOTH:
        return _("everybody on this machine may write")
    shared = file.st_mode & stat.S_IWGRP and folder.st_mode & stat.S_IWGRP
    if shared and folder.st_mode & stat.S_ISGID and folder.st_gid == file.st_gid:
        return _("{owner} and the group {group} may write").format(owner=owner, group=group)
    return _("only {owner} may write; {how}").format(owner=owner, how=for_a_group(path))


def for_a_group(path: Path) -> str:
    """How a group of users comes to work on one file."""
    said = _("for a group: chgrp GROUP {folder} {file}; chmod 2775 {folder}; chmod 664 {file}")
    return said.format(folder=path.parent, file=path)


def remedy(place: Path, file: Path) -> str:
    """Whose a file or folder is that somebody else needs, and what its owner can do; "" where the system does not
    tell."""
    if sys.platform == "win32":
        return ""
    try:
        owner = _owner(place.stat().st_uid)
    except OSError:
        return ""
    return _("; it belongs to {owner}; {how}").format(owner=owner, how=for_a_group(file))


def _owner(number: int) -> str:
    import pwd

    try:
        return pwd.getpwuid(number).pw_name
    except KeyError:
        return str(number)


def _group(number: int) -> str:
    import grp

    try:
        return grp.getgrgid(number).gr_name
    except KeyError:
        return str(number)
