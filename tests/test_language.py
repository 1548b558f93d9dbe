"""The look-up of words, and the catalogues: nothing is missing, nothing is left over, what is put in is put in."""

from __future__ import annotations

import json
import re

import pytest

from legtide import language
from support import spoken

MARKS = r"<[^>]*>|&\w*;?|\{\{.*?\}\}"
"""Markup, entities, and what is put in by a second step."""
CATALOGUES = sorted(path.stem for path in spoken.TRANSLATIONS.glob("*.json"))


@pytest.fixture(autouse=True)
def english_afterwards():
    yield
    language.use_catalogue({})


# the look-up ----------------------------------------------------------------------------------------------


def test_a_catalogue_translates_and_an_unknown_language_is_english(tmp_path, monkeypatch):
    folder = tmp_path / "translations"
    folder.mkdir()
    (folder / "xx.json").write_text('{"Save": "Bewaar", "{n} leg": "{n} vlucht"}', "utf-8")
    monkeypatch.setattr(language, "resources", lambda: tmp_path)
    assert language.languages() == ("en", "xx")
    assert language.load_language("xx")
    assert language.language() == "xx"
    assert language.tr("Save") == "Bewaar"
    assert language.counted(1, "{n} leg", "{n} legs") == "1 vlucht"
    assert language.counted(2, "{n} leg", "{n} legs") == "2 legs"
    assert not language.load_language("zz")
    assert language.language() == "en"
    assert language.tr("Save") == "Save"


@pytest.mark.parametrize("name", ["../translations/de", "de.json", "", "DE/../de"])
def test_a_name_that_is_no_catalogue_reads_no_file(name):
    assert not language.load_language(name)
    assert language.tr("Save") == "Save"


def test_a_phrase_inside_a_sentence_begins_small_unless_nouns_are_large():
    assert language.inside("Water service 06:58") == "water service 06:58"
    assert language.capped("the water service") == "The water service"
    assert language.load_language("de")
    assert language.inside(language.tr("Water service")) == "Wasserservice"
    assert language.inside("") == language.capped("") == ""


# the catalogues -------------------------------------------------------------------------------------------


def test_there_is_a_language_besides_english():
    assert "de" in CATALOGUES
    assert language.languages() == ("en", *CATALOGUES)


def test_every_look_up_is_of_words_that_are_known_beforehand():
    assert [row for row in spoken.everything() if row.unknown] == []
    assert len(spoken.keys()) > 1000


def test_no_entry_for_an_expression_that_is_gone():
    asked = {
        (path.relative_to(spoken.PACKAGE).as_posix(), name)
        for path in spoken.PACKAGE.rglob("*.py")
        for name in spoken.expressions(path.read_text("utf-8"))
    }
    assert sorted(set(spoken.SPOKEN) - asked) == []


@pytest.mark.parametrize("name", CATALOGUES)
def test_a_catalogue_has_every_sentence_and_no_other(name):
    translated = spoken.catalogue(name)
    assert sorted(spoken.keys() - translated.keys()) == [], "run: python tests/support/spoken.py"
    assert sorted(translated.keys() - spoken.keys()) == [], "run: python tests/support/spoken.py"
    assert [key for key, value in translated.items() if not value.strip()] == []


@pytest.mark.parametrize("name", CATALOGUES)
def test_what_is_put_into_a_sentence_is_put_into_its_translation(name):
    for key, value in spoken.catalogue(name).items():
        assert spoken.placeholders(value) == spoken.placeholders(key), key
        assert key.format(**spoken.stand_ins(key)), key
        assert value.format(**spoken.stand_ins(key)), value


@pytest.mark.parametrize("name", CATALOGUES)
def test_a_translation_has_no_markup_and_keeps_the_ends(name):
    for key, value in spoken.catalogue(name).items():
        assert re.findall(MARKS, value) == re.findall(MARKS, key), key
        assert (value[0].isspace(), value[-1].isspace()) == (key[0].isspace(), key[-1].isspace()), key
        assert value.count("\n") == key.count("\n"), key
        assert value.endswith("…") == key.endswith("…"), key


@pytest.mark.parametrize("name", CATALOGUES)
def test_a_catalogue_is_in_order_and_names_nothing_twice(name):
    pairs = json.loads((spoken.TRANSLATIONS / f"{name}.json").read_text("utf-8"), object_pairs_hook=list)
    names = [key for key, _ in pairs]
    assert names == sorted(set(names))


def test_the_checks_find_what_they_are_for(tmp_path):
    """Controls: a sentence that no catalogue has, a look-up of who knows what, a value that is lost."""
    found = list(spoken.look_ups("view/texts.py", 'tr("A sentence that nobody wrote")\ntr(whatever)\n'))
    assert not set(found[0].words) & spoken.keys()
    assert found[1].unknown == "whatever"
    both = list(spoken.look_ups("view/texts.py", 'counted(3, "{n} made-up thing", "{n} made-up things")'))
    assert [row.words for row in both] == [("{n} made-up thing",), ("{n} made-up things",)]
    assert spoken.placeholders("{n} of {all:g}") != spoken.placeholders("{n} von {alle:g}")
    path = tmp_path / "xx.json"
    path.write_text('{"A sentence that nobody says": "x"}')
    added, gone = spoken.bring_up_to_date(path)
    assert (added, gone) == (len(spoken.keys()), 1)
    assert set(json.loads(path.read_text("utf-8")).values()) == {""}
