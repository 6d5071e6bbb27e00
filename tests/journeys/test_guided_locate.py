"""A locate by its one page, without JavaScript: begun, and every piece in its order, with what is missing or wrong said where it is."""

import json
from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from shapely import from_wkt

from locates.fieldwork.models import FieldSheet, Fix
from locates.grids.facts import grid_of
from locates.grids.models import Grid
from locates.permits.actions import preview
from locates.permits.models import Permit
from locates.surveys.models import Enquiry, Locate, Outcome, Sweep, Trace
from records.files.models import Attachment
from records.ledger.models import Entry
from tests import cast
from tests.journeys.locating import SHEET, SWEEP, TRACE, begun, finished, handed, text_of, whole
from tests.records.test_files import picture

pytestmark = pytest.mark.usefixtures("scene")


def test_a_locate_is_recorded_piece_by_piece_and_then_a_permit_rests_on_it(as_person, hands):
    client = as_person("P-OPE")
    whole(client)
    page = text_of(client.get(f"/field/{SHEET}/"))
    assert "Every step has what the record needs" in page and "Still missing" not in page
    hands.at = cast.AT + timedelta(hours=1)
    answer = finished(client)
    locate = Locate.objects.exclude(pk="L-1").get()
    assert answer["Location"] == f"/records/locates/{locate.pk}/"
    assert (locate.operator_id, locate.started_at, locate.finished_at) == ("P-OPE", cast.AT, hands.at)
    assert sorted(locate.sweeps.values_list("technique", "bearing_deg")) == [
        ("passive_power", 0),
        ("passive_power", 90),
        ("passive_radio", 0),
        ("passive_radio", 90),
    ]
    Permit.objects.filter(pk="PD-1").update(locate=locate)
    assert preview("PD-1", hands.at).verdict.blocks == ()


def test_finishing_says_who_proved_themselves_and_freezes(as_person, hands):
    client = as_person("P-OPE")
    whole(client)
    hands.at = cast.AT + timedelta(hours=1)
    finished(client)
    entry = Entry.objects.get(act="locate.finished")
    assert (entry.actor_id, entry.why) == ("P-OPE", "proved with the password")
    sweeps = Sweep.objects.count()
    answer = client.post(f"/field/{SHEET}/sweep/", SWEEP | {"technique": "passive_power"}, follow=True)
    assert "is finished: it no longer changes. Nothing was recorded." in text_of(answer)
    assert Sweep.objects.count() == sweeps
    assert client.get(f"/field/{SHEET}/").status_code == 302


def test_it_takes_over_the_dig_of_a_permit(as_person):
    begun(as_person("P-OPE"))
    sheet = FieldSheet.objects.get()
    permit = Permit.objects.get(pk="PD-1")
    assert (sheet.depth_m, sheet.method) == (permit.depth_m, permit.method)
    assert from_wkt(sheet.outline).equals(from_wkt(permit.outline))


def test_a_form_that_is_sent_twice_begins_one_locate(as_person):
    client = as_person("P-OPE")
    first, second = begun(client), begun(client)
    assert first["Location"] == second["Location"] == f"/field/{SHEET}/#now"
    assert Locate.objects.count() == 2


def test_each_step_says_what_it_lacks(as_person):
    client = as_person("P-OPE")
    begun(client, dig="")
    page = text_of(client.get(f"/field/{SHEET}/"))
    for says in (
        "The outline of the dig is not told yet.",
        "The plans of Northline Power (E-1) were not looked at yet.",
        "The ground to sweep is known once the outline is told.",
    ):
        assert says in page
    handed(client, "dig", outline="100 100\n110 100\n110 102\n100 102", depth_m="1.2", method="hand")
    page = text_of(client.get(f"/field/{SHEET}/"))
    assert "The ground was not swept by passive power." in page and "is not told yet" not in page
    assert "Electricity V-1 (Northline Power) on the plans is named by no trace and no outcome" in page or "V-1" in page


def test_one_direction_alone_is_said_and_the_rest_stays_swept(as_person):
    client = as_person("P-OPE")
    begun(client)
    handed(client, "sweep", technique="passive_power", across_deg="", **SWEEP)
    page = text_of(client.get(f"/field/{SHEET}/"))
    assert "Not all of the ground was swept by passive power in two directions" in page


