"""Labels: what to stick on a box, in this order: name, use-by, made, code, and then the rest, in plain type.

A label is drawn as text of 32 or 48 columns, as one SVG, or as a page to print. The square beside it is the batch's
code, nothing more (QR Code, ISO/IEC 18004).
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from fractions import Fraction
from html import escape

from msgspec import Struct, to_builtins

from prepboard.book.rules import is_heat
from prepboard.book.safety.holding import held_at
from prepboard.book.safety.life import days_once_thawed
from prepboard.book.safety.may_use import HELD, MISSED, OUT, WITHHELD
from prepboard.book.safety.needs_control import rules_for
from prepboard.book.safety.stable import PREPS
from prepboard.book.saying import say_amount
from prepboard.paper.lists.rules import loosened_texts
from prepboard.paper.sentences.contains import allergen_list, in_batch, unstated
from prepboard.paper.sentences.evidence import evidence_of, evidence_text
from prepboard.paper.sentences.reasons import decided_by, is_cut, why_text
from prepboard.paper.text.layout import wrap
from prepboard.paper.text.plain import plain
from prepboard.paper.text.saying import Voice, is_known, listed, whole_weekday
from prepboard.plan.given.state import Batch
from prepboard.texts import _, root, some, spoken

WIDTHS = (32, 48)
"""Columns of the labels that are text."""

QUIET = 4
"""Cells that stay white around a QR code (ISO/IEC 18004)."""
THREE_MONTHS = timedelta(days=90)

_LINE, _SIDE, _EDGE = 18, 150, 12
"""Of the drawn label: the height of a line, the side of the square, the edge around all."""


class Label(Struct, frozen=True):
    """One label. `lines` stand below name and use-by, each a sentence; `warning` above all of it."""

    code: str
    name: str
    use_by: str
    lines: tuple[str, ...]
    warning: str = ""
    square: str = ""
    """What its square holds: the code, in a group with this kitchen's letter before it."""

    @property
    def texts(self) -> list[str]:
        return [text for text in (self.warning, self.name, self.use_by, *self.lines) if text]


def as_json(labels: Sequence[Label], kitchen: str) -> str:
    """For a label printer's own program: each label with what stands on it, and the code that its square holds."""
    return json.dumps({"kitchen": kitchen, "labels": [to_builtins(one) for one in labels]}, ensure_ascii=False)


def labels(batch: Batch, voice: Voice, *, each: bool = False, sale: Sequence[str] = ()) -> list[Label]:
    """The label of a batch, or one for each container that it fills. ValueError where the book names no container.
    `sale` are the sentences that food packed for sale carries too."""
    if not each:
        return [_label(batch, voice, voice.left(batch), "", sale)]
    parts = _containers(batch, voice)
    measure = voice.book.measure(batch.prep)
    units = voice.book.kitchen.units
    return [
        _label(batch, voice, say_amount(measure, part, units), _("{n} of {all}").format(n=n, all=len(parts)), sale)
        for n, part in enumerate(parts, 1)
    ]


def _containers(batch: Batch, voice: Voice) -> list[int]:
    """What each container holds: full ones, and the rest; the largest container that one batch fills."""
    held = voice.book.measure(batch.prep).containers if is_known(voice.book, batch.prep) else {}
    if not held:
        raise ValueError(_("the book names no container for {name}").format(name=_name(batch, voice)))
    fits = [amount for amount in held.values() if amount <= batch.left]
    full = max(fits) if fits else min(held.values())
    whole, rest = divmod(batch.left, full)
    return [full] * whole + ([rest] if rest else [])


def _name(batch: Batch, voice: Voice) -> str:
    return plain(batch.name) or voice.name(batch.prep)


def _label(batch: Batch, voice: Voice, amount: str, part: str, sale: Sequence[str] = ()) -> Label:
    lines = [
        (_("Opened {moment}") if batch.pack else _("Made {moment}")).format(
            moment=_moment(batch, voice, batch.made_at)
        ),
        _("Batch {code}").format(code=batch.code),
        listed((amount, part)),
        listed((voice.station(batch.station), plain(batch.by))),
        *sale,
        _allergens(batch, voice),
        _storage(batch, voice),
        _out_since(batch, voice),
        _frozen(batch, voice),
        _lasting(batch, voice),
        _reason(batch, voice),
        _basis(batch, voice),
        *loosened_texts(voice),
    ]
    return Label(
        batch.code, _name(batch, voice), _use_by(batch, voice), tuple(filter(None, lines)), _warning(batch, voice),
        _square(batch, voice),
    )  # fmt: skip


def _square(batch: Batch, voice: Voice) -> str:
    own = voice.book.kitchens.get(voice.book.kitchen.member)
    return f"{own.letter}-{batch.code}" if own else batch.code


def _warning(batch: Batch, voice: Voice) -> str:
    found = batch.answer(max(voice.now, batch.made_at))
    why = batch.blocked or (found.why if not found.may and found.row in (WITHHELD, MISSED, HELD) else "")
    if why:
        return _("DO NOT USE: {why}").format(why=plain(_(why)))
    return "" if found.may else _("DO NOT USE: expired")


