"""Measures a printed pack against the model."""

from pathlib import Path

from templategen.proof import verify
from templategen.proof.sandbox import SandboxedPack
from templategen.proof.verify import Report

__all__ = ["Report", "verify_pack"]


def verify_pack(path: Path) -> Report:
    """Measures every part, seam and bar of a pack.

    Raises:
        InputError: the file is no pack that can be read.
    """
    with SandboxedPack(path) as file:
        return verify.verify(file)
