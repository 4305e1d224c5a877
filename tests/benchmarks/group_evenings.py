"""Many drawn evenings of a group on a real PostgreSQL, with more kitchens and what no test has time for: what was
lost, doubled, or is told differently at their ends.

    python tests/benchmarks/group_evenings.py [EVENINGS] [FIRST SEED] [STEPS] [OUTLETS]

Cut and silent lines, lost answers, shippers killed between any two calls, packs that come twice, files set back to
older copies, the server killed and set back, clocks off by 20 minutes, bad news. Prints a line an evening and the sums.
"""

from __future__ import annotations

import asyncio
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parents[2]))

from group.conftest import Group
from group.disasters import Drawn
from psycopg import sql
from psycopg.conninfo import make_conninfo

from prepboard.group.founding import connected, found, let_in
from prepboard.group.own_server import own_server


class Evening(Drawn):
    """One whose server is killed and set back too."""

    STEPS = (*Drawn.STEPS, ("server_copy", 2), ("server_back", 1), ("server_killed", 1))

    def __init__(self, office: str, database: str, folder: Path, seed: int, outlets: tuple[str, ...]) -> None:
        self.office, self.database = office, database
        self.server_copies: list[str] = []
        with connected(office) as owner:
            owner.execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(database)))
        url = make_conninfo(office, dbname=database)
        with connected(url) as owner:
            found(owner)
            for name in ("central", *outlets):
                let_in(owner, name)
        super().__init__(Group(url, connected(url)), folder, seed, outlets)

    async def _alone(self) -> None:
        for line in self.lines.values():
            await line.hang_up()
        self.group.owner.close()

    async def server_copy(self, _one: object) -> None:
        await self._alone()
        copy = f"{self.database}_{len(self.server_copies)}"
        with connected(self.office) as owner:
            owner.execute(sql.SQL("CREATE DATABASE {} TEMPLATE {} STRATEGY file_copy").format(
                sql.Identifier(copy), sql.Identifier(self.database)))  # fmt: skip
        self.server_copies.append(copy)
        self.group.owner = connected(self.group.url)

    async def server_back(self, _one: object) -> None:
        """The group's database is what it was when a copy was made."""
        if not self.server_copies:
            return
        await self._alone()
        with connected(self.office) as owner:
            owner.execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(sql.Identifier(self.database)))
            owner.execute(sql.SQL("CREATE DATABASE {} TEMPLATE {} STRATEGY file_copy").format(
                sql.Identifier(self.database), sql.Identifier(self.random.choice(self.server_copies))))  # fmt: skip
        self.group.owner = connected(self.group.url)

    async def server_killed(self, _one: object) -> None:
        """All its processes that speak with anybody end at once."""
        with connected(self.office) as owner:
            owner.execute("SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
                          " WHERE datname = %s AND pid <> pg_backend_pid()", [self.database])  # fmt: skip
        self.group.owner = connected(self.group.url)


async def evening(office: str, seed: int, steps: int, outlets: tuple[str, ...]) -> tuple[list[str], Counter[str]]:
    with tempfile.TemporaryDirectory() as folder:
        drawn = Evening(office, f"evening_{seed}", Path(folder), seed, outlets)
        try:
            await drawn.walk(steps)
            wrong = drawn.wrong()
        except AssertionError as fault:
            wrong = [str(fault)]
        happened = drawn.happened
        await drawn.close()
        await drawn._alone()
        return wrong, happened


def main() -> None:
    given = [int(word) for word in sys.argv[1:]]
    evenings, first, steps, n = (*given, *(20, 1000, 120, 3)[len(given) :])
    outlets = tuple(("north", "south", *(f"outlet-{k}" for k in range(3, n + 1)))[:n])
    began, sums, wrong = time.monotonic(), Counter[str](), 0
    with tempfile.TemporaryDirectory() as folder:
        Path(folder).chmod(0o755)
        with own_server(Path(folder) / "pg") as office:
            for seed in range(first, first + evenings):
                found_wrong, happened = asyncio.run(evening(office, seed, steps, outlets))
                sums += happened
                wrong += bool(found_wrong)
                for line in found_wrong[:5]:
                    print(f"  seed {seed}: {line}")
    disasters = sum(sums[one] for one in ("on_a_bad_line", "twice", "set_back", "clock", "bad_item", "server_back",
                                          "server_killed"))  # fmt: skip
    print(f"{evenings} evenings of {1 + len(outlets)} kitchens, {sum(sums.values())} steps, {disasters} disasters:"
          f" {wrong} with something lost, doubled or told differently; {time.monotonic() - began:.0f} s")  # fmt: skip
    print("  " + ", ".join(f"{name} {n}" for name, n in sorted(sums.items())))


if __name__ == "__main__":
    main()
