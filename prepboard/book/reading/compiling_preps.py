"""Turns written preps and goods into what plans compute with: exact amounts, filled-in defaults, who makes what."""

from __future__ import annotations

from fractions import Fraction

from prepboard.book import durations
from prepboard.book.amounts import MILLION, UNITS, Amount, Measure
from prepboard.book.book import Goods, Life, Prep, Sizes, Step, Store, Use, Weekly
from prepboard.book.reading.checking.kitchen import DEFAULT_STATION, weekly
from prepboard.book.reading.checking.preps import Names, allowed_sizes
from prepboard.book.reading.faults import Findings, KeyPath
from prepboard.book.reading.larder import Larder
from prepboard.book.reading.written import BookWritten, PrepWritten, StepWritten
from prepboard.book.reading.written_values import WeekdayOrElse
from prepboard.book.safety.allergens import named
from prepboard.texts import _

A_QUARTER = 15
"""Minutes that any wait may stretch which nothing forbids to."""


def in_words(id_: str) -> str:
    """The name of something that was given none: its id in words."""
    words = id_.replace("-", " ")
    return words[:1].upper() + words[1:]


def compile_goods(book: BookWritten, larder: Larder) -> dict[str, Goods]:
    """All goods, in book order."""
    made = {}
    for order, (id_, goods) in enumerate(book.goods.items()):
        if not goods.usable:
            larder.findings.add(("goods", id_, "usable"), _("of something bought in, more than nothing is usable"))
        made[id_] = Goods(
            id=id_,
            called=goods.name or in_words(id_),
            order=order,
            measure=larder.measures[id_],
            usable=goods.usable,
            store=goods.store,
            thaw=durations.whole_minutes(goods.thaw),
            keeps_open=goods.keeps_open,
            ready_to_eat=goods.ready_to_eat is not False,
            cost=goods.cost,
            allergens=_allergens(goods.allergens or []),
            stated=goods.allergens is not None,
            species=goods.species or "",
            stable=goods.stable or "",
            place=goods.place or "",
            note=goods.note,
            was=goods.was or "",
            supplier=goods.supplier,
            pack=larder.amount(("goods", id_, "pack"), id_, goods.pack) if goods.pack else 0,
            order_by=goods.order_by,
            lead=_lead(id_, goods.lead, larder),
        )
    return made


def _lead(id_: str, lead: Fraction, larder: Larder) -> int:
    """Whole days: a van that comes the same day has none."""
    days, rest = divmod(durations.whole_minutes(lead), 24 * 60)
    if rest:
        larder.findings.add(("goods", id_, "lead"), _('is in whole days, like "1 day"; the same day has none'))
    return days


def compile_preps(book: BookWritten, larder: Larder) -> dict[str, Prep]:
    """All preps, in book order."""
    return {id_: _prep(order, id_, prep, book, larder) for order, (id_, prep) in enumerate(book.preps.items())}


def _prep(order: int, id_: str, prep: PrepWritten, book: BookWritten, larder: Larder) -> Prep:
    path = ("preps", id_)
    station = _station(id_, prep, book, larder.names)
    store, keeps = _keeping(path, prep, book, larder)
    _check_served_from(path, prep, store, larder)
    outputs = _outputs(path, id_, prep, larder)
    makers = larder.names.makers.get(id_, [])
    smallest, step, largest = allowed_sizes(prep)
    par, below = _standing(path, id_, prep, larder)
    return Prep(
        id=id_,
        called=prep.name or id_,
        order=order,
        measure=larder.measures[id_],
        station=station,
        store=store,
        keeps=keeps,
        ready_to_eat=prep.ready_to_eat is not False,
        makes=outputs.get(id_),
        outputs=outputs,
        made_by=tuple(sorted(dict.fromkeys(makers), key=lambda maker: maker != id_)),
        driven_by=tuple(dict.fromkeys(prep.driven_by or (id_,))) if outputs else (),
        sizes=Sizes(smallest, step, largest),
        uses=_uses(path, "uses", prep, larder),
        takes_if_there=_uses(path, "takes_if_there", prep, larder),
        instead=_instead(path, prep, larder),
        steps=tuple(
            _step(
                (*path, "steps", number),
                step_,
                station,
                keeps.get(store),
                smallest,
                book,
                larder.findings,
                last=number + 1 == len(prep.steps),
            )
            for number, step_ in enumerate(prep.steps)
        ),
        thaw=durations.whole_minutes(prep.thaw),
        par=par,
        make_below=below,
        joins=prep.joins,
        ready_before=durations.whole_minutes(_slack(id_, prep, book, larder.names)),
        serve_from=tuple(dict.fromkeys(prep.serve_from or ())),
        fresh_for=durations.whole_minutes(prep.fresh_for) if prep.fresh_for is not None else 0,
        on_demand=prep.on_demand,
        allergens=_allergens(prep.allergens),
        stable=prep.stable or "",
        place=prep.place or "",
        packed=prep.packed or "",
        enough=None if prep.enough is None else float(prep.enough),
        service_level=None if prep.service_level is None else float(prep.service_level),
        cost_short=prep.cost_short,
        cost_over=prep.cost_over,
        note=prep.note,
        was=prep.was or "",
        comes_from="" if prep.comes_from in (None, book.this_kitchen) else prep.comes_from,
    )


