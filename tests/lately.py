"""Libraries that a few tests compare with. Every process that runs tests imports all test files, to know which there
are: these take longer to load than all of ours, so they are loaded by the test that asks for something of them."""

from __future__ import annotations

from importlib import import_module
from typing import Any


class Lately:
    """A module that is imported once something of it is asked for."""

    def __init__(self, name: str) -> None:
        self._name = name

    def __getattr__(self, what: str) -> Any:
        if what.startswith(("_", "pytest")) or what == "hypothesis":
            raise AttributeError(what)  # Whoever collects tests asks everything whether it is one.
        return getattr(import_module(self._name), what)


hermite_e = Lately("numpy.polynomial.hermite_e")
networkx = Lately("networkx")
numpy = Lately("numpy")
optimize = Lately("scipy.optimize")
pint = Lately("pint")
stats = Lately("scipy.stats")
zxingcpp = Lately("zxingcpp")
