"""What is in force: every number of the kitchen's rule book, its section, and where it was read."""

from __future__ import annotations

from prepboard.book.rules import Rule, RuleBook, said_degrees
from prepboard.book.safety.checked import CHECKED
from prepboard.book.safety.silent import SILENT
from prepboard.book.safety.unshown import unshown
from prepboard.paper.sentences.evidence import exempted, plan_text
from prepboard.paper.sentences.heading import Section
from prepboard.paper.text.layout import Row, paragraph, section, table
from prepboard.paper.text.saying import Voice
from prepboard.paper.text.shape import Json, number
from prepboard.texts import _


def as_object(voice: Voice) -> Json:
    """For scripts; `also` is the code's own figure on the other scale, where it has one."""
    kitchen = voice.book.kitchen
    rules = kitchen.rules
    return {
        "id": rules.id,
        "title": rules.title,
        "caution": rules.says,
        "approved_plan": plan_text(kitchen.approved_plan) or None,
        "exempt": exempted(voice.book),
        "needs_no_control": rules.no_control.said,
        "values": [_value(rule) for rule in rules.rules.values()],
        "allowed": [
            {"key": key, "may": next_.may, "text": rules.allows_next(key), "section": next_.section,
             "source": next_.source, "status": next_.status}
            for key, next_ in rules.allowed.items()
        ],
        "not_checked": list(SILENT.values()),
        "left_open": [said for _section, _id, said in unshown(voice.book)],
    }  # fmt: skip


def _value(rule: Rule) -> Json:
    shown: Json = {
        "key": rule.key,
        "value": number(rule.value),
        "unit": rule.unit,
        "also": number(rule.also[0]) if rule.also else None,
        "also_unit": rule.also[1] if rule.also else None,
        "section": rule.section,
        "title": rule.title,
        "source": rule.source,
        "status": rule.status,
        "note": rule.note or None,
        "checked": CHECKED.get(rule.key),
    }
    if rule.loosened_from:
        shown["loosened_from"] = {"value": number(rule.loosened_from[0]), "unit": rule.loosened_from[1]}
    return shown


def rules(voice: Voice, width: int) -> Section:
    """The rule book as people read it: what is in force, where it comes from, and what follows a missed limit."""
    book = voice.book.kitchen.rules
    rows, beside = (
        [
            Row((rule.said, named(rule.key), _where(rule)), (_(rule.note),) if rule.note else ())
            for rule in book.rules.values()
            if (rule.key in CHECKED) is checked
        ]
        for checked in (True, False)
    )
    after = [Row((named(key), f"{book.allows_next(key)} {_whence(book, key)}")) for key in book.allowed]
    return [
        "",
        *paragraph(book.named, width, 1),
        *paragraph(book.says, width, 1),
        *loosened(voice, width),
        *section(_("IN FORCE"), table(rows, "><<", width), _("This rule book names no numbers."), width),
        *section(_("IN THE CODE, NOT CHECKED HERE"), table(beside, "><<", width), _("Nothing."), width),
        *section(_("ONCE A LIMIT WAS MISSED"), table(after, "<<", width), _("Discard what missed a limit."), width),
        *section(_("WITHOUT COLD OR DATE MARK"), _lifted(voice, width), "", width),
        *section(_("LEFT OPEN BY THE BOOK"), _open(voice, width), _("Nothing."), width),
        *section(_("NOT CHECKED HERE"), silent(width), "", width),
    ]


def _lifted(voice: Voice, width: int) -> Section:
    """Which figures lift the cold by this code, and what of the book they lift it of."""
    law = voice.book.kitchen.rules.no_control
    said = _("Food needs no cold with {figures} ({section}; {status}).")
    texts = [said.format(figures=law.said, section=law.place, status=_(law.status)), *exempted(voice.book)]
    return [line for text in texts for line in paragraph(text, width, 1)]


def _open(voice: Voice, width: int) -> Section:
    return [line for _section, _id, said in unshown(voice.book) for line in paragraph(f"{said}.", width, 1)]


def silent(width: int) -> Section:
    """What prepboard says nothing about; the kitchen's own plan covers it."""
    return [line for text in SILENT.values() for line in paragraph(_(text), width, 1)]


def named(key: str) -> str:
    """A limit's name in the reader's language, and beside it the key that a book writes where they are not alike."""
    words = key.replace("_", " ")
    said = _(words)
    return words if said == words else f"{said} ({key})"


def _where(rule: Rule) -> str:
    if rule.source == rule.status:
        return _("{section} {source}.").format(section=rule.place, source=_(rule.source)).strip()
    said = _("{section}, {title}. {source}; {status}.")
    return said.format(section=rule.place, title=_(rule.title), source=_(rule.source), status=_(rule.status))


def _whence(book: RuleBook, key: str) -> str:
    found = book.allowed[key]
    return _("({section}; {status}.)").format(section=found.place, status=_(found.status))


def loosened(voice: Voice, width: int) -> Section:
    """What the kitchen's own approved plan has looser than the code; every record says so."""
    return [line for text in loosened_texts(voice) for line in paragraph(text, width, 1)]


def loosened_texts(voice: Voice) -> list[str]:
    """One sentence for each limit that is looser than the code."""
    kitchen = voice.book.kitchen
    said = _("Looser than {title}, section {section}, by this kitchen's own plan ({plan}): {key} {value}, not {code}.")
    return [
        said.format(
            title=kitchen.rules.named,
            section=rule.place,
            plan=plan_text(kitchen.approved_plan),
            key=named(rule.key),
            value=rule.said,
            code=_code_figure(rule),
        )
        for rule in kitchen.rules.loosened
    ]


def _code_figure(rule: Rule) -> str:
    value, unit = rule.loosened_from or (rule.value, rule.unit)
    return said_degrees(value, unit) if unit in ("C", "F") else f"{number(value)} {unit}"