def _use_by(batch: Batch, voice: Voice) -> str:
    """ "Use by Tuesday 3 November, to midnight", "Use by Saturday 31 October 21:30"."""
    if batch.use_by is None:
        return _("Frozen: its date stands still") if batch.store == "frozen" else _("No date mark")
    local = voice.days.local(batch.use_by)
    if local.time() == time():
        return _("Use by {day}, to midnight").format(day=_day(batch, local.date() - timedelta(days=1)))
    return _("Use by {moment}").format(moment=_moment(batch, voice, batch.use_by))


def _moment(batch: Batch, voice: Voice, at: datetime) -> str:
    return f"{_day(batch, voice.days.local(at).date())} {voice.wall(at)}"


def _day(batch: Batch, on: date) -> str:
    """A day and a month are enough for what keeps no longer than three months (Regulation (EU) No 1169/2011, Annex X,
    1(c), from memory); whoever reads the label of other food, or of frozen, may do so in another year."""
    lasts = batch.store == "frozen" or batch.use_by is None or batch.use_by - batch.made_at > THREE_MONTHS
    return _("{day} {year}").format(day=long_day(on), year=on.year) if lasts else long_day(on)


def long_day(on: date) -> str:
    """A day in whole words: "Tuesday 3 November"."""
    months = (
        _("January"), _("February"), _("March"), _("April"), _("May"), _("June"),
        _("July"), _("August"), _("September"), _("October"), _("November"), _("December"),
    )  # fmt: skip
    return f"{whole_weekday(on)} {on.day} {months[on.month - 1]}"


def _allergens(batch: Batch, voice: Voice) -> str:
    """Of what really went in; what no recipe knows says so."""
    found = in_batch(voice.book, batch)
    if found is None:
        return _("Allergens: not stated")
    names = allergen_list(found, voice.book) or _("none stated")
    unknown = listed(voice.name(item) for item in unstated(voice.book, (batch.prep,)))
    said = _("Allergens: {names}").format(names=names)
    return _("{said}; nothing stated of {items}").format(said=said, items=unknown) if unknown else said


def _storage(batch: Batch, voice: Voice) -> str:
    place = voice.book.places.get(batch.place)
    where = plain(place.name) if place else ""
    kept = {
        "chilled": _("Keep chilled"),
        "frozen": _("Keep frozen"),
        "ambient": _("Keep at room temperature"),
        "hot": _("Keep hot"),
        "time": _("Out of temperature control"),
    }[batch.store]
    rule = (
        rules_for(voice.book, batch.prep).rules.get(held_at(batch.store)) if batch.store in ("chilled", "hot") else None
    )
    limit = ""
    if rule:
        limit = (_("{limit} or above") if is_heat(rule.key) else _("{limit} or less")).format(limit=rule.said)
    return listed((kept, limit, where))


def _reason(batch: Batch, voice: Voice) -> str:
    """Why its life was cut, or why it carries no date."""
    found = evidence_of(voice.book, batch.prep)
    if found is not None:
        return _("Exempt: {why}").format(why=evidence_text(found))
    if batch.use_by is None:
        return ""
    if not is_cut(batch.why):
        return ""
    return _("Why: {why}").format(why=why_text(batch.why, voice.book.kitchen.rules))


def _out_since(batch: Batch, voice: Voice) -> str:
    """When it left temperature control: the code wants both that and the end."""
    out = min((mark.since for mark in batch.marks if mark.row == OUT), default=None)
    return _("Out of temperature control since {moment}").format(moment=_moment(batch, voice, out)) if out else ""


def _frozen(batch: Batch, voice: Voice) -> str:
    """When it was frozen, and how many days are left of its count once it is thawed."""
    if batch.store != "frozen":
        return ""
    since = batch.history.stays[-1].since
    said = _("Frozen {day}").format(day=_day(batch, voice.days.local(since).date()))
    days = days_once_thawed(voice.book, batch.prep, batch.history)
    return said if days is None else _("{frozen}; {days} once thawed").format(
        frozen=said, days=some("{n} day", "{n} days", days))  # fmt: skip


def _lasting(batch: Batch, voice: Voice) -> str:
    """Why it needs no cold, where the book says so."""
    prep = voice.book.preps.get(batch.prep)
    return _("Needs no cold: {what}").format(what=_(PREPS[prep.stable])) if prep and prep.stable else ""


def _why(batch: Batch, voice: Voice) -> str:
    """What set its end; of opened goods whose book names no life the code's own count."""
    goods = voice.book.goods.get(batch.prep) if batch.pack else None
    return "date mark" if batch.why == "opened" and goods is not None and goods.keeps_open is None else batch.why


def _basis(batch: Batch, voice: Voice) -> str:
    """The code is named where its number decided; a help is no law either way."""
    said = _("{by}; a help, not the law of the place").format(
        by=decided_by(_why(batch, voice), voice.book.kitchen.rules)
    )
    return _("{by}; clock set by hand").format(by=said) if voice.set_by_hand else said


