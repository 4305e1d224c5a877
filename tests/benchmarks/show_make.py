"""`prepboard show make` of the demo kitchen against importing its own libraries, in the same run.

Prints the median wall time of each, alternating, and their ratio. Run it by hand: python tests/benchmarks/show_make.py
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from prepboard.demo import build

LIBRARIES = "import click, pydantic, sqlite_utils"


def took(command: list[str]) -> float:
    """Milliseconds until a command has ended."""
    began = time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    return (time.perf_counter() - began) * 1000


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "kitchen.db"
        build(file)
        show = [sys.executable, "-m", "prepboard", "--file", str(file), "show", "make"]
        imports = [sys.executable, "-c", LIBRARIES]
        pairs = [(took(show), took(imports)) for _ in range(15)]
    shown, imported = (statistics.median(side) for side in zip(*pairs, strict=True))
    print(f"show make {shown:.0f} ms, importing its libraries {imported:.0f} ms, ratio {shown / imported:.2f}")


if __name__ == "__main__":
    main()