def _slack(id_: str, prep: PrepWritten, book: BookWritten, names: Names) -> Fraction:
    """What a service needs is ready so long before, so that one phone call makes nothing late; what only runs need is
    not: its users begin when it is there."""
    if prep.ready_before is not None:
        return prep.ready_before
    asked = prep.par is not None or id_ in names.plated
    return book.ready_before if asked else Fraction(0)


def _allergens(words: list[str]) -> tuple[str, ...]:
    """The names used here, each once; what is none was found at fault already."""
    return tuple(dict.fromkeys(named(word) or word for word in words))


def _standing(path: KeyPath, id_: str, prep: PrepWritten, larder: Larder) -> tuple[Weekly[int] | None, int | None]:
    """The standing par by weekday, and below which amount a run is made."""
    below = None if prep.make_below is None else larder.level((*path, "make_below"), id_, prep.make_below)
    if prep.par is None:
        return None, below
    by_day: dict[WeekdayOrElse, int | None] = {
        day: larder.level((*path, "par", day), id_, amount) for day, amount in prep.par.items()
    }
    par = Weekly(weekly(by_day, None))
    if below is not None and below > max((level for level in par.days if level is not None), default=below):
        larder.findings.add((*path, "make_below"), _("is above the par"))
    return par, below


def _maker(prep: PrepWritten, id_: str, book: BookWritten, names: Names) -> PrepWritten | None:
    """The prep whose run gives this one, when it has no recipe of its own."""
    makers = names.makers.get(id_) if prep.makes is None else None
    return book.preps[makers[0]] if makers else None


def _station(id_: str, prep: PrepWritten, book: BookWritten, names: Names) -> str:
    """Its own, else its maker's, else the first of the book."""
    maker = _maker(prep, id_, book, names)
    said = prep.station or (maker.station if maker else None)
    return said or next(iter(book.stations), DEFAULT_STATION)


def _store(prep: PrepWritten) -> Store:
    """Where a prep is kept: as said, else chilled, unless `keeps` knows other storages only."""
    if prep.store:
        return prep.store
    for store in prep.keeps or {}:
        if store != "own" and "chilled" not in (prep.keeps or {}):
            return store
    return "chilled"


def _keeping(path: KeyPath, prep: PrepWritten, book: BookWritten, larder: Larder) -> tuple[Store, dict[str, Life]]:
    """The storage of a prep and its lives by storage."""
    maker = _maker(prep, str(path[1]), book, larder.names)
    store = _store(maker) if maker and not prep.store else _store(prep)
    written = dict(prep.keeps or {})
    if "own" in written:
        return store, {store: written["own"]}
    if written and store not in written and larder.findings.sound((*path, "keeps")):
        larder.findings.add(
            (*path, "keeps"), _("`keeps` says nothing for {store}, where it is kept").format(store=store)
        )
    return store, {str(place): life for place, life in written.items()}


def _check_served_from(path: KeyPath, prep: PrepWritten, store: Store, larder: Larder) -> None:
    """What is made has to be served from where it goes, and out of the freezer only once it had time to thaw."""
    served = prep.serve_from or ()
    if prep.serve_from is not None and store in ("chilled", "frozen") and store not in served:
        larder.findings.add((*path, "serve_from"), _("leaves out {store}, where it is kept").format(store=store))
    if store == "chilled" and "frozen" in served and not prep.thaw:
        larder.findings.add((*path, "serve_from"), _("out of the freezer: say `thaw` too, how long it takes"))


def _outputs(path: KeyPath, id_: str, prep: PrepWritten, larder: Larder) -> dict[str, int]:
    if prep.makes is None or id_ not in larder.names.makers:
        return {}
    outputs = {id_: larder.amount((*path, "makes"), id_, prep.makes)}
    for item, amount in prep.also_makes.items():
        if item in larder.book.preps and item != id_:
            outputs[item] = larder.amount((*path, "also_makes", item), item, amount)
    return outputs


