import random

import pytest
from stdnum.iso7064 import mod_37_2

from inventory.codes import ALPHABET, LENGTH, CodeError, _check_character, check_code, new_code

# python-stdnum implements ISO/IEC 7064:2003 MOD 37-2 independently and is the oracle here.
CODES = [new_code() for _ in range(200)]


def test_a_new_code_passes_the_standards_check():
    assert [code for code in CODES if not mod_37_2.is_valid(code)] == []


def test_a_new_code_has_six_characters_and_a_check_character_from_the_alphabet():
    assert {len(code) for code in CODES} == {LENGTH + 1}
    assert set("".join(CODES)) <= set(ALPHABET)


def test_new_codes_differ():
    # Two of 200 from 23^6 alike: less than one in 7000 runs.
    assert len(set(CODES)) == len(CODES)


def test_the_alphabet_has_no_look_alikes_and_no_vowels():
    # Common practice, no source: the pairs that hand-written and printed labels confuse.
    for pair in ("0O", "0D", "1I", "1L", "2Z", "5S", "8B", "6G", "UV", "0Q"):
        assert not set(pair) <= set(ALPHABET)
    assert not set("AEIOU") & set(ALPHABET)


def test_the_check_character_agrees_with_the_oracle():
    chooser = random.Random(7064)
    characters = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
    stems = ["".join(chooser.choices(characters, k=chooser.randint(1, 20))) for _ in range(2000)]
    assert [_check_character(s) for s in stems] == [mod_37_2.calc_check_digit(s) for s in stems]


def test_the_check_character_agrees_with_a_published_identification_number():
    # Donation identification number G1234 89 654321, keyboard check character Y: the example of
    # the ISBT 128 documents, as given in python-stdnum's documentation of MOD 37-2.
    assert _check_character("G123489654321") == "Y"


def _is_refused(code):
    try:
        check_code(code)
    except CodeError:
        return True
    return False


def test_every_single_wrong_character_is_found():
    missed = [
        (code, wrong)
        for code in CODES
        for place, right in enumerate(code)
        for character in ALPHABET
        if character != right
        and not _is_refused(wrong := code[:place] + character + code[place + 1 :])
    ]
    assert missed == []


def test_every_swap_of_neighbours_is_found():
    missed = [
        (code, swapped)
        for code in CODES
        for place in range(LENGTH)
        if code[place] != code[place + 1]
        and not _is_refused(
            swapped := code[:place] + code[place + 1] + code[place] + code[place + 2 :]
        )
    ]
    assert missed == []


def test_every_wrong_pair_of_characters_and_every_swap_changes_the_check_at_every_place():
    # The whole of the alphabet at every place of one code, which stands for all of them because
    # MOD 37-2 is a weighted sum: what changes does not depend on the rest.
    for place in range(LENGTH):
        stems = ["2" * place + a + "2" * (LENGTH - 1 - place) for a in ALPHABET]
        assert len({_check_character(stem) for stem in stems}) == len(ALPHABET)
    for place in range(LENGTH - 1):
        for a in ALPHABET:
            for b in ALPHABET.replace(a, ""):
                rest = "2" * (LENGTH - 2 - place)
                one = _check_character("2" * place + a + b + rest)
                assert one != _check_character("2" * place + b + a + rest)


def test_spaces_hyphens_and_small_letters_do_not_matter():
    code = CODES[0]
    assert check_code(f" {code[:3].lower()}-{code[3:]} ") == code


@pytest.mark.parametrize(
    ("text", "part_of_message"),
    [
        ("", "has 7 characters, this has 0"),
        ("234", "has 7 characters, this has 3"),
        ("2" * 10_000, "has 7 characters, this has 10000"),
        ("ABC", "have no 'A'"),
        ("23456O7", "have no 'O'"),
        ("23456٣7", "have no '٣'"),
        ("ß", "have no 'S'"),
    ],
)
def test_says_what_is_wrong_with_a_code(text, part_of_message):
    with pytest.raises(CodeError, match="abel code") as caught:
        check_code(text)
    assert part_of_message in str(caught.value)
