"""Brings the catalogues up to date: python tests/languages/merge.py [LANGUAGE ...]

New messages are added untranslated, those that are gone go, what is translated stays; then each catalogue is compiled.
A language that there is not yet is begun. Prints how many texts are still to be translated.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[2])]

from languages import catalogue, texts  # noqa: E402

HEAD = """Language: {language}
MIME-Version: 1.0
Content-Type: text/plain; charset=UTF-8
Content-Transfer-Encoding: 8bit
Plural-Forms: nplurals=2; plural=(n != 1);
"""


def merged(known: catalogue.Catalogue) -> catalogue.Catalogue:
    """The catalogue with the messages that there are now."""
    found = catalogue.Catalogue(known.remarks, known.head)
    for key, entry in texts.entries().items():
        before = known.entries.get(key)
        said = before.said if before and bool(before.many) == bool(entry.many) else ()
        found.entries[key] = catalogue.Entry(entry.text, entry.many, said, entry.where, entry.sense)
    return found


def main(languages: list[str]) -> None:
    known = [path.stem for path in catalogue.FOLDER.glob("*.po")]
    for language in languages or known:
        path = catalogue.po_of(language)
        before = catalogue.read(path) if path.exists() else catalogue.Catalogue(head=HEAD.format(language=language))
        now = merged(before)
        catalogue.write(path, now)
        catalogue.mo_of(language).parent.mkdir(parents=True, exist_ok=True)
        catalogue.mo_of(language).write_bytes(catalogue.compiled(now))
        left = sum(not one.is_said for one in now.entries.values())
        print(f"{language}: {len(now.entries)} texts, {left} of them not translated")


if __name__ == "__main__":
    main(sys.argv[1:])