def _uses(path: KeyPath, key: str, prep: PrepWritten, larder: Larder) -> tuple[Use, ...]:
    """What a recipe takes, each at the step that names it; split where several steps say how much."""
    uses: list[Use] = []
    for item, amount in getattr(prep, key).items():
        whole = larder.amount((*path, key, item), item, amount)
        at = [(number, step.uses[item]) for number, step in enumerate(prep.steps) if item in step.uses]
        if len(at) > 1 or (at and at[0][1] is not None):
            uses += _split((*path, "steps"), item, whole, at, larder)
        else:
            uses.append(Use(item, whole, at[0][0] if at else None))
    return tuple(uses)


def _instead(path: KeyPath, prep: PrepWritten, larder: Larder) -> dict[str, str]:
    """What may go in instead of what; as much of it, so both are measured alike."""
    for item, other in prep.instead.items():
        known = [larder.measures[one] for one in (item, other) if one in larder.measures]
        if len({measure.kind for measure in known}) > 1:
            said = _("'{item}' and '{other}' are not measured alike, and as much of one as of the other goes in")
            larder.findings.add((*path, "instead", item), said.format(item=item, other=other))
    return dict(prep.instead)


def _split(path: KeyPath, item: str, whole: int, at: list[tuple[int, Amount | None]], larder: Larder) -> list[Use]:
    parts = []
    for number, amount in at:
        here = (*path, number, "uses", item)
        if amount is None:
            larder.findings.add(here, _("'{item}' is taken at several steps; say how much at each").format(item=item))
            return []
        parts.append(Use(item, larder.amount(here, item, amount), number))
    total = sum(part.amount for part in parts)
    # Each part is rounded to a millionth of a gram on its own.
    sound = all(larder.findings.sound((*path, number, "uses", item)) for number, _amount in at)
    if abs(total - whole) > len(parts) and sound:
        larder.findings.add(
            (*path, at[-1][0], "uses", item),
            _("the steps take {total} of '{item}', the recipe uses {whole}").format(
                total=_base(total, larder.measures[item]), item=item, whole=_base(whole, larder.measures[item])
            ),
        )
    elif parts:
        last = parts[-1]
        parts[-1] = Use(item, last.amount + whole - total, last.step)
    return parts


def _base(millionths: int, measure: Measure) -> str:
    number = Fraction(millionths, MILLION) / UNITS[measure.unit].size
    return f"{float(number):.9g} {measure.unit}"


def _step(
    path: KeyPath,
    step: StepWritten,
    station: str,
    life: Life | None,
    smallest: Fraction,
    book: BookWritten,
    findings: Findings,
    last: bool,
) -> Step:
    wait = durations.whole_minutes(step.wait)
    racks = Fraction(1) if step.racks is None else step.racks
    for key, stands_in in (("racks", step.equipment), ("or_in", step.or_in)):
        equipment = book.equipment.get(stands_in or "")
        if equipment and -(-racks * smallest // 1) > equipment.places * equipment.racks:
            findings.add((*path, key), _("even the smallest run needs more racks than the equipment has"))
    return Step(
        do=step.do or "",
        station=step.station or station,
        hands_on=durations.whole_seconds(step.hands_on),
        hands_on_each=durations.whole_seconds(step.hands_on_each),
        wait=wait,
        wait_up_to=_wait_up_to(step, wait, life, last, book),
        attended=step.attended,
        equipment=step.equipment,
        or_in=step.or_in,
        racks=racks,
        holds=step.holds or "all",
        at=step.at,
        core=step.core,
        cools=step.cools,
        cook_as=step.cook_as or "",
        place=step.place,
        life_starts=step.life_starts,
        note=step.note,
    )


def _wait_up_to(step: StepWritten, wait: int, life: Life | None, last: bool, book: BookWritten) -> int:
    """How far a wait may stretch of which nobody says it: not at all with equipment or heat; in the cold, and after the
    last step, as long as the prep keeps; elsewhere by a quarter, at least a quarter of an hour (common practice, no
    source)."""
    if step.wait_up_to is not None:
        return max(wait, int(step.wait_up_to // 60))
    if step.equipment is not None or step.at is not None or step.core is not None or life is None:
        return wait
    place = book.places.get(step.place or "")
    cold = step.cools or last or (place.store if place else step.place) in ("chilled", "frozen")
    if not cold:
        return wait + max(A_QUARTER, -(-wait // 4))
    return max(wait, life.minutes if life.minutes is not None else (life.days or 0) * 1440)
