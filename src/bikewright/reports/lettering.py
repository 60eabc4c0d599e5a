"""How much room a text takes, so that labels can be laid out before anything draws them.

Question answered   How wide and how high is this text on paper?
Method              Advance widths per character, in thousandths of the font size: for each character the wider of
                    Source Sans Pro 2.020 (the face that sheets are set in) and the metrics of the common
                    Helvetica-sized sans that a browser falls back to. Kerning is left out, so the estimate is an
                    upper bound for both. A character that is not in the table takes a whole em.
Axes and signs      Sizes are font sizes in millimetres on paper; a capital is `CAPITAL` of that.
Left out            Shaping of scripts that join or stack their letters.
"""

import unicodedata

CAPITAL = 0.66
"""Height of a capital or a figure as a share of the font size (Source Sans Pro, table OS/2)."""
ABOVE, BELOW = 0.984, 0.273
"""What a line of text takes above and below its baseline, as a share of the font size (Source Sans Pro, table hhea)."""
LINE = ABOVE + BELOW
"""Least distance of two baselines at which boxes of text do not touch, as a share of the font size."""

_FROM_SPACE = {
    "regular": (
        278, 289, 425, 557, 557, 890, 667, 249, 334, 334, 418, 584, 278, 334, 278, 350, 557, 557, 557, 557, 557, 557,
        557, 557, 557, 557, 278, 278, 584, 584, 584, 557, 1016, 667, 667, 723, 723, 667, 611, 778, 723, 278, 500, 667,
        557, 834, 723, 778, 667, 778, 723, 667, 611, 723, 667, 944, 667, 667, 611, 303, 350, 303, 497, 557, 542, 557,
        557, 500, 557, 557, 292, 557, 557, 246, 247, 500, 255, 834, 557, 557, 557, 557, 347, 500, 338, 557, 500, 723,
        500, 500, 500, 334, 260, 334, 584,
    ),
    "semibold": (
        278, 334, 482, 557, 557, 890, 723, 275, 334, 334, 438, 584, 278, 334, 278, 344, 557, 557, 557, 557, 557, 557,
        557, 557, 557, 557, 334, 334, 584, 584, 584, 611, 976, 723, 723, 723, 723, 667, 611, 778, 723, 282, 557, 723,
        611, 834, 723, 778, 667, 778, 723, 667, 611, 723, 667, 944, 667, 667, 611, 334, 344, 334, 584, 557, 549, 557,
        611, 557, 611, 557, 334, 611, 611, 278, 278, 557, 278, 890, 611, 611, 611, 611, 390, 557, 361, 611, 557, 778,
        557, 557, 500, 390, 280, 390, 584,
    ),
}  # fmt: skip
"""Advance of the characters from space to tilde, in order."""

_OTHERS = {
    "°": 400, "²": 372, "³": 372, "·": 278, "×": 584, "ß": 611, "æ": 890, "ø": 611, "Æ": 1000, "Ø": 778, "–": 557,
    "−": 584, "±": 549, "Δ": 719, "µ": 578, "←": 1000, "→": 1000, "↑": 619, "↓": 619, "≤": 549, "≥": 549, "≈": 549,
    "…": 1000, "“": 500, "”": 500, "‘": 278, "’": 278, "ď": 719, "ľ": 386, "ť": 480, "½": 834, "¼": 834, "¾": 834,
}  # fmt: skip
"""Advance of other characters, the wider of the two weights."""


def advance(character: str, weight: str = "regular") -> float:
    """Width of one character as a share of the font size.

    Parameters
    ----------
    character : str
        One character; a letter with an accent counts as its letter.
    weight : str
        ``"regular"`` or ``"semibold"``.

    Returns
    -------
    float
        Upper bound of the advance [em].
    """
    table = _FROM_SPACE[weight]
    for candidate in (character, unicodedata.normalize("NFD", character)[0]):
        place = ord(candidate) - 32
        if 0 <= place < len(table):
            return table[place] / 1000
        if candidate in _OTHERS:
            return _OTHERS[candidate] / 1000
    return 0.0 if unicodedata.combining(character) else 1.0


def text_width_mm(text: str, size_mm: float, weight: str = "regular") -> float:
    """Width of a line of text on paper.

    Parameters
    ----------
    text : str
        One line.
    size_mm : float
        Font size [mm].
    weight : str
        ``"regular"`` or ``"semibold"``.

    Returns
    -------
    float
        Upper bound of the width [mm].
    """
    return size_mm * sum(advance(character, weight) for character in text)


def wrapped(text: str, size_mm: float, room_mm: float, weight: str = "regular") -> tuple[str, ...]:
    """A text in lines that fit, broken at spaces; a word that is too long alone is cut.

    Parameters
    ----------
    text : str
        Any text.
    size_mm : float
        Font size [mm].
    room_mm : float
        Width that a line may take [mm].
    weight : str
        ``"regular"`` or ``"semibold"``.

    Returns
    -------
    tuple of str
        The lines; none for an empty text.
    """
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width_mm(longer, size_mm, weight) <= room_mm:
            lines[-1] = longer
        else:
            lines.append(shortened(word, size_mm, room_mm, weight))
    return tuple(lines)


def shortened(text: str, size_mm: float, room_mm: float, weight: str = "regular") -> str:
    """A text as it stands where it fits, else cut and ended with an ellipsis.

    Parameters
    ----------
    text : str
        One line.
    size_mm : float
        Font size [mm].
    room_mm : float
        Width that it may take [mm].
    weight : str
        ``"regular"`` or ``"semibold"``.

    Returns
    -------
    str
        The text that fits; at least the ellipsis.
    """
    if text_width_mm(text, size_mm, weight) <= room_mm:
        return text
    kept = text
    while kept and text_width_mm(kept + "…", size_mm, weight) > room_mm:
        kept = kept[:-1]
    return kept.rstrip() + "…"
