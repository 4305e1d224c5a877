"""What the temperature key does: what was read, how warm it was, and off to the store."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from functools import partial
from typing import TYPE_CHECKING

from prepboard.boards.acts.probes import which_probe
from prepboard.boards.rows.find import Shown
from prepboard.boards.rows.lists import voice_of
from prepboard.boards.widgets.row import Row
from prepboard.book.safety.temperatures import Kind, Unit, read_degrees
from prepboard.paper.sentences.temperatures import named
from prepboard.plan.board import Board
from prepboard.plan.given.state import Batch
from prepboard.plan.probes.unread import asks_for_reading
from prepboard.plan.probes.watching import Flag
from prepboard.plan.shown.lines import Expiring, UnderWay
from prepboard.texts import _, typed

if TYPE_CHECKING:
    from prepboard.boards.acts.desk import Desk
    from prepboard.store.file.who import Did, Who

Read = tuple[Kind, str]
"""What is read: its kind, and its code or id."""


async def temperature(desk: Desk, board: Board, shown: Shown | None, stations: tuple[str, ...]) -> Did | None:
    """Writes down a temperature of what is under the cursor, else of what is chosen."""
    who = await desk.who()
    what = (_of(shown) or await _which(desk, board, stations)) if who else None
    return await _read(desk, board, who, what) if who and what else None


async def heated(desk: Desk, board: Board, batch: Batch) -> Did | None:
    """A temperature of a batch that is being heated for hot holding: it does not count as cooling or holding."""
    who = await desk.who()
    return await _read(desk, board, who, ("batch", batch.code), reheat=True) if who else None


async def as_done(desk: Desk, board: Board, did: Did | None) -> None:
    """Asks how warm food is that was just marked done and that cools; Enter passes over it."""
    from prepboard.boards.questions.typed import AskTyped
    from prepboard.store.actions.food import readings

    if did is None or not did.batches:
        return
    who, state = await desk.who(), desk.file.read()
    made = next((one for one in state.batches if one.code == did.batches[0]), None)
    if who is None or made is None or not asks_for_reading(state.book, made.prep):
        return
    unit: Unit = "F" if state.book.kitchen.units == "us" else "C"
    title = _("{name}: how warm is it now, in °{unit}?").format(
        name=named(made.code, state, voice_of(board)), unit=unit
    )
    notes = [_("Enter alone: it was not read. The board asks for a probe before its limit.")]
    signs = [*"1234567890.-CF"]
    asked = AskTyped(title, degrees_or_none(unit), notes=notes, signs=signs, longest=12)
    answer = await desk.app.push_screen_wait(asked)
    probe = await which_probe(desk) if answer else None
    if answer and probe is not None:
        await desk.carry_out(partial(readings.read, desk.file, who, "batch", made.code, *answer, probe=probe))


def degrees_or_none(usual: Unit) -> Callable[[str], tuple[Fraction, Unit] | tuple[()]]:
    """Reads degrees, and nothing typed as nothing."""
    read = degrees_reader(usual)
    return lambda text: read(text) if text else ()


async def put_right(desk: Desk, board: Board, batch: Batch) -> Did | None:
    """The code's corrective action was done on a batch that missed a limit; the store wants a reading that shows it."""
    from prepboard.boards.questions.typed import AskText
    from prepboard.store.actions.food import readings

    who, held = await desk.who(), board.watch.held.get(batch.code)
    if who is None or held is None:
        return None
    title = _("{name}: what was done?").format(name=named(batch.code, board.state, voice_of(board)))
    notes = [board.state.book.kitchen.rules.allows_next(held.key), _("It stays in the record.")]
    how = await desk.app.push_screen_wait(AskText(title, notes=notes))
    if not how:
        return None
    return await desk.carry_out(partial(readings.corrected, desk.file, who, batch.code, how, shown=batch))


async def _read(desk: Desk, board: Board, who: Who, what: Read, *, reheat: bool = False) -> Did | None:
    from prepboard.store.actions.food import readings

    kind, of = what
    found = await how_warm(desk, board, named(of, board.state, voice_of(board)))
    if found is None:
        return None
    degrees, probe = found
    write = partial(readings.read, desk.file, who, kind, of, *degrees, reheat=reheat, probe=probe)
    return await desk.carry_out(write)


async def how_warm(
    desk: Desk, board: Board, name: str, notes: Sequence[str] = ()
) -> tuple[tuple[Fraction, Unit], str] | None:
    """Degrees and the probe that they were read with; None where nobody answered."""
    from prepboard.boards.questions.typed import AskTyped

    unit: Unit = "F" if board.state.book.kitchen.units == "us" else "C"
    title = _("{name}: how warm is it, in °{unit}?").format(name=name, unit=unit)
    said = [*notes, _("With C or F behind it, it is in that.")]
    asked = AskTyped(title, degrees_reader(unit), notes=said, signs=[*"1234567890.-CF"], longest=12)
    answer = await desk.app.push_screen_wait(asked)
    probe = await which_probe(desk) if answer else None
    return None if answer is None or probe is None else (answer, probe)


def degrees_reader(usual: Unit) -> Callable[[str], tuple[Fraction, Unit]]:
    """Reads what was typed as degrees; a bare number is in the `usual` unit."""

    def read(text: str) -> tuple[Fraction, Unit]:
        try:
            return read_degrees(typed(text), usual)
        except ValueError:
            raise ValueError(_("Write it like 63, 63.5 C or 145 F.")) from None

    return read


def _of(shown: Shown | None) -> Read | None:
    if isinstance(shown, UnderWay):
        return "run", shown.run
    if isinstance(shown, Expiring):
        return "batch", shown.batch.code
    return (shown.kind, shown.of) if isinstance(shown, Flag) else None


async def _which(desk: Desk, board: Board, stations: tuple[str, ...]) -> Read | None:
    """Chosen of the places, the benches' runs and batches, and the goods."""
    from prepboard.boards.questions.which import AskWhich

    state, voice = board.state, voice_of(board)
    there: dict[str, Read] = {f"place {id_}": ("place", id_) for id_ in state.book.places}
    there |= {f"run {run.run}": ("run", run.run) for run in board.under_way if run.station in stations}
    there |= {f"batch {one.code}": ("batch", one.code) for one in state.batches if one.station in stations}
    there |= {f"goods {id_}": ("goods", id_) for id_ in state.book.goods}
    kinds = {"place": _("place"), "run": _("under way"), "batch": _("batch"), "goods": _("goods")}
    rows = [Row(key, what=named(of, state, voice), words=kinds[kind]) for key, (kind, of) in there.items()]
    key = await desk.app.push_screen_wait(AskWhich(_("Whose temperature?"), rows, empty=_("Nothing can be read here.")))
    return there.get(key) if key else None
