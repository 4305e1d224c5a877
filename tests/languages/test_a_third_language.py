"""The how-to of DEVELOPERS.md, "A language", followed for ten texts: one file, compiled, and it is spoken."""

from __future__ import annotations

from pathlib import Path

import pytest
from languages import catalogue, merge, texts

import prepboard.texts
from prepboard.texts import _, decimal, languages, some, speak

TEN = {
    "TO MAKE": "ZU MACHEN",
    "UNDER WAY": "IM GANG",
    "start now": "jetzt beginnen",
    "in {time}": "in {time}",
    "on hand": "da",
    "{name}: {amount} counted": "{name}: {amount} gezählt",
    "midnight": "Mitternacht",
    "Thursday": "Donnerstag",
    "1.5": "1,5",
}


def test_one_file_is_enough(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(catalogue, "FOLDER", tmp_path)
    monkeypatch.setattr(prepboard.texts, "_FOLDER", tmp_path)
    merge.main(["de"])
    begun = catalogue.read(catalogue.po_of("de"))
    assert begun.entries.keys() == texts.entries().keys()
    for text, said in TEN.items():
        begun.entries[text].said = (said,)
    begun.entries["{n} plate"].said = ("{n} Teller", "{n} Teller")
    begun.remarks = ["German texts, by hand."]
    catalogue.write(catalogue.po_of("de"), begun)
    merge.main(["de"])
    assert languages() == ("en", "de")
    try:
        speak("de")
        assert _("TO MAKE") == "ZU MACHEN"
        assert _("{name}: {amount} counted").format(name="Jus", amount=decimal("1.2") + " l") == "Jus: 1,2 l gezählt"
        assert some("{n} plate", "{n} plates", 2) == "2 Teller"
        assert _("Nothing to make.") == "Nothing to make.", "what is not translated yet stands in English"
    finally:
        speak("en")
