"""Limits that a process sets on itself before it reads untrusted files.

They are limits, not isolation: see `Limits`. Where a system does not know one of them, the others
hold.
"""

import contextlib
import ctypes
import os
import signal
import sys
from dataclasses import dataclass

try:
    import resource
except ImportError:  # Windows has no such limits
    resource = None  # type: ignore[assignment]

FILES = 64  # open at a time
# Linux kernel headers: linux/prctl.h, linux/sched.h, linux/landlock.h, asm-generic/unistd.h
NO_NEW_PRIVILEGES = 38
NEW_USER, NEW_NETWORK = 0x10000000, 0x40000000
LANDLOCK_CREATE, LANDLOCK_RESTRICT = 444, 446
LANDLOCK_VERSION = 1  # flag: asks for the version instead of making a rule set
WRITING = 0b1_1111_1111_0011  # execute, write, remove and make files of any kind; not read
TCP = 0b11  # bind and connect; from version 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Bounds of one process; the system ends it, or refuses it memory, where it exceeds them.

    On POSIX: memory, processor time, no new file longer than 0, no further process (not for the
    superuser). On Linux also, where the kernel offers them: no new privileges, no network, no
    program started, no file made, changed or removed. It may still read every file that its user
    may read, and answer with what it likes.

    Args:
        memory: bytes of address space.
        work: s of a processor's time.
    """

    memory: int
    work: int

    def hold(self) -> None:
        """Limits this process for good; interrupts are left to the process that started it."""
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        if resource is not None:
            for kind, most in (
                (resource.RLIMIT_AS, self.memory),
                (resource.RLIMIT_CPU, self.work),
                (resource.RLIMIT_CORE, 0),
                (resource.RLIMIT_FSIZE, 0),
                (resource.RLIMIT_NOFILE, FILES),
            ):
                _hold(kind, most)
        if sys.platform == "linux":
            with contextlib.suppress(OSError, AttributeError):  # another C library
                _leave_the_network()
                _write_nothing()

    def start_nothing(self) -> None:
        """Forbids further processes and threads."""
        if resource is not None:
            _hold(resource.RLIMIT_NPROC, 0)


def _hold(kind: int, most: int) -> None:
    with contextlib.suppress(OSError, ValueError):  # the system does not keep this limit
        _, hard = resource.getrlimit(kind)
        within = most if hard == resource.RLIM_INFINITY else min(most, hard)
        # At the soft limit of its work it is sent SIGXCPU, which tells it apart; then SIGKILL.
        resource.setrlimit(kind, (within, within + (kind == resource.RLIMIT_CPU)))


def _leave_the_network() -> None:
    """Moves this process into a network of its own, which has no way out."""
    kinds = NEW_NETWORK if os.geteuid() == 0 else NEW_USER | NEW_NETWORK
    ctypes.CDLL(None).unshare(kinds)  # refused on some systems: then TCP is refused below


def _write_nothing() -> None:
    """Forbids new privileges, other programs, changes of files, and TCP (Landlock)."""
    library = ctypes.CDLL(None)
    library.prctl(NO_NEW_PRIVILEGES, 1, 0, 0, 0)
    version = library.syscall(LANDLOCK_CREATE, None, 0, LANDLOCK_VERSION)
    if version < 1:
        return
    handled = (ctypes.c_uint64 * 2)(WRITING, TCP if version >= 4 else 0)
    size = 16 if version >= 4 else 8
    rules = library.syscall(LANDLOCK_CREATE, ctypes.byref(handled), ctypes.c_size_t(size), 0)
    if rules >= 0:
        library.syscall(LANDLOCK_RESTRICT, rules, 0)
        os.close(rules)
