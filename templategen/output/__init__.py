"""Files: a drawing in, a file out.

The library that writes PDF would run modules and files of settings that lie in the current folder
or in the user's home folder: it finds empty ones here.
"""

import sys
import types

for _name in ("reportlab_mods", "reportlab_settings", "reportlab.local_rl_settings"):
    sys.modules.setdefault(_name, types.ModuleType(_name))
