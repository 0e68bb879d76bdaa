"""A folder that holds modules and settings which no run of the program may load."""

from pathlib import Path

MODULES = ("pickle", "signal", "random", "tempfile", "numpy", "reportlab_settings",
           "reportlab_mods", "sitecustomize", "templategen_extra")  # fmt: skip


def plant_modules(folder: Path) -> None:
    """Modules with names of Python's own and of libraries; each leaves a file when it is run."""
    mark = folder / "was-run"
    for name in MODULES:
        (folder / f"{name}.py").write_text(f"open({str(mark)!r}, 'w').close()\n1 / 0\n")
