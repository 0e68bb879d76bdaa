"""Where the figures of the wood tables come from: the wording of the sources, and their standing.

A row of a table names its sources in one text, split at "; ": each part begins with what it is for
(`_COVERS`), the rest is one of `SOURCES`. The notes beside the tables say more of each.
"""

import re

from templategen.messages import tr_noop

ONE_PAGE = (  # one secondary page or data set, not seen confirmed elsewhere
    tr_noop("Wood Database (copy of 2026)"),
    tr_noop("Wood Database (copy of 2026), for the genus"),
    tr_noop("Wood Database page"),
    tr_noop("copy of the Wood Database (timberpolis)"),
    tr_noop("from a secondary public page only"),
    tr_noop("from memory: Wood Database page"),
    tr_noop("from shrinkage green to 12 % x 30/18, secondary page (espen.de)"),
    tr_noop("from shrinkage green to 12 % x 30/18, secondary page (espen.de, elm)"),
    tr_noop("from the secondary page"),
    tr_noop("German Wikipedia and a secondary page (frey-amon.at)"),  # likely of one origin
    tr_noop(
        "middle of the range of a secondary page (frey-amon.at), given for sycamore and Norway "
        "maple together"
    ),
    tr_noop("middle of the range of a secondary page (holzwurm-page.de)"),
    tr_noop("middle of the range of a secondary page (storch-ind.com)"),
    tr_noop("secondary page (frey-amon.at)"),
    tr_noop("secondary page (globaltimber.asia)"),
    tr_noop("secondary page (holzwurm-page.de)"),
)
SOURCES = (
    *ONE_PAGE,
    tr_noop("0.828 x density at 12 % (Vieilledent et al. 2018), density from the Wood Database"),
    tr_noop("AH-607 fact sheet of the Forest Products Laboratory"),
    tr_noop("AH-607 fact sheet of the Forest Products Laboratory, Dacrydium spp."),
    tr_noop("CIRAD wood density database (4 trees, Vieilledent et al. 2018)"),
    tr_noop("CIRAD wood density database (6 trees, Vieilledent et al. 2018)"),
    tr_noop("derived from GTR-190 Table 13-5 coefficients"),
    tr_noop("derived from GTR-190 Table 13-5 coefficients (S=3000/(1/C+20))"),
    tr_noop("derived from GTR-190 Table 13-5 coefficients and agreeing with a secondary page"),
    tr_noop("Forest Products Commission WA sheet"),
    tr_noop("FPL-GTR-190 Table 4-1"),
    tr_noop("FPL-GTR-190 Table 4-1 (row Aspen)"),
    tr_noop("FPL-GTR-190 Table 4-3"),
    tr_noop("FPL-GTR-190 Table 5-5b"),
    tr_noop("FPL-GTR-282 Table 4-1 (public transcription)"),
    tr_noop("FPL-GTR-282 Table 4-3 (public transcription)"),
    tr_noop("FPL-GTR-282 Table 5-3b (public transcription)"),
    tr_noop("FPL-GTR-282 Table 5-5b (public transcription)"),
    tr_noop(
        "from a secondary public page (that part of Table 4-3 was cut off; figure is as "
        "remembered from Table 4-3)"
    ),
    tr_noop("from memory: German tables of home-grown woods (Linde)"),
    tr_noop("from memory: Table 4-1"),
    tr_noop("from memory: Table 4-1 (row Cottonwood)"),
    tr_noop("from memory: Table 4-1 (row Magnolia)"),
    tr_noop("from memory: Table 4-3"),
    tr_noop("from memory: Table 4-4"),
    tr_noop(
        "from shrinkage green to 12 % x 30/18, AH-607 fact sheet of the Forest Products "
        "Laboratory, Dacrydium spp."
    ),
    tr_noop("from shrinkage green to 12 % x 30/18, Forest Products Commission WA sheet"),
    tr_noop("Global Wood Density Database 2009 (Zanne et al.)"),
    tr_noop("Global Wood Density Database 2009 (Zanne et al.), row from Europe"),
    tr_noop("Global Wood Density Database 2009 (Zanne et al.), rows from Australia"),
    tr_noop("Global Wood Density Database v2 2026 (Fischer et al.)"),
    tr_noop(
        "GTR-190 Table 4-4 (row order scrambled in the copy read; assignment to this wood from "
        "memory)"
    ),
    tr_noop("whole stem, from the green densities of Brudi & Partner TreeConsult and the SG here"),
    tr_noop("whole stem, green over basic density of a Forest Products Commission WA sheet"),
    tr_noop(
        "whole stem, green over basic density of a Forest Products Commission WA sheet, young "
        "planted trees"
    ),
    tr_noop("whole stem, measured at felling (Danish firewood study)"),
    tr_noop("whole stem, measured at felling (Danish firewood study), both oaks together"),
    tr_noop("Wood Database (copy of 2026) and AH-607"),
)

_SHRINKAGE = ("radial", "tangential", "volumetric")
_STRENGTH = ("tension_perp_kpa", "shear_parallel_kpa", "side_hardness_n")
_COVERS: tuple[tuple[str, tuple[str, ...]], ...] = (  # the beginning of a part: its figures
    ("shrinkage", _SHRINKAGE),
    ("radial+tangential", _SHRINKAGE[:2]),
    ("only radial", _SHRINKAGE[:1]),
    ("only tangential", _SHRINKAGE[1:2]),
    ("volumetric", _SHRINKAGE[2:]),
    ("green MC", ("mc_heart", "mc_sap")),
    ("SG and strength", ("specific_gravity", *_STRENGTH)),
    ("basic SG", ("specific_gravity",)),
    ("green strength", _STRENGTH),
)
_MEMORY = re.compile(r"from memory|as remembered")


def sources_of(field: str, text: str) -> tuple[str, ...]:
    """What a row's text of sources says of one figure; each is one of `SOURCES`.

    Args:
        field: a field of a wood, such as "tangential".
        text: the row's column "source".
    """
    parts = re.split(r";\s+(?![^(]*\))", text)  # not at a semicolon in brackets
    return tuple(
        part[len(start) :].strip(" :")
        for part in map(str.strip, parts)
        for start, fields in _COVERS
        if part.startswith(start) and field in fields
    )


def is_from_memory(source: str) -> bool:
    """Whether a source says that the figure was remembered, not read."""
    return _MEMORY.search(source) is not None


def is_one_page(source: str) -> bool:
    """Whether a source is one secondary page that nothing else was seen to confirm."""
    return source in ONE_PAGE
