"""The library that writes DXF, loaded without the files of settings that it looks for.

It would read ``ezdxf.ini`` in the current folder and in the user's home folder, and end the program
where one of them is no text.
"""

import configparser
from typing import Any


class _NoFiles(configparser.ConfigParser):
    """A reader of settings that finds no file."""

    def read(self, *_: Any, **__: Any) -> list[str]:  # type: ignore[override] # noqa: ANN401 - any
        """Reads nothing."""
        return []


_reader = configparser.ConfigParser
configparser.ConfigParser = _NoFiles  # type: ignore[misc] # while the library is loaded
try:
    import ezdxf
    from ezdxf import options  # type: ignore[attr-defined] # it is there
    from ezdxf.enums import TextEntityAlignment
finally:
    configparser.ConfigParser = _reader  # type: ignore[misc] # as it was

__all__ = ["TextEntityAlignment", "ezdxf", "options"]
