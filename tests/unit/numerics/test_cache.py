"""The compiler's cache follows the sources of all kernels, not only of the one that is called."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from pathlib import Path

from pulsewright import numerics

PACKAGE = Path(numerics.__file__).parent.parent


def kernel_sources() -> set[Path]:
    """Modules that hold compiled functions."""
    return {path for path in PACKAGE.rglob("*.py") if "njit" in path.read_text(encoding="utf-8")}


def test_every_kernel_source_counts() -> None:
    """A change in any module with a compiled function changes the fingerprint."""
    watched = {*PACKAGE.glob("numerics/*.py"), *PACKAGE.glob("physics/**/*_kernel.py")}
    assert kernel_sources() <= watched


def test_fingerprint_is_stable_and_short() -> None:
    first = numerics.kernel_fingerprint()
    assert first == numerics.kernel_fingerprint()
    assert len(first) == 12
    assert int(first, 16) >= 0


def test_kernels_import_the_cache_before_they_compile() -> None:
    """Each module with compiled functions imports `pulsewright.numerics`, a module of it, or such a module."""
    for path in kernel_sources() - {PACKAGE / "numerics" / "__init__.py"}:
        modules = {
            name
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
            if isinstance(node, ast.ImportFrom) and node.module
            for name in [node.module, *(f"{node.module}.{alias.name}" for alias in node.names)]
        }
        assert any(f"{name}.".startswith("pulsewright.numerics.") or name.endswith("_kernel") for name in modules), path


def test_cache_folder_is_where_the_environment_says(tmp_path: Path) -> None:
    words = "from pulsewright import numerics; import numba; print(numba.config.CACHE_DIR)"
    environment = {**os.environ, "PULSEWRIGHT_CACHE_DIR": str(tmp_path), "PYTHONPATH": str(PACKAGE.parent)}
    told = subprocess.run(
        [sys.executable, "-c", words], env=environment, capture_output=True, text=True, check=True
    ).stdout.strip()
    assert Path(told) == tmp_path / f"kernels-{numerics.kernel_fingerprint()}"
    assert Path(told).is_dir()
