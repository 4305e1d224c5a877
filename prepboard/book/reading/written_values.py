"""The values of the written form as pydantic types: how each is read, and how the JSON Schema describes it."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import date, time
from decimal import Decimal
from fractions import Fraction
from typing import Annotated, Any, Literal, TypeVar

from pydantic import BeforeValidator, GetJsonSchemaHandler, PlainValidator, WithJsonSchema
from pydantic_core import CoreSchema

from prepboard.book import durations, values
from prepboard.book.amounts import Amount
from prepboard.book.book import Life, Temperature
from prepboard.book.names import in_languages
from prepboard.book.safety.stable import PREPS
from prepboard.texts import _

T = TypeVar("T")
Weekday = values.Weekday
WeekdayOrElse = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun", "else"]
OWN = "own"
"""Stands in `keeps` for the prep's own storage when one text was written instead of a table."""


def _said(read: Callable[[Any], object], **schema: object) -> tuple[PlainValidator, WithJsonSchema]:
    return PlainValidator(read), WithJsonSchema(dict(schema))


def _between(least: Fraction | int, most: Fraction | int, open_ends: bool = False) -> Callable[[object], Fraction]:
    def read(value: object) -> Fraction:
        number = values.read_fraction(value)
        outside = not (least < number < most) if open_ends else not (least <= number <= most)
        if outside:
            between = _("between {least} and {most}") if open_ends else _("from {least} to {most}")
            said = _("expected a number {range}, not {value}").format(
                range=between.format(least=least, most=most), value=values.shown(value)
            )
            raise ValueError(values.said_as_part(said, number, most))
        return number

    return read


def _whole(least: int, most: int) -> Callable[[object], int]:
    def read(value: object) -> int:
        number = values.read_fraction(value) if isinstance(value, int | Decimal) else None
        if number is None or not least <= number <= most or number % 1:
            said = _("expected a whole number from {least} to {most}, not {value}").format(
                least=least, most=most, value=values.shown(value)
            )
            if isinstance(value, str) and value.strip().isdecimal():
                said = _("{said}; it stands without quotes").format(said=said)
            raise ValueError(said)
        return int(number)

    return read


def _number(least: Fraction | int, most: Fraction | int) -> tuple[PlainValidator, WithJsonSchema]:
    return _said(_between(least, most), type=["number", "string"], minimum=float(least), maximum=float(most))


def _money(value: object) -> Fraction:
    try:
        values.read_fraction(value)
    except ValueError:
        said = _("money is a number by itself, like 9.50, in the kitchen's own currency; not {value}")
        raise ValueError(said.format(value=values.shown(value))) from None
    return _between(0, 10**6)(value)


def _by_language(read: Callable[[object], str], most: int) -> tuple[PlainValidator, WithJsonSchema]:
    """One text, or a table of them by language, the plain one first: held as one all the same."""

    def read_all(value: object) -> str:
        if not isinstance(value, Mapping):
            return read(value)
        if not value:
            raise ValueError(_('expected a text for each language, like { en = "Jus", es = "Jugo" }'))
        return in_languages({_language(code): _of(code, text) for code, text in value.items()})

    def _of(code: object, text: object) -> str:
        try:
            return read(text)
        except ValueError as fault:
            raise ValueError(_("{language}: {fault}").format(language=code, fault=fault)) from None

    text = {"type": "string", "minLength": 1, "maxLength": most}
    table = {"type": "object", "additionalProperties": text, "minProperties": 1, "propertyNames": {"pattern": _CODE}}
    return _said(read_all, anyOf=[text, table])


_CODE = r"^[a-z]{2,3}(-[A-Za-z0-9]{2,8})*$"


def is_language(code: object) -> bool:
    """Whether a text is written like the code of a language: "es", "es-MX"."""
    return isinstance(code, str) and re.match(_CODE, code) is not None


def _language(code: object) -> str:
    if not isinstance(code, str) or not is_language(code):
        raise ValueError(_("expected the code of a language, like es, not {value}").format(value=values.shown(code)))
    return code


