"""``python -m templategen``."""

from templategen.cli.main import run

if __name__ == "__main__":
    run()