def test_a_trench_is_told_by_its_middle_and_width(as_person):
    client = as_person("P-OPE")
    begun(client, dig="")
    handed(client, "dig", outline="100 101\n110 101", width="2", depth_m="1", method="hand")
    assert "100" in FieldSheet.objects.get().outline
    answer = handed(client, "dig", outline="100 101\n110 101", width="wide", depth_m="1", method="hand")
    assert answer.status_code == 422 and 'value="wide"' in answer.content.decode()


@pytest.mark.parametrize(
    ("what", "fields", "says"),
    [
        ("sweep", SWEEP | {"technique": "passive_power", "ground": "drawn"}, "Draw the ground that was swept"),
        ("sweep", SWEEP | {"technique": "passive_power", "bearing_deg": "361"}, "is out of bounds"),
        ("trace", TRACE | {"line": "105 96"}, "points"),
        ("trace", TRACE | {"raised_depth_m": ""}, "raised"),
        ("trace", TRACE | {"quality_level": "A"}, "A"),
        ("outcome", {"place": "outcome-V-1", "service": "V-1", "outcome": "not_found", "note": ""}, "This field is required"),
        ("outcome", {"place": "outcome-V-1", "service": "V-9", "outcome": "not_found", "note": "the owner"}, "V-9"),
        ("marks", {"marks": []}, "This field is required"),
        ("kit", {"receiver": ""}, "This field is required"),
        ("photo", {}, "This field is required"),
    ],
)
def test_what_is_wrong_with_a_piece_is_said_and_nothing_is_written(as_person, what, fields, says):
    client = as_person("P-OPE")
    begun(client)
    before = Entry.objects.count()
    answer = handed(client, what, **fields)
    assert answer.status_code == 422 and says in text_of(answer)
    assert Entry.objects.count() == before


def test_what_was_recorded_by_mistake_is_taken_out_and_the_history_keeps_it(as_person):
    client = as_person("P-OPE")
    begun(client)
    handed(client, "trace", **TRACE)
    trace = Trace.objects.exclude(pk="T-1").get()
    handed(client, "remove", kind="trace", key=trace.pk)
    assert not Trace.objects.filter(pk=trace.pk).exists()
    entry = Entry.objects.get(act="trace.removed")
    assert (entry.subject_id, json.loads(entry.body)["before"]["line"]) == (trace.pk, trace.line)


def test_nothing_of_another_locate_can_be_taken_out(as_person):
    client = as_person("P-OPE")
    begun(client)
    handed(client, "remove", kind="trace", key="T-1")
    handed(client, "remove", kind="locate", key="L-1")
    assert Trace.objects.filter(pk="T-1").exists() and Locate.objects.filter(pk="L-1").exists()


def test_a_service_is_accounted_for_without_a_trace(as_person):
    client = as_person("P-OPE")
    begun(client)
    handed(client, "outcome", place="outcome-V-1", service="V-1", outcome="not_found", note="searched twice, nothing answers")
    assert Outcome.objects.get(service="V-1").outcome == "not_found"
    assert "not found: taken as live" in text_of(client.get(f"/field/{SHEET}/"))


def test_a_photograph_is_kept_with_the_locate(as_person, settings, tmp_path):
    settings.FILES_FOLDER = str(tmp_path)
    client = as_person("P-OPE")
    begun(client)
    handed(client, "photo", photograph=SimpleUploadedFile("kerb.png", picture()))
    kept = Attachment.objects.get()
    assert (kept.kind, kept.what) == ("locate", "photograph")
    assert "kerb.png" in text_of(client.get(f"/field/{SHEET}/"))
    assert client.get(f"/files/{kept.key}/").status_code == 200


