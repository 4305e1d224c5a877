"""Waste on paper and for scripts: by day, week or month, by reason, prep and station, with a plot of its money."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from fractions import Fraction
from functools import partial

from prepboard.book.amounts import UNITS, Measure
from prepboard.book.saying import say_amount
from prepboard.paper.sentences.heading import Section
from prepboard.paper.sentences.why_words import why_word
from prepboard.paper.text.layout import Row, paragraph, section, table
from prepboard.paper.text.plain import plain
from prepboard.paper.text.saying import Voice, is_known, listed, long_day, month
from prepboard.paper.text.shape import Json, Shape, number
from prepboard.plan.leftovers.lessons import Lesson, SmallerSizes
from prepboard.plan.leftovers.waste import WASTE, Per, Period, WasteLine
from prepboard.plan.leftovers.waste_report import Report
from prepboard.texts import _, decimal, some

WIDEST_BAR = 40
MOST_LESSONS = 5


def reason_word(line: WasteLine) -> str:
    """Why, or what for; a reason that somebody typed stands as it was typed."""
    said = why_word(line.reason)
    return _("{why}, a plate again").format(why=said) if line.kind == "again" else said


def money(cost: Fraction | None) -> str:
    """Money with two decimals; the book knows no currency."""
    return "" if cost is None else decimal(f"{float(cost):.2f}")


def waste(report: Report, voice: Voice, width: int) -> Section:
    """The body of the page of `show waste`."""
    thrown = [line for line in report.lines if line.kind in WASTE]
    used = [line for line in report.lines if line.kind == "use"]
    trimmed = [line for line in report.lines if line.kind == "trim"]
    empty = _("Nothing was thrown away in that time.")
    return [
        *section(_("WASTE"), plot(report, width), empty, width),
        *section(_("WHAT TO CHANGE"), _to_change(report, voice, width), _("Nothing stands out."), width),
        *section(_("BY REASON"), _sums(thrown, reason_word, width), empty, width),
        *section(_("BY PREP"), _by_item(thrown, voice, width), empty, width),
        *section(
            _("BY STATION"),
            _sums(thrown, lambda line: voice.station(line.station) or _("no station"), width),
            empty,
            width,
        ),
        *section(_("GONE, AND NO WASTE"), _sums(used, reason_word, width), _("Nothing."), width),
        *section(_("TRIM, AS THE BOOK HAS IT"), _by_item(trimmed, voice, width), _("Nothing."), width),
        "",
        *paragraph(_basis(), width, 1),
    ]


def _basis() -> str:
    return _(
        "Cost by the book's prices of today, as far as they are known; what only comes along with a run costs nothing, "
        "its cost lies on what drives the run. What a close's count takes away was served. Trim is part of what food "
        "costs and no waste. A cover that nobody counted is one that was booked."
    )


def _to_change(report: Report, voice: Voice, width: int) -> list[str]:
    """What the waste says to change, with what it would have saved and at which risk."""
    lines = []
    for lesson in report.lessons[:MOST_LESSONS]:
        lines += paragraph(_lesson(lesson, voice), width, 2)
    return lines


def _lesson(lesson: Lesson, voice: Voice) -> str:
    name, amount, cost = voice.name(lesson.item), partial(voice.amount, lesson.item), money(lesson.cost)
    if isinstance(lesson, SmallerSizes):
        said = _("{prep}: sizes of half as much would have saved {saved} ({money}) of the {over} that sizes cost.")
        return said.format(prep=name, saved=amount(lesson.saved), money=cost, over=amount(lesson.over))
    said = _("{prep}: a par {by} smaller would have saved {saved} ({money}) over {n} batches; {short}.")
    short = some("{n} of them would have been short", "{n} of them would have been short", lesson.short)
    return said.format(
        prep=name,
        by=amount(lesson.by),
        saved=amount(lesson.saved),
        money=cost,
        n=lesson.batches,
        short=short if lesson.short else _("none of them would have been short"),
    )


def plot(report: Report, width: int) -> list[str]:
    """One row for each day, week or month: its waste as a bar and in figures."""
    most = max((period.waste for period in report.periods), default=Fraction(0))
    names = [period_name(period, report.per) for period in report.periods]
    lead = max(map(len, names), default=0)
    room = max(4, min(WIDEST_BAR, width - lead - 34))
    lines = []
    for name, period in zip(names, report.periods, strict=True):
        cells = round(period.waste / most * room) if most else 0
        bar = "█" * cells or ("▏" if period.waste else "")
        each = _("{money} a cover").format(money=money(period.per_cover)) if period.per_cover is not None else ""
        guests = some("{n} cover", "{n} covers", period.covers) if period.covers else ""
        figures = listed((each, guests))
        spent = money(period.waste) if period.recorded else ""
        lines.append(f"  {name:<{lead}}  {spent:>8}  {bar:<{room}}  {figures}".rstrip()[:width])
    return lines


def period_name(period: Period, per: Per) -> str:
    """ "Thu 22 Oct", "week of Mon 19 Oct", "Oct 2026"."""
    if per == "month":
        return f"{month(period.first)} {period.first.year}"
    return _("week of {day}").format(day=long_day(period.first)) if per == "week" else long_day(period.first)


def _sums(lines: Iterable[WasteLine], key: Callable[[WasteLine], str], width: int) -> list[str]:
    costs: dict[str, Fraction] = defaultdict(Fraction)
    counts: dict[str, int] = defaultdict(int)
    for line in lines:
        costs[key(line)] += line.cost or 0
        counts[key(line)] += 1
    ordered = sorted(costs, key=lambda name: (-costs[name], name))
    rows = [Row((name, money(costs[name]), some("{n} time", "{n} times", counts[name]))) for name in ordered]
    return table(rows, "<><", width)


def _by_item(lines: Sequence[WasteLine], voice: Voice, width: int) -> list[str]:
    found: dict[tuple[str, str, str], list[WasteLine]] = defaultdict(list)
    for line in lines:
        found[line.item, line.name, line.unit if not line.item else ""].append(line)
    rows = []
    for of in found.values():
        cost = sum((line.cost or Fraction(0) for line in of), Fraction(0))
        known = any(line.cost is not None for line in of)
        size = sum(line.because_of_size for line in of)
        note = _("{amount} of it made beyond the need because of recipe size").format(amount=_said(of[0], size, voice))
        amount = sum(line.amount for line in of)
        cells = (_name(of[0], voice), _said(of[0], amount, voice), money(cost) if known else "")
        rows.append((cost, Row(cells, (note,) if size else ())))
    return table([row for _cost, row in sorted(rows, key=lambda pair: (-pair[0], pair[1].cells))], "<>>", width)


def _name(line: WasteLine, voice: Voice) -> str:
    return voice.name(line.item) if line.item else plain(line.name)


def _said(line: WasteLine, amount: int, voice: Voice) -> str:
    if line.unit and not is_known(voice.book, line.item):
        return say_amount(Measure(UNITS[line.unit].kind, line.unit), amount, voice.book.kitchen.units)
    return voice.amount(line.item, amount)


def objects(report: Report, voice: Voice) -> list[Json]:
    """The lines of each day for scripts; `kind` says what is waste, what is not, and what is trim."""
    shape = Shape(voice)
    return [
        {
            "day": shape.day(line.day),
            "station": line.station,
            "prep": line.item or None,
            "reason": plain(line.reason),
            "amount": _amount(line, line.amount, shape),
            "cost": None if line.cost is None else number(round(line.cost, 2)),
            "kind": line.kind,
            "name": plain(line.name) or None,
            "because_of_size": _amount(line, line.because_of_size, shape),
        }
        for line in report.lines
    ]


def _amount(line: WasteLine, amount: int, shape: Shape) -> Json:
    if line.unit and not is_known(shape.voice.book, line.item):
        return {"amount": number(Fraction(amount, 1_000_000)), "unit": line.unit}
    return shape.amount(line.item, amount)


def sums(report: Report) -> Json:
    """What stands beside the lines: the sums of each day, week or month."""
    return {
        f"by_{report.per}": [
            {
                "first_day": period.first.isoformat(),
                "waste": number(round(period.waste, 2)) if period.recorded else None,
                "no_waste": number(round(period.no_waste, 2)),
                "trim": number(round(period.trim, 2)),
                "covers": period.covers,
                "waste_per_cover": None if period.per_cover is None else number(round(period.per_cover, 4)),
            }
            for period in report.periods
        ]
    }
