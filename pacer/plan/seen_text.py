"""Whether a text can be seen, and what tells two texts apart that look alike."""

import unicodedata

# Signs of other categories that are drawn as nothing at all: fillers of Hangul, and the blank of Braille.
_BLANK = frozenset("\u115f\u1160\u2800\u3164\uffa0\U0001d159")
# Letters of other scripts, and other signs, that are drawn like one of the Latin script.
_LIKE = str.maketrans(
    "аеорсухіјѕԁһӏԛԝАВЕКМНОРСТХІЈЅҮαοικνρτυχΑΒΕΖΗΙΚΜΝΟΡΤΥΧ\u2010\u2011\u2012\u2013\u2014\u2212",
    "aeopcyxijsdhlqwABEKMHOPCTXIJSYaoikvptuxABEZHIKMNOPTYX------",
)


def is_visible(char: str) -> bool:
    """Whether a character is drawn as something: no blank, no control, no sign of no width."""
    category = unicodedata.category(char)
    return category[0] not in "CZM" and char not in _BLANK


def is_seen(text: str) -> bool:
    """Whether anything of a text can be seen."""
    return any(map(is_visible, text))


def skeleton(text: str) -> str:
    """What a text looks like: the same for two texts that are drawn alike."""
    plain = unicodedata.normalize("NFKC", text).translate(_LIKE)
    return "".join(char for char in plain if is_visible(char) or unicodedata.category(char)[0] == "M")


def code_of(char: str) -> str:
    """The number of a character, as tables of characters give it: ``U+200B``."""
    return f"U+{ord(char):04X}"
