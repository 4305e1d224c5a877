"""The last services of a dish as lines of text: its plates as a row of signs, its par as a mark on it."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from prepboard.paper.sentences.basis import ahead, stage_name, what_history_cannot
from prepboard.paper.text.layout import Row, paragraph, table
from prepboard.paper.text.plain import plain
from prepboard.paper.text.saying import Voice, listed, long_day, weekday
from prepboard.paper.text.shape import Json
from prepboard.plan.demand.history import NOTHING_LEARNED, has_changed, outlook, stage
from prepboard.plan.given.learned import ClosedEvening, Common, Learned
from prepboard.plan.shown.lines import ParLine
from prepboard.texts import _, some

_LEAST_ROOM, _MOST_ROOM = 8, 60
_BESIDE = 46
"""Cells that the words beside a row of signs take."""


def chart(
    learned: Learned | None,
    voice: Voice,
    dish: str,
    width: int,
    pars: Iterable[ParLine] = (),
    of_kitchen: Common = NOTHING_LEARNED,
) -> list[str]:
    """One line for each of the last services, oldest first, what is to be thought of its pars, and where the number
    comes from for the sittings ahead, of which `pars` are; `of_kitchen` is what was learned of the kitchen."""
    title = paragraph(voice.name(dish).upper(), width, 1)
    if learned is None or not learned.evenings:
        return [*title, *paragraph(_("No service of it has been learned yet."), width)]
    most = max(max(evening.plates, evening.par) for evening in learned.evenings)
    room = max(_LEAST_ROOM, min(_MOST_ROOM, width - _BESIDE))
    scale = min(1.0, room / (most + 1))
    rows = [_row(evening, voice, scale) for evening in learned.evenings]
    said = (
        *ahead(pars, dish, voice),
        usual_by_weekday(learned, voice, of_kitchen),
        how_it_is_reckoned(),
        trust(learned),
    )
    told = [line for text in said if text for line in paragraph(text, width)]
    return [*title, *table(rows, "<<<><", width), "", *told]


def usual_by_weekday(learned: Learned, voice: Voice, of_kitchen: Common) -> str:
    """What is usual on each weekday: "Usual, Dinner: Fri 21, Sat 31."."""
    by_service: dict[str, list[str]] = {}
    for key in sorted(learned.weekdays, key=lambda key: (key.rpartition(" ")[0], int(key.rpartition(" ")[2]))):
        service, _space, day = key.rpartition(" ")
        usual = outlook(learned, key, 0.0, of_kitchen).usual
        # The first of January 2024 is a Monday.
        by_service.setdefault(service, []).append(f"{weekday(date(2024, 1, 1 + int(day)))} {usual:.0f}")
    return " ".join(
        _("Usual, {service}: {days}.").format(service=_service(voice, service), days=listed(days))
        for service, days in by_service.items()
    )


def how_it_is_reckoned() -> str:
    """A par from history, in a chef's words."""
    return _(
        "We take what this dish sold lately, adjusted for the weekday and for covers above or below the usual; on top"
        " comes a margin as large as our own recent misses. A short evening widens our margins by about a tenth, a"
        " covered one narrows them by a hundredth; one odd evening is clipped, two on the same side count in full."
    )


def _row(evening: ClosedEvening, voice: Voice, scale: float) -> Row:
    end = ""
    if evening.ran_out:
        end = _("ran out")
    elif evening.plates > evening.par:
        end = _("par too small")
    if evening.clipped:
        end = listed((end, _("odd, counts in part")))
    return Row(
        (
            long_day(evening.day),
            _service(voice, evening.service),
            signs(evening.plates, evening.par, scale),
            _("{plates} of {par}").format(plates=evening.plates, par=evening.par),
            end,
        )
    )


def _service(voice: Voice, service: str) -> str:
    named = voice.book.services.get(service)
    return plain(named.name if named else service)


def signs(plates: int, par: int, scale: float) -> str:
    """Plates as "=", the par as "|" behind the last plate that it covers: "=====  |" or "=====|=="."""
    sold, at = round(plates * scale), round(par * scale)
    if plates > par:
        sold = max(sold, at + 1)
    return f"{'=' * min(sold, at)}{' ' * (at - sold)}|{'=' * (sold - at)}"


def trust(learned: Learned) -> str:
    """How far the pars of a dish are to be trusted, in sentences."""
    parts = [
        _("{services} learned ({stage}).").format(
            services=some("{n} service", "{n} services", learned.count), stage=stage_name(stage(learned))
        ),
        _covered(learned.hits.count("1"), len(learned.hits)),
        what_history_cannot(),
    ]
    if has_changed(learned):
        parts.insert(2, _("The last services were off by more than chance: has something changed?"))
    return " ".join(part for part in parts if part)


def _covered(kept: int, out_of: int) -> str:
    """The promises that were kept: "Covered 57 of the last 60."."""
    return _("Covered {kept} of the last {n}.").format(kept=kept, n=out_of) if out_of else ""


def objects(learned: Learned | None) -> list[Json]:
    """The last services of a dish for scripts, oldest first: plates out, and the par in portions that history had."""
    return [
        {
            "day": evening.day.isoformat(),
            "service": evening.service,
            "plates": evening.plates,
            "par_plates": evening.par,
            "ran_out": evening.ran_out,
            "clipped": evening.clipped,
        }
        for evening in (learned.evenings if learned else ())
    ]


def besides(learned: Learned | None, dish: str) -> Json:
    """What stands beside them: how much was learned, and how many of the last promises were kept."""
    kept = learned.hits if learned else ""
    return {
        "dish": dish,
        "services_learned": learned.count if learned else 0,
        "stage": stage(learned) if learned else None,
        "covered": {"of": len(kept), "kept": kept.count("1")},
    }
