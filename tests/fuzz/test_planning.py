"""Any valid job in any valid shop: a plan that passes the second look, or lines that say why not.

`HYPOTHESIS_PROFILE=deep` tries 20,000 jobs in place of a derandomised few.
"""

import json
import math
import time
from typing import Any

from cases import MOST_SECONDS, cases
from hypothesis import given
from hypothesis import strategies as st
from tables import UNITS, in_unit, jobs_and_shops

from templategen.errors import InputError
from templategen.inputs.job_file import check_cutters, job_from_table
from templategen.inputs.shop_file import shop_from_table
from templategen.messages import ENGLISH_WORDING
from templategen.nest.check import check_plan
from templategen.nest.plan_json import plan_to_json
from templategen.nest.planner import make_plan
from templategen.parts.registry import KINDS, make_parts
from templategen.parts.style import PrintStyle
from templategen.units import Units


@cases(60)
@given(
    jobs_and_shops(),
    UNITS,
    st.booleans(),
    st.sampled_from(sorted(KINDS)),
    st.sampled_from(list(Units)),
)
def test_any_job_in_any_shop(
    both: tuple[dict[str, Any], dict[str, Any]],
    unit: str,
    with_suggestions: bool,
    kind: str,
    shown: Units,
) -> None:
    """Planned within 10 s of a processor, sound by the second look, figures finite, drawn."""
    job, shop = both
    plan, lines = None, ()
    begun = time.process_time()
    try:
        owned = shop_from_table(in_unit({"jaws": [], **shop}, unit), where="shop.toml")
        wanted = job_from_table(in_unit(job, unit), where="job.toml", shop_defaults=owned.rules)
        check_cutters(wanted, owned)
        plan = make_plan(wanted, owned, with_suggestions=with_suggestions)
    except InputError as error:
        lines = error.lines()
    finally:
        assert time.process_time() - begun < MOST_SECONDS, json.dumps([job, shop])
    if plan is None:
        assert lines
        assert all(text and "\n" not in text for text in lines)
        return
    json.dumps(plan_to_json(plan), allow_nan=False)
    for finding in plan.findings:
        assert not {"nan", "inf", "-inf", "None"} & set(
            ENGLISH_WORDING.text(finding.text).replace(",", " ").split()
        )
    if plan.has_stop:
        return
    check_plan(plan)
    for part in make_parts(plan, kinds=[kind], style=PrintStyle(units=shown)):
        assert all(math.isfinite(side) for side in part.drawing.bounds())
    assert time.process_time() - begun < MOST_SECONDS
