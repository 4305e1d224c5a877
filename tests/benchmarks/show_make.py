"""`prepboard show make` of the demo kitchen against importing its own libraries, in the same run.

Prints the medians of each, alternating, and their ratio, by the clock and by processor time (which other work on the
machine disturbs less). Modules are read as byte code, as pip leaves them. Its libraries are all that a command may
need; of these `show make` itself loads click and msgspec only. Run it by hand:

    python tests/benchmarks/show_make.py [PYTHON]

PYTHON is the interpreter that is measured, else this one. What is installed beside the libraries counts: have one with
the runtime dependencies alone, as a kitchen has.
"""

from __future__ import annotations

import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from prepboard.demo import build

LIBRARIES = "import click, msgspec, pydantic, sqlite_utils"


COMPILED = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}


def processor() -> float:
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def took(command: list[str]) -> tuple[float, float]:
    """Milliseconds until a command has ended: by the clock, and of processor time."""
    began, used = time.perf_counter(), processor()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, env=COMPILED)
    return (time.perf_counter() - began) * 1000, (processor() - used) * 1000


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "kitchen.db"
        build(file)
        python = sys.argv[1] if sys.argv[1:] else sys.executable
        show = [python, "-m", "prepboard", "--file", str(file), "show", "make"]
        imports = [python, "-c", LIBRARIES]
        took(show)
        pairs = [(took(show), took(imports)) for _ in range(15)]
    for which, told in enumerate(("by the clock", "processor time")):
        for name, of in (("best", min), ("median", statistics.median)):
            shown, imported = (of([pair[side][which] for pair in pairs]) for side in (0, 1))
            times = f"{shown / imported:.2f} x"
            print(f"{told}, {name}: show make {shown:.0f} ms, importing its libraries {imported:.0f} ms, {times}")


if __name__ == "__main__":
    main()
