"""Catalogues as translators write them (.po) and as programs read them (.mo), both as GNU gettext defines them
("The Format of PO Files", "The Format of GNU MO Files"); the standard library reads the second and writes neither."""

from __future__ import annotations

import ast
import struct
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

FOLDER = Path(__file__).parents[2] / "prepboard" / "languages"


@dataclass
class Entry:
    """One message: `many` is its plural, "" for none; `said` its translations, one or one a plural form; `sense` says
    in which one it is meant, "" for a text that has only one."""

    text: str
    many: str = ""
    said: tuple[str, ...] = ()
    where: tuple[str, ...] = ()
    sense: str = ""

    @property
    def key(self) -> str:
        """What it is looked up by, as GNU gettext has it."""
        return f"{self.sense}\4{self.text}" if self.sense else self.text

    @property
    def is_said(self) -> bool:
        return bool(self.said) and all(self.said)


@dataclass
class Catalogue:
    """`remarks` stand above all, the glossary among them; the `head` is the translation of the empty message."""

    remarks: list[str] = field(default_factory=list)
    head: str = ""
    entries: dict[str, Entry] = field(default_factory=dict)

    @property
    def forms(self) -> int:
        """How many plural forms the language has."""
        return int(self.head.partition("nplurals=")[2].partition(";")[0] or 2)


def po_of(language: str) -> Path:
    return FOLDER / f"{language}.po"


def mo_of(language: str) -> Path:
    return FOLDER / language / "LC_MESSAGES" / "prepboard.mo"


@cache
def known(language: str) -> Catalogue:
    """A catalogue of ours, read once: to be looked into."""
    return read(po_of(language))


def read(path: Path) -> Catalogue:
    found = Catalogue()
    blocks = path.read_text(encoding="utf-8").split("\n\n")
    for number, block in enumerate(block.strip("\n") for block in blocks):
        lines = block.split("\n")
        where = tuple(place for line in lines if line.startswith("#: ") for place in line[3:].split())
        if number == 0:
            found.remarks = [line[2:] if line.startswith("# ") else "" for line in lines if line[:2] in ("# ", "#")]
        texts = _texts(line for line in lines if line.strip() and not line.startswith("#"))
        if "msgid" not in texts:
            continue
        said = [texts[key] for key in sorted(texts) if key.startswith("msgstr")]
        if texts["msgid"]:
            many, sense = texts.get("msgid_plural", ""), texts.get("msgctxt", "")
            entry = Entry(texts["msgid"], many, tuple(said), where, sense)
            found.entries[entry.key] = entry
        else:
            found.head = said[0]
    return found


def _texts(lines: Iterable[str]) -> dict[str, str]:
    texts: dict[str, str] = {}
    key = ""
    for line in lines:
        if not line.startswith('"'):
            key, _blank, line = line.partition(" ")
            texts[key] = ""
        texts[key] += ast.literal_eval(line)
    return texts


def write(path: Path, catalogue: Catalogue) -> None:
    lines = [f"# {remark}".rstrip() for remark in catalogue.remarks]
    lines += ['msgid ""', 'msgstr ""', *(_quoted(line + "\n") for line in catalogue.head.splitlines()), ""]
    for entry in catalogue.entries.values():
        lines += [f"#: {place}" for place in entry.where]
        lines += [f"msgctxt {_quoted(entry.sense)}"] if entry.sense else []
        lines += [f"msgid {_quoted(entry.text)}"]
        if entry.many:
            lines += [f"msgid_plural {_quoted(entry.many)}"]
            said = entry.said or ("",) * catalogue.forms
            lines += [f"msgstr[{form}] {_quoted(text)}" for form, text in enumerate(said)]
        else:
            lines += [f"msgstr {_quoted(entry.said[0] if entry.said else '')}"]
        lines.append("")
    path.write_text("\n".join(lines), encoding="utf-8")


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n").replace("\t", "\\t")
    return f'"{escaped}"'


def compiled(catalogue: Catalogue) -> bytes:
    """The .mo of a catalogue: the header of seven words, the two tables, and all texts, sorted by their bytes."""
    pairs: Mapping[str, str] = {
        "": catalogue.head,
        **{
            f"{one.key}\0{one.many}" if one.many else one.key: "\0".join(one.said)
            for one in catalogue.entries.values()
            if one.is_said
        },
    }
    in_order = sorted((text.encode(), said.encode()) for text, said in pairs.items())
    ids, strings = b"", b""
    offsets = []
    for text, said in in_order:
        offsets.append((len(text), len(ids), len(said), len(strings)))
        ids += text + b"\0"
        strings += said + b"\0"
    table = 7 * 4
    texts_at = table + 16 * len(in_order)
    words = [0x950412DE, 0, len(in_order), table, table + 8 * len(in_order), 0, texts_at]
    for length, at, _said, _at in offsets:
        words += [length, texts_at + at]
    for _length, _at, said_length, said_at in offsets:
        words += [said_length, texts_at + len(ids) + said_at]
    return struct.pack(f"<{len(words)}I", *words) + ids + strings
