"""The signs of a typed line made plain: what can't be seen goes, and the many forms of a sign become one."""

import re

_HIDDEN = dict.fromkeys(
    [0x00AD, 0x061C, 0x200B, 0x200E, 0x200F, 0x2060, 0xFEFF, *range(0x202A, 0x202F), *range(0x2066, 0x206A)]
)
_CONTROL = re.compile(r"[\x00-\x08\x0a-\x1f\x7f-\x9f\ud800-\udfff]")
_SIGNS = {
    **dict.fromkeys("‐‑‒–—―−－", "-"), **dict.fromkeys("‘’‚′‵ʹʼ`´", "'"), **dict.fromkeys("“”„″‟", '"'),
    **{chr(code): " " for code in (0xA0, 0x1680, *range(0x2000, 0x200B), 0x202F, 0x205F, 0x3000)},
    "∶": ":", "⁄": "/", "、": ",", "。": ".", "٫": ".", "［": "[", "］": "]",
}  # fmt: skip
_FULL_WIDTH = range(0xFF01, 0xFF5F)


def tidied(text: str) -> str:
    """A line without signs that can't be seen; tabs stay."""
    if text.isascii() and text.isprintable():
        return text
    return _CONTROL.sub(" ", text.translate(_HIDDEN))


def shadow(text: str) -> str:
    """The same line, sign for sign, in small letters, ASCII figures, plain dashes, quotes and blanks."""
    if text.isascii():
        return text.lower()
    return "".join(map(_plain_sign, text))


def _plain_sign(char: str) -> str:
    if char in _SIGNS:
        return _SIGNS[char]
    if ord(char) in _FULL_WIDTH:
        char = chr(ord(char) - 0xFEE0)
    if not char.isascii() and char.isdecimal():
        return str(int(char))
    low = char.lower()
    return low if len(low) == 1 else char


def one_line(text: str) -> str:
    """A text with single blanks between its words."""
    return " ".join(text.split())


def neat(text: str) -> str:
    """A text with single blanks between its words and no marks of emphasis around it."""
    text = one_line(text)
    return text.strip("*_~").strip() if text[:1] in "*_~" or text[-1:] in "*_~" else text
