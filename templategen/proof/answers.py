"""What a child process answers, as JSON: data classes, and texts in every language there is."""

import dataclasses
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from templategen.messages import ENGLISH, Wording, Written, languages

_LANGUAGES = "languages"  # the only key of an object that stands for a text


@dataclass(frozen=True, slots=True)
class Translated:
    """A text from another process, by language."""

    texts: Mapping[str, str]

    def written(self, wording: Wording) -> str:
        """The text in a language, in English where there is none."""
        return self.texts.get(wording.language) or str(self)

    def __str__(self) -> str:
        """The text in English."""
        return self.texts.get(ENGLISH, "")


def to_json(answer: object) -> bytes:
    """An answer as JSON; texts are written in every language, data classes by their fields."""
    return json.dumps(answer, default=_plain).encode()


def from_json(data: bytes) -> Any:  # noqa: ANN401 - as the other process made it
    """What `to_json` wrote, with texts that can be shown in any language."""
    return json.loads(data, object_hook=_held)


def _plain(value: object) -> object:
    if isinstance(value, Written):
        return {
            _LANGUAGES: {language: value.written(Wording(language)) for language in languages()}
        }
    if dataclasses.is_dataclass(value):
        return {field.name: getattr(value, field.name) for field in dataclasses.fields(value)}
    raise TypeError(f"{type(value).__name__} has no JSON")


def _held(found: dict[str, Any]) -> object:
    return Translated(found[_LANGUAGES]) if found.keys() == {_LANGUAGES} else found
