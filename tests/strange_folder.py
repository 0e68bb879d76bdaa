"""A folder of a test that holds modules and settings which no run of the program may load."""

from pathlib import Path

MODULES = ("pickle", "signal", "random", "tempfile", "numpy", "reportlab_settings",
           "reportlab_mods", "sitecustomize", "templategen_extra")  # fmt: skip


def plant_modules(folder: Path) -> None:
    """Modules with names of Python's own and of libraries; each leaves a file when it is run."""
    mark = folder.resolve() / "was-run"
    for name in MODULES:
        (folder / f"{name}.py").write_text(f"open({str(mark)!r}, 'w').close()\n1 / 0\n")


def plant_settings(folder: Path) -> None:
    """Files from which libraries read settings, in the current folder or in the home folder."""
    mark = folder.resolve() / "was-run"
    for name in (".reportlab_mods", ".reportlab_settings"):
        (folder / name).write_text(f"open({str(mark)!r}, 'w').close()\n1 / 0\n")
    (folder / "ezdxf.ini").write_bytes(b"\xff[no settings")
    (folder / "matplotlibrc").write_text("backend: none\n")
    (folder / "fontconfig.conf").write_text("<no/>")