_TEXT = {"type": "string"}
Name = Annotated[str, *_said(values.read_name, **_TEXT, minLength=1, maxLength=values.LONGEST_NAME)]
Said = Annotated[str, *_by_language(values.read_name, values.LONGEST_NAME)]
"""A name, in one language or in several."""
ByLanguage = dict[Annotated[str, *_said(_language, **_TEXT, pattern=_CODE)], Name]
Plural = Name | dict[str, Name | ByLanguage]
"""The word for several of the only container; or by language, by container, or both."""
Note = Annotated[str, *_said(values.read_note, **_TEXT, maxLength=values.LONGEST_NOTE)]
SaidNote = Annotated[str, *_by_language(values.read_note, values.LONGEST_NOTE)]
Word = Annotated[str, *_said(values.read_text, **_TEXT)]
AmountText = Annotated[
    Amount,
    *_said(values.read_written_amount, type=["string", "number"], examples=["1.2 kg", "13½ each", "2 deep sixth"]),
]
MaybeAmount = Annotated[
    Amount | None,
    *_said(lambda value: None if value is None else values.read_written_amount(value), type=["string", "number"]),
]
Measured = Annotated[dict[str, Fraction], *_said(values.read_measured, **_TEXT, examples=["pH 3.6", "pH 4.4, aw 0.89"])]
"""By "ph" and "aw"."""
_DURATION = {"type": "string", "examples": ["30 s", "45 min", "1 h 30 min", "2 days", "PT6H"]}
Duration = Annotated[Fraction, *_said(durations.read_seconds, **_DURATION)]
"""Seconds."""
HandsOn = Annotated[Fraction, *_said(lambda value: durations.read_seconds(value, 24 * 3600), **_DURATION)]
LifeText = Annotated[Life, *_said(durations.read_life, **_TEXT, examples=["5 days", "36 h"])]
Clock = Annotated[time, *_said(values.read_clock, **_TEXT, examples=["17:30"], pattern=r"^\d{1,2}:\d{2}$")]
Day = Annotated[date, *_said(values.read_date, **_TEXT, format="date")]
Hours = Annotated[values.Windows, *_said(values.read_hours, **_TEXT, examples=["08:00-15:00, 16:00-23:30", "closed"])]
Degrees = Annotated[Temperature, *_said(values.read_temperature, **_TEXT, examples=["160 C", "320 F"])]
Height = Annotated[
    int | None,
    *_said(lambda value: None if value is None else values.read_height(value), **_TEXT, examples=["1600 m", "5280 ft"]),
]
"""Metres above the sea."""
Joins = Annotated[int | None, *_said(durations.read_joins, **_TEXT, examples=["2 days", "none"])]
Density = Annotated[Fraction, *_said(values.read_density, type=["number", "string"], examples=[0.92])]
Chance = Annotated[
    Fraction, *_said(_between(0, 1, open_ends=True), type="number", exclusiveMinimum=0, exclusiveMaximum=1)
]
Part = Annotated[Fraction, *_number(0, 1)]
Share = Annotated[Fraction, *_number(0, values.MOST_OF_A_SHARE)]
SizeNumber = Annotated[Fraction, *_number(Fraction(1, 1000), 1000)]
Money = Annotated[Fraction, *_said(_money, type=["number", "string"], minimum=0.0, maximum=1e6)]
Racks = Annotated[Fraction, *_number(Fraction(1, 1000), 1000)]
Cooks = Annotated[int, *_said(_whole(0, 200), type="integer", minimum=0, maximum=200)]
Guests = Annotated[int, *_said(_whole(0, 20_000), type="integer", minimum=0, maximum=20_000)]
Pieces = Annotated[int, *_said(_whole(1, 200), type="integer", minimum=1, maximum=200)]
HourFormat = Annotated[int, *_said(_whole(12, 24), enum=[12, 24])]


class _OneOrTable:
    """In the JSON Schema: either one value for all, or a table of values."""

    def __get_pydantic_json_schema__(self, core: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        table = handler(core)
        keys = [key for key in table["propertyNames"]["enum"] if key != OWN]
        return {"anyOf": [table["additionalProperties"], {**table, "propertyNames": {"enum": keys}}]}


def _spread(key: str) -> BeforeValidator:
    """Turns one value for all into a table that says it under `key`."""
    return BeforeValidator(lambda value: value if isinstance(value, Mapping) else {key: value})


def _keeps_table(value: object) -> object:
    if isinstance(value, Mapping):
        return {"": OWN} if OWN in value else value
    return {OWN: value}


def _names_or_amounts(value: object) -> object:
    """`uses` of a step: a list of names, or a table of amounts."""
    if isinstance(value, list):
        names = [values.read_text(name) for name in value]
        for name in names:
            if names.count(name) > 1:
                raise ValueError(_("'{name}' stands here twice").format(name=name))
        return dict.fromkeys(names)
    return value


class _UsesSchema:
    def __get_pydantic_json_schema__(self, core: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        return {"anyOf": [{"type": "array", "items": {"type": "string"}}, handler(core)]}


def evidence_no_text(value: object) -> object:
    """A bare text lifts nothing: what to write in its place."""
    if isinstance(value, str):
        said = _(
            "a text lifts nothing: write what was measured, {example}, or `stable` where it is one of {known}"
        ).format(
            example='exempt = { why = "acid", measured = "pH 3.6", on = "2026-09-02", by = "LM" }',
            known=", ".join(PREPS),
        )
        raise ValueError(said)
    return value


def plan_no_text(value: object) -> object:
    if isinstance(value, str):
        example = 'approved_plan = { number = "HACCP 7", by = "City food office", on = "2026-03-02" }'
        raise ValueError(
            _("a text is no plan: write its number, who approved it and when: {example}").format(example=example)
        )
    return value


ByDay = Annotated[dict[WeekdayOrElse, T], _OneOrTable(), _spread("else")]
Keeps = Annotated[
    dict[Literal["chilled", "frozen", "ambient", "hot", "time", "own"], LifeText],
    _OneOrTable(),
    BeforeValidator(_keeps_table),
]
StepUses = Annotated[dict[str, MaybeAmount], _UsesSchema(), BeforeValidator(_names_or_amounts)]
Items = dict[str, AmountText]
Words = list[Word]
