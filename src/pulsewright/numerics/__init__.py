"""Steppers, roots and tables in compiled code. Knows no physics.

Import this room before decorating any kernel: it points the compiler's cache at a folder whose
name holds a hash of every source file that holds kernels, since the cache itself does not notice a change in
an imported module.
"""

from __future__ import annotations

import hashlib
import os
import sys
from pathlib import Path
from typing import Any

import numba

# What kernels may relax. Sums may be re-ordered and products fused, which lets loops use vector instructions; the
# largest of finite numbers may be found in any order. A number that is none stays one.
SUMS = {"reassoc", "contract"}
LARGEST = {"reassoc", "contract", "nnan", "nsz"}
# For kernels that neither make nor return arrays: they only borrow those of their caller, and count no references.
UNCOUNTED: dict[str, Any] = {"_nrt": False}


def kernel_fingerprint() -> str:
    """Hash of the sources of all compiled kernels, with the versions that compile them.

    Returns
    -------
    fingerprint : str
        Twelve hexadecimal digits. [-]
    """
    package = Path(__file__).resolve().parent.parent
    digest = hashlib.sha256(f"{numba.__version__} {sys.version_info[:2]}".encode())
    for source in sorted([*package.glob("numerics/*.py"), *package.glob("physics/**/*_kernel.py")]):
        digest.update(source.read_bytes())
    return digest.hexdigest()[:12]


def cache_root() -> Path:
    """Folder for compiled kernels and tables: what the environment says, else the user's cache folder."""
    named = os.environ.get("PULSEWRIGHT_CACHE_DIR")
    if named:
        return Path(named)
    if os.name == "nt":
        return Path(os.environ.get("LOCALAPPDATA", Path.home())) / "pulsewright"
    return Path(os.environ.get("XDG_CACHE_HOME", Path.home() / ".cache")) / "pulsewright"


def _use_keyed_cache() -> None:
    folder = cache_root() / f"kernels-{kernel_fingerprint()}"
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError:
        return  # the compiler then keeps its cache beside the sources, or compiles anew
    numba.config.CACHE_DIR = str(folder)  # type: ignore[attr-defined]


_use_keyed_cache()