def test_the_search_begins_with_the_check_of_its_instruments(as_person, hands):
    client = as_person("P-OPE")
    begun(client)
    for minutes, instrument in ((10, "I-R1"), (12, "I-T1")):
        hands.at = cast.AT + timedelta(minutes=minutes)
        handed(client, "check", instrument=instrument, result="pass", note="")
    locate = FieldSheet.objects.get().locate
    assert locate.started_at == hands.at
    handed(client, "sweep", technique="passive_power", across_deg="0", **SWEEP)
    hands.at = cast.AT + timedelta(minutes=50)
    handed(client, "check", instrument="I-R1", result="pass", note="")
    locate.refresh_from_db()
    assert locate.started_at == cast.AT + timedelta(minutes=12)


def test_a_check_of_yesterday_is_told_as_none_for_this_locate(as_person):
    client = as_person("P-OPE")
    begun(client)
    assert "not checked for this locate; passed 3 Mar 2027" in text_of(client.get(f"/field/{SHEET}/"))


def test_one_that_was_begun_elsewhere_goes_on_here(as_person):
    client = as_person("P-OPE")
    Locate.objects.create(locate="L-2", site_id="S-1", operator_id="P-OPE", receiver_id="I-R1", started_at=cast.AT, recorded_at=cast.AT)
    assert "Go on step by step" in text_of(client.get("/field/of/L-2/")) and not FieldSheet.objects.exists()
    page = client.post("/field/of/L-2/")
    assert page["Location"] == f"/field/{FieldSheet.objects.get(locate='L-2').pk}/"
    assert client.get("/field/of/L-2/")["Location"] == page["Location"] == client.post("/field/of/L-2/")["Location"]
    assert client.get("/field/of/L-1/")["Location"] == "/records/locates/L-1/"
    assert as_person("P-FAR").get("/field/of/L-2/").status_code == 404


FIX = {"x": 1, "y": 2, "lon": 174.78, "lat": -36.84, "accuracy_m": 3.4, "taken_at": "2027-03-03T19:20:11.250Z"}


def test_a_position_of_the_phone_is_kept_with_its_accuracy_and_put_in_the_grid_here(as_person):
    client = as_person("P-OPE")
    begun(client)
    Grid.objects.create(site_id="S-1", crs="EPSG:2193", east_0="1758600", north_0="5920700", recorded_at=cast.AT)
    handed(client, "trace", **TRACE, fixes=json.dumps([FIX]))
    fix = Fix.objects.get()
    assert (str(fix.lon), str(fix.accuracy_m), fix.taken_at.second) == ("174.780000000", "3.400", 11)
    x, y = grid_of("S-1").to_site(174.78, -36.84)
    assert (float(fix.x), float(fix.y)) == (round(x, 3), round(y, 3)) != (1, 2)
    told = client.get(f"/field/{SHEET}/sketch.json").json()
    locate = FieldSheet.objects.get().locate_id
    assert f"/grids/S-1/track/?locate={locate}" in client.get(f"/field/{SHEET}/").content.decode()
    assert told["grid"]["radius_m"] == 1000 and any(one["properties"]["kind"] == "fix" for one in told["features"])


@pytest.mark.parametrize(
    "told", ["{", "{}", '[{"lon": 1}]', json.dumps([FIX | {"lat": "north"}]), json.dumps([FIX | {"taken_at": "2027-03-03T19:20:11"}]), json.dumps([FIX] * 101)]
)
def test_positions_that_cannot_be_read_are_refused_with_the_line(as_person, told):
    client = as_person("P-OPE")
    begun(client)
    answer = handed(client, "trace", **TRACE, fixes=told)
    assert answer.status_code == 422 and "The positions of the phone could not be read" in text_of(answer).replace("the positions", "The positions")
    assert not Trace.objects.exclude(pk="T-1").exists() and not Fix.objects.exists()


def test_before_it_begins_the_page_tells_what_only_plans_at_hand_can_mend(as_person):
    client = as_person("P-OPE")
    Enquiry.objects.filter(pk="E-1").update(answered_at=None)
    page = text_of(client.get("/field/begin/S-1/?dig=PD-1"))
    assert "Before you begin" in page and "Northline Power has not answered the enquiry E-1" in page
    assert '<option value="PD-1" selected>' in page


def test_the_scheme_of_the_levels_stands_beside_their_choice(as_person):
    client = as_person("P-OPE")
    begun(client)
    assert "By the firm's own scheme." in text_of(client.get(f"/field/{SHEET}/"))
