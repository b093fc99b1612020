"""The office prices a job on a phone and at a desk: a file is read, what is missed is plugged, hours are written."""

import pytest

pytestmark = pytest.mark.browser

FILE = b"Code,Price\nplate,2.50\nown_strap,x\n"


def test_a_job_is_priced_from_a_file_and_a_plug(shop, den, issued, person, width):
    issued(den)
    estimator = person(width=width, member=shop.people["estimator"])
    job = f"/jobs/{den.job_id}/"
    estimator.goes_to("/prices/").presses("List every line a takeoff can ask for")
    estimator.goes_to("/prices/?q=plate").presses("Plate")
    estimator.goes_to("/prices/import/")
    estimator.page.get_by_label("Price file").set_input_files(
        {"name": "spring.csv", "mimeType": "text/csv", "buffer": FILE}
    )
    estimator.types("Where the prices are from", "spring list").presses("Read it")
    estimator.goes_to(job + "prices/")
    line = estimator.page.locator("details").first
    line.locator("summary").click()
    line.get_by_label("Figure").fill("2.00")
    with estimator.leads_on():
        line.get_by_role("button", name="Plug a figure").click()
    estimator.sees("allowance: plugged by")
    for page in ("/prices/new/", "/prices/rates/", "/prices/labor/", job + "rates/", job + "conditions/"):
        estimator.goes_to(page)
    for page in ("hours/", "conditions/"):
        estimator.goes_to(f"/rooms/{den.pk}/{page}")
