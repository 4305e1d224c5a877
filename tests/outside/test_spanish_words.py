"""Spanish words of food safety as published texts have them, each with its source; what could not be read here is from
memory and says so.

Whoever is allergic, and whoever inspects, reads the law's words on a label and no synonym of ours.
"""

from __future__ import annotations

import re

import pytest
from languages import catalogue

from prepboard.book.safety import allergens
from prepboard.texts import _, speaking

ANNEX_II = {
    "gluten": "Cereales que contengan gluten a saber: trigo (espelta o trigo khorasan), avena, cebada y centeno"
    " y productos derivados",
    "crustaceans": "Crustáceos y productos a base de crustáceos",
    "eggs": "Huevos y productos a base de huevo",
    "fish": "Pescado y productos a base de pescado",
    "peanuts": "Cacahuetes y productos a base de cacahuetes",
    "soybeans": "Soja y productos a base de soja",
    "milk": "Leche y sus derivados (incluida la lactosa)",
    "nuts": "Frutos de cáscara, es decir: almendras, avellanas, nueces, anacardos, pacanas, nueces de Brasil,"
    " alfóncigos (pistachos), nueces macadamia o nueces de Australia y productos derivados",
    "celery": "Apio y productos derivados",
    "mustard": "Mostaza y productos derivados",
    "sesame": "Granos de sésamo y productos a base de granos de sésamo",
    "sulphites": "Dióxido de azufre y sulfitos en concentraciones superiores a 10 mg/kg o 10 mg/litro",
    "lupin": "Altramuces y productos a base de altramuces",
    "molluscs": "Moluscos y productos a base de moluscos",
}
"""Annex II of Reglamento (UE) 1169/2011 in Spanish: the cereals as the government of La Rioja lists them (Rioja Salud,
"Alérgenos en alimentos", riojasalud.es), the others as Consal lists them ("Información sobre alérgenos obligatoria en
el etiquetado de alimentos", consal.es); both read, the Diario Oficial itself (L 304, 22.11.2011) was not. It prints
"alfóncigos" alone for pistachios (from memory); guests know "pistachos", which both lists have."""


def test_the_fourteen_allergens_are_the_laws_own_words() -> None:
    assert tuple(ANNEX_II) == allergens.EU
    with speaking("es"):
        wrong = {name: _(name) for name, law in ANNEX_II.items() if not stands_in(_(name), law)}
    assert wrong == {}


def test_single_cereals_and_nuts_are_the_laws_own_words() -> None:
    with speaking("es"):
        wrong = {one: _(one) for one, group in allergens.GROUPS.items() if not stands_in(_(one), ANNEX_II[group])}
    assert wrong == {}


def stands_in(word: str, law: str) -> bool:
    return re.search(rf"\b{re.escape(word.lower())}\b", law.lower()) is not None


@pytest.mark.parametrize(
    ("english", "spanish", "law"),
    [
        ("Use by {moment}", "Fecha de caducidad: {moment}", "fecha de caducidad"),
        ("Use by {day}, to midnight", "Fecha de caducidad: {day}, hasta medianoche", "fecha de caducidad"),
    ],
)
def test_a_label_says_use_by_in_the_laws_words(english: str, spanish: str, law: str) -> None:
    """ "fecha de caducidad": Real Decreto 1021/2022, art. 5.1.a ("la fecha de caducidad o de consumo preferente"; read
    at iberley.es). That Annex X.2 of 1169/2011 asks for these very words before the date is from memory."""
    with speaking("es"):
        assert _(english) == spanish
    assert spanish.lower().startswith(law)


@pytest.mark.parametrize(
    ("english", "spanish", "root", "source"),
    [
        ("Keep chilled", "Conservar en frío", "conservar", "852/2004, II.IX.5 (in part, platosrefrigerados.com)"),
        ("Keep frozen", "Conservar congelado", "congelad", "the same; from memory"),
        ("Cooling", "Enfriamiento", "enfri", "Alabama Public Health, Enfriamiento adecuado (studylib.es)"),
        ("Hot holding", "Mantenimiento en caliente", "en caliente", "the same: Conservación en caliente"),
        ("Reheating", "Recalentado", "recalent", "FSIS, Zona de peligro: Recalentar (fsis.usda.gov)"),
        ("time control", "control por tiempo", "control", "Southern Nevada Health District, 3-501.19: El tiempo como"
         " control de salud pública (southernnevadahealthdistrict.org)"),
        ("corrective action", "medida correctora", "medida", "852/2004, art. 5.2.e: medidas correctivas; from memory"),
        ("withdrawn", "retirado", "retirad", "AESA, Guía de trazabilidad, 6.8: retirada de productos (studylib.es)"),
        ("expired", "caducado", "caduc", "of fecha de caducidad, as above"),
        ("date mark", "marca de fecha", "fecha", "FDA, Código de alimentos 2009, 3-501.17; from memory"),
        ("allergens", "alérgenos", "alérgenos", "riojasalud.es, as above"),
        ("thawed", "descongelado", "descongelad", "Real Decreto 1021/2022, art. 5, descongelación (iberley.es)"),
        ("frozen", "congelado", "congelad", "Real Decreto 1021/2022, art. 5, fecha de congelación (iberley.es)"),
    ],
)  # fmt: skip
def test_words_of_food_safety_are_of_the_root_that_their_source_has(
    english: str, spanish: str, root: str, source: str
) -> None:
    with speaking("es"):
        said = _(english)
    assert said == spanish, source
    assert root in said.lower(), source


def test_no_word_of_a_best_before_is_said_of_a_use_by() -> None:
    """After a best-before food may still be eaten, after a use-by it may not (1169/2011, art. 24.1: "la fecha de
    duración mínima se cambiará por la fecha de caducidad"; from memory)."""
    said = catalogue.read(catalogue.po_of("es")).entries.values()
    speaks = {one.text for one in said for text in one.said if "preferente" in text.lower()}
    assert {text for text in speaks if "best" not in text.lower()} == set()
