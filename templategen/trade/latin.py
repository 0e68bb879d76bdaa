"""What a name leaves when only plain Latin letters may be used: for file names and for tags."""

import re
import unicodedata

# Letters that Unicode does not take apart into a Latin letter and an accent, and the German ones
# as German writes them without accents (DIN 5007-2, from memory); the others by common practice.
_FOLDED = str.maketrans(
    {"ä": "ae", "ö": "oe", "ü": "ue", "ß": "ss", "æ": "ae", "œ": "oe", "ø": "oe", "ł": "l",
     "đ": "d", "ð": "d", "þ": "th", "ħ": "h", "ı": "i", "ŧ": "t", "ŋ": "n"}
)  # fmt: skip
_DIAMETER = re.compile(r"(?<!\w)Ø(?!\w)")  # the sign, not the letter of a word


def latin_words(text: str) -> list[str]:
    """The words of a text in lower-case letters a to z and digits; none where nothing is left.

    >>> latin_words("Jörg Müller"), latin_words("Łódź 2"), latin_words("Анна")
    (['joerg', 'mueller'], ['lodz', '2'], [])
    """
    known = _DIAMETER.sub(" ", unicodedata.normalize("NFC", text))
    folded = unicodedata.normalize("NFKD", known.lower().translate(_FOLDED))
    letters = "".join(c for c in folded if not unicodedata.combining(c))
    return re.findall("[a-z0-9]+", letters)
