"""How a chance is said to a kitchen: in nights, "five nights in six something runs out"."""

from __future__ import annotations

from fractions import Fraction

from prepboard.texts import _

_SURE = 0.005
"""Less than this is not worth a number."""
_IN = (1, 2, 3, 4, 5, 6, 8, 10)
"""Nights out of which a likely thing is told; a rarer one is one night in so many."""
_RARE = (10, 12, 15, 20, 25, 30, 40, 50, 75, 100, 150, 200)


def runs_out(all_stand: float | None) -> str:
    """Of a whole menu: on how many nights something runs out. `all_stand` is the chance that nothing does."""
    if all_stand is None:
        return ""
    out = 1 - all_stand
    if out < _SURE:
        return _("hardly ever anything runs out")
    if all_stand < _SURE:
        return _("nearly every night something runs out")
    said = nights(out)
    return _("{nights} something runs out").format(nights=said)


def nights(chance: float) -> str:
    """A chance in nights: "five nights in six", "one night in twenty"."""
    if chance < 1 / _RARE[0] * 1.05:
        return _("one night in {n}").format(n=min(_RARE, key=lambda n: abs(1 / n - chance)))
    some = [Fraction(n, of) for of in _IN for n in range(1, of)]
    near = min(dict.fromkeys(some), key=lambda part: (abs(float(part) - chance), part.denominator))
    if near.numerator == 1:
        return _("one night in {n}").format(n=_word(near.denominator))
    return _("{n} nights in {of}").format(n=_word(near.numerator), of=_word(near.denominator))


def nights_brief(all_stand: float | None) -> str:
    """The same where there is little room: "out 5 in 6"."""
    if all_stand is None or not _SURE <= all_stand <= 1 - _SURE:
        return ""
    return _("out {n} in 100").format(n=round((1 - all_stand) * 100))


def _word(number: int) -> str:
    words = (_("two"), _("three"), _("four"), _("five"), _("six"), _("seven"), _("eight"), _("nine"), _("ten"))
    return words[number - 2] if 2 <= number <= len(words) + 1 else str(number)