# --- as text, as a drawing, as a page ---------------------------------------------------------------------


def as_text(label: Label, width: int) -> str:
    """Lines of at most `width` columns; a blank line ends it."""
    return "\n".join(line for text in label.texts for line in wrap(text, width)) + "\n"


def as_svg(label: Label, columns: int = 32) -> str:
    """One drawing: the words at the left, the square with the code at the right."""
    drawn: list[tuple[str, str]] = []
    for text in label.texts:
        weight = "bold" if text in (label.name, label.use_by, label.warning) else "normal"
        drawn += [(line, weight) for line in wrap(text, columns)]
    height = max(len(drawn) * _LINE, _SIDE + _LINE) + 2 * _EDGE
    wide = round(columns * _LINE * 0.56) + _SIDE + 3 * _EDGE
    words = "".join(
        f'<text x="{_EDGE}" y="{_EDGE + (n + 1) * _LINE - 5}" font-weight="{weight}">{escape(line)}</text>'
        for n, (line, weight) in enumerate(drawn)
    )
    drawn_code = square(label.square or label.code, wide - _SIDE - _EDGE, _EDGE)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}" height="{height}" viewBox="0 0 {wide} {height}" '
        f'font-family="monospace" font-size="15" role="img" aria-label="{escape(label.name)} {escape(label.code)}">'
        f'<rect width="{wide}" height="{height}" fill="#fff"/>{words}{drawn_code}'
        f'<text x="{wide - _EDGE - _SIDE / 2:g}" y="{_EDGE + _SIDE + _LINE}" text-anchor="middle" font-weight="bold">'
        f"{escape(label.code)}</text>"
        "</svg>"
    )


def square(code: str, left: float, top: float, side: float = _SIDE) -> str:
    """The QR code of a batch's code, or of a whole delivery note, as part of a drawing, its white edge included."""
    # Only what is printed with a code needs it; every list imports this module.
    import segno

    cells = [list(row) for row in segno.make(code, micro=False, error="m").matrix]
    scale = side / (len(cells) + 2 * QUIET)
    dark = "".join(
        f"M{column + QUIET} {row + QUIET}h1v1h-1z"
        for row, line in enumerate(cells)
        for column, on in enumerate(line)
        if on
    )
    return f'<path transform="translate({left:g} {top:g}) scale({scale:g})" fill="#000" d="{dark}"/>'


class Sheet(Struct, frozen=True):
    """What labels are printed on, in mm: one label's width and height, and how many stand beside and below each other
    on a page (1 and 1: a roll, each label a page of its own). `edge` is the page's margin."""

    width: Fraction
    height: Fraction
    across: int = 1
    down: int = 1
    edge: Fraction = Fraction(0)

    @property
    def page(self) -> tuple[Fraction, Fraction]:
        """Width and height of the whole page."""
        return self.width * self.across + 2 * self.edge, self.height * self.down + 2 * self.edge


def on_sheets(found: list[Label], kitchen: str, sheet: Sheet) -> str:
    """Labels in their size in mm, to print without scaling: a page for each roll label, or sheets of them.

    CSS Paged Media Module Level 3, section 7 (`@page` and `size`): a printer is told how large the paper is.
    """
    each = sheet.across * sheet.down
    pages = [found[start : start + each] for start in range(0, len(found), each)]
    wide, high = (f"{float(side):g}mm" for side in sheet.page)
    columns = 32 if sheet.width >= 2 * sheet.height else 28
    drawn = "\n".join(
        "<section>" + "".join(f"<div>{as_svg(label, columns)}</div>" for label in page) + "</section>" for page in pages
    )
    style = (
        f"@page{{size:{wide} {high};margin:0}}body{{margin:0}}"
        f"section{{width:{wide};height:{high};box-sizing:border-box;padding:{float(sheet.edge):g}mm;display:grid;"
        f"grid-template-columns:repeat({sheet.across},{float(sheet.width):g}mm);"
        f"grid-auto-rows:{float(sheet.height):g}mm;break-after:page;overflow:hidden}}"
        "div{box-sizing:border-box;padding:1.5mm;overflow:hidden}svg{width:100%;height:100%}"
    )
    return f"{_head(kitchen)}<style>{style}</style>\n{drawn}\n</html>"


def _head(kitchen: str) -> str:
    title = f"{escape(kitchen)}: {_('labels')}"
    return f'<!doctype html>\n<html lang="{root(spoken())}">\n<meta charset="utf-8">\n<title>{title}</title>\n'


def as_page(found: list[Label], kitchen: str) -> str:
    """A page to print, one label below another; no page break falls into a label."""
    drawn = "\n".join(f"<div>{as_svg(label)}</div>" for label in found)
    return (
        f"{_head(kitchen)}"
        "<style>body{margin:0}div{break-inside:avoid;padding:4mm}svg{max-width:100%;height:auto}</style>\n"
        f"{drawn}\n</html>"
    )
