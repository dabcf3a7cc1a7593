"""Label codes: short, without look-alike characters, ending in a check character.

The check is ISO/IEC 7064 MOD 37-2. Of the two alphanumeric systems of that standard it is the
pure one: its modulus is prime, so it finds every wrong character and every swap of neighbours.
"""

import secrets

# One of each look-alike pair is left out, and the vowels, so that no code spells a word.
ALPHABET = "23456789CDFHJKMNPRTVWXY"
LENGTH = 6

_VALUES = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*"


class CodeError(ValueError):
    """A text is no label code; the message is for the person who typed it."""


def new_code() -> str:
    """Draw a label code: six characters and a check character, all from the alphabet."""
    while True:
        stem = "".join(secrets.choice(ALPHABET) for _ in range(LENGTH))
        check = _check_character(stem)
        if check in ALPHABET:
            return stem + check


def check_code(text: str) -> str:
    """Answer the code in upper case without spaces and hyphens.

    Raises CodeError that says what is wrong with it.
    """
    code = text.upper().replace(" ", "").replace("-", "")
    strange = sorted(set(code) - set(ALPHABET))
    if strange:
        raise CodeError(f"Label codes have no {strange[0]!r}: look again at the label.")
    if len(code) != LENGTH + 1:
        raise CodeError(f"A label code has {LENGTH + 1} characters, this has {len(code)}.")
    if _check_character(code[:-1]) != code[-1]:
        raise CodeError("A character is wrong or two are swapped: look again at the label.")
    return code


def _check_character(stem: str) -> str:
    total = 0
    for character in stem:
        total = (total + _VALUES.index(character)) * 2
    return _VALUES[(1 - total) % 37]
