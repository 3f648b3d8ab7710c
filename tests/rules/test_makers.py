"""Names of firms: one key for the ways in which a name is written."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.rules.makers import name_key
from partsdb.rules.words import plain_words


@pytest.mark.parametrize(
    ("key", "writings"),
    [  # invented firms; legal forms are common knowledge, no source
        ("vossgrund", ["Vossgrund", "VOSSGRUND GMBH", "Vossgrund GmbH & Co. KG", "Vossgrund G.m.b.H.",
                       "vossgrund gmbh u. Co. KG", "Vossgrund AG", "Vossgrund e.K.",
                       "Vossgrund UG (haftungsbeschränkt)"]),
        ("quillmere", ["Quillmere Inc", "Quillmere, Inc.", "QUILLMERE B.V.", "Quillmere N.V.", "Quillmere Corp.",
                       "The Quillmere Company", "Quillmere  Ltd", "Quillmere L.L.C.", "Quillmere Co., Ltd."]),
        ("corrowbypellmarch", ["Corrowby & Pellmarch", "Corrowby and Pellmarch Ltd", "Corrowby und Pellmarch GmbH",
                               "CORROWBY-PELLMARCH", "Corrowby/Pellmarch S.p.A."]),
        ("muehlgrund", ["Mühlgrund", "MÜHLGRUND GmbH", "Muehlgrund", "Mu\u0308hlgrund AG"]),
        ("societeambrelle", ["Société Ambrelle", "SOCIETE AMBRELLE S.A.R.L.", "Societe Ambrelle SAS"]),
        ("kestrow", ["Kestrow sp. z o.o.", "Kestrow Spol. s r.o.", "Kestrow S.A.", "KESTROW A/S", "Kestrow Oy",
                     "Kestrow Naamloze Vennootschap", "Kestrow Aktiengesellschaft"]),
    ],
)  # fmt: skip
def test_the_writings_of_one_name_share_a_key(key, writings):
    assert {name_key(each) for each in writings} == {key}


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Ambrelle", "Ambrello"),
        ("Saltreeve", "Saltreeve (UK)"),  # another firm until somebody says otherwise
        ("Ninefold 2", "Ninefold 3"),
        ("Coventry", "Ventry"),  # "Co" only as a word of its own
    ],
)
def test_different_names_keep_different_keys(one, other):
    assert name_key(one) != name_key(other)


@pytest.mark.parametrize(
    ("name", "key"), [("AG", "ag"), ("S.A.", "sa"), ("Co. KG", "co"), ("", ""), ("…", "")]
)
def test_a_name_of_nothing_but_a_legal_form_stays_something(name, key):
    assert name_key(name) == key


@given(st.text(max_size=40))
def test_a_key_is_its_own_key_but_for_legal_forms(name):
    key = name_key(name)
    assert key == key.casefold() and " " not in key
    assert name_key(name.upper().lower()) == name_key(name.lower())


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("1.4404 / V4A", ("1.4404", "v4a")),
        ("Größe: 12,5", ("groesse", "12", "5")),
        ("B.V.", ("bv",)),
        ("O'Neil’s", ("oneils",)),
        ("", ()),
    ],
)
def test_words_lose_case_accents_and_punctuation(text, words):
    assert plain_words(text) == words
