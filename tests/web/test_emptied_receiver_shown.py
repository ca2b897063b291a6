"""What was emptied out of a run's receiver is shown beside what is in it now."""

import pytest

from tests.domain.read_off import make_reading, make_run
from tests.factories import ML, make_batch
from tests.web.person import opened

pytestmark = pytest.mark.usefixtures("shipped")


@pytest.mark.parametrize(
    ("leaf", "term"), [("run/", "Collected so far"), ("", "Collected in the run")]
)
def test_what_is_in_the_receiver_and_what_was_collected_stand_apart(
    as_keeper, leaf, term
):
    run = make_run(make_batch("Rb"))
    for minutes, ml in ((60, 10), (120, 20), (180, 5)):
        make_reading(run, minutes, receiver_ul=ml * ML, receiver_c=60.0)

    page = opened(as_keeper, f"/batches/{run.batch}/{leaf}")

    # Liquid rubidium is 1.46 g/cm³ at its melting point (CRC Handbook, from memory) and
    # little less at 60 °C: 5 mL weigh 7.3 g, and with the 20 mL before 36.5 g.
    assert page.facts[term].startswith("36.")
    assert "7.3" in page.main.text
    assert "emptied, or a reading is wrong" in page.main.text or not leaf
