"""A small register that is right in every cell, for tests that change one thing in it and load it."""

import csv
from copy import deepcopy
from datetime import UTC, datetime
from pathlib import Path

from records.exchange.loading import load
from records.ledger.chain import COMMAND_LINE

AT = datetime(2027, 4, 1, 8, 0, tzinfo=UTC)
SQUARE = "POLYGON ((0 0, 10 0, 10 10, 0 10, 0 0))"

ROWS = {
    "rules": """
        rule_set,effective_from,key,value,source
        house,2026-01-01,hand_dig_m,0.6,the house's own
        house,2026-01-01,plan_valid_days,20,""",
    "sites": """
        site,name,time_zone,rule_set,owners_to_ask
        S1,Harbour yard,Pacific/Auckland,house,City Water;Northern Gas
        S2,Hill yard,Pacific/Honolulu,default,""",
    "people": """
        person,name,email,employer,roles,left_on
        P1,Ana Orr,ana@example.org,,operator,
        P2,Bo Lind,,,operator;supervisor,
        P3,Cy Moss,,Earthworks,,
        P4,Di Vance,,,,2027-03-31""",
    "postings": """
        posting,person,site,role,begins_on,ends_on
        N1,P1,S1,operator,2027-01-04,
        N2,P2,S1,supervisor,2027-01-04,2027-12-31""",
    "needs": """
        need,role,effective_from,authorises,source
        D1,operator,2026-01-01,passive_power;passive_radio,the firm's own rule
        D2,crew,2027-01-01,dig,""",
    "courses": """
        course,title,valid_months,authorises
        C1,Locating,12,clamp;direct_connection;induction;passive_power;passive_radio;sonde
        C2,Permits,none,dig;issue_permit;receive_permit
        C3,Digging,24,dig
        C4,Spare,24,dig""",
    "awards": """
        award,person,course,awarded_on,expires_on,certificate_no,assessor,withdrawn_on,withdrawn_because
        A1,P1,C1,2026-08-31,2027-08-31,77,,,
        A2,P2,C2,2026-01-05,,,,,
        A3,P3,C2,2026-01-05,,,,2027-02-01,failed a reassessment
        A4,P4,C3,2026-01-05,2027-12-31,,,,""",
    "grids": """
        site,crs,east_0,north_0,turned_deg
        S1,EPSG:2193,1750000,5900000.25,12.5
        S2,+proj=utm +zone=4 +datum=WGS84 +units=m,600000,2300000,""",
    "instruments": """
        instrument,kind,serial_no,description,calibration_months,self_test_days,out_of_service_from,hired_until
        R1,receiver,1001,,12,30,,
        T1,transmitter,1002,,12,none,,2027-12-31
        K1,clamp,1003,,none,none,2027-03-20,
        N1,sonde,1004,,6,none,,""",
    "calibrations": """
        calibration,instrument,calibrated_on,due_on,laboratory,certificate_no,as_found,as_left
        B1,R1,2027-01-10,2027-12-10,,,in_tolerance,in_tolerance
        B2,T1,2027-01-10,,,,not_measured,in_tolerance
        B3,N1,2027-01-10,2027-07-10,,,in_tolerance,in_tolerance""",
    "checks": """
        check,instrument,kind,checked_at,person,result,note
        H1,R1,before_use,2027-03-04T06:50:00+13:00,P1,pass,
        H2,K1,before_use,2027-03-30T18:00:00+13:00,P1,fail,""",
    "enquiries": """
        enquiry,site,service_owner,sent_on,area,answered_at,good_through,nothing_shown,reference_no,replaces,closed_on,closed_because
        E1,S1,Northern Gas,2027-02-01,,2027-02-03T09:00:00+13:00,2027-03-01,,,,,
        E2,S1,northern gas,2027-02-20,"POLYGON ((0 0, 10 0, 10 10, 0 10, 0 0))",2027-02-22T09:00:00+13:00,,,,E1,,
        E3,S1,City Water,2027-02-01,,,,,,,,
        E4,S1,City Water,2027-01-01,,,,,,,2027-01-20,asked again
        E5,S2,Island Power,2027-02-01,,2027-02-02T00:30:00-10:00,,yes,,,,
        E6,S2,Island Power,2027-02-01,,2027-02-03T00:30:00-10:00,,,,,,""",
    "wrong_plans": """
        wrong,enquiry,found_at,person,told_by,what
        WP1,E1,2027-03-05T09:00:00+13:00,P2,the crew,a main runs a metre farther east
        WP2,E5,2027-02-02T00:30:00-10:00,P2,,the sheet is of another street""",
    "plan_services": """
        service,enquiry,utility,conductive,same_as,note
        V1,E1,gas,no,,
        V2,E2,gas,no,V1,
        V3,E2,telecom,yes,,
        V6,E6,electricity,yes,,""",
    "locates": """
        locate,site,operator,receiver,transmitter,clamp,sonde,started_at,finished_at
        L1,S1,P1,R1,T1,,N1,2027-03-04T07:30:00+13:00,2027-03-04T11:00:00+13:00
        L2,S1,P1,R1,,K1,,2027-03-30T07:30:00+13:00,
        L3,S2,P1,R1,,,,2027-02-01T07:30:00-10:00,""",
    "sweeps": """
        sweep,locate,technique,area,bearing_deg,spacing_m,transmitter_offset_m
        W1,L1,passive_power,"POLYGON ((0 0, 10 0, 10 10, 0 10, 0 0))",0,1.5,
        W2,L2,induction,"POLYGON ((0 0, 10 0, 10 10, 0 10, 0 0))",359.999,,3.75""",
    "traces": """
        trace,locate,utility,technique,line,quality_level,width_m,depth_m,raised_by_m,raised_depth_m,services
        X1,L1,gas,sonde,"LINESTRING (0 5, 10 5)",B,0.3,1.2,0.5,1.7,V2
        X2,L2,telecom,exposed,"LINESTRING (0 6, 10 6)",A,,,,,V3
        X3,L2,unknown,passive_radio,"LINESTRING (0 7, 10 7)",C,,,,,""",
    "outcomes": """
        locate,service,outcome,note
        L1,V3,outside_dig,the owner on the telephone
        L2,V1,not_found,searched twice""",
    "field_sheets": """
        sheet,locate,outline,depth_m,method,plans_seen,marks,marks_note,marked_at,short_of
        5b1d,L1,"POLYGON ((1 4, 4 4, 4 6, 1 6, 1 4))",1.2,hand,E1;E2,paint;pegs,both kerbs,2027-03-04T10:40:00+13:00,
        5b1e,L2,,,,,,,,the north verge was locked""",
    "fixes": """
        fix,locate,taken_at,lon,lat,accuracy_m,x,y,note
        F1,L1,2027-03-04T08:05:00+13:00,174.763336,-36.848461,3.2,2,5,corner of the wall""",
    "owner_needs": """
        rule_set,effective_from,need,needed,within_m,utility,service_owner,methods,above_kv,above_bar,blocks,source
        house,2026-01-01,high-voltage,consult,3,electricity,,bore;machine,11,,yes,the house's own
        house,2026-01-01,gas-mains,attend,1.5,gas,Northern Gas,,,7,no,the owner's letter
        house,2027-03-01,gas-mains,nothing,,,,,,,,the owner's second letter""",
    "service_ratings": """
        rating,service,told_on,voltage_kv,pressure_bar,note
        VP1,V2,2027-02-22,,7.5,the owner's plan
        VP2,V6,2027-02-03,33,,by telephone""",
    "owner_agreements": """
        agreement,site,service_owner,utility,service,agreed,agreed_with,person,agreed_at,reference_no,conditions,good_from,good_through,area,proved_by,proved_at,withdrawn_on,withdrawn_because
        AG1,S1,Northern Gas,gas,,attend;consult,Ro Hart,P2,2027-03-03T09:00:00+13:00,NG 7,no plant on the verge,2027-03-04,2027-03-10,,,,,
        AG2,S2,island power,,V6,isolate,Ro,P2,2027-03-03T09:00:00-10:00,,,2027-03-04,2027-03-05,,Lu,2027-03-04T06:00:00-10:00,2027-03-05,cold
        AG3,S1,City Water,,,consult,Ro,P2,2027-03-03T09:00:00+13:00,,,2027-03-04,2027-03-05,"POLYGON ((0 0, 9 0, 9 9, 0 0))",,,,""",
    "permits": """
        permit,site,locate,work,outline,depth_m,method,valid_from,valid_to,issuer,receiver,crew
        G1,S1,L1,"a trench, then a pit","POLYGON ((1 4, 4 4, 4 6, 1 6, 1 4))",1.2,hand,2027-03-05T07:00:00+13:00,2027-03-05T17:00:00+13:00,P2,P3,P1;P4
        G2,S2,,a pole,"POLYGON ((1 4, 4 4, 4 6, 1 6, 1 4))",0.5,bore,2027-03-05T07:00:00-10:00,2027-03-05T06:00:00-10:00,P2,P3,
        G3,S1,L1,"the trench, deeper","POLYGON ((1 4, 4 4, 4 6, 1 6, 1 4))",1.6,hand,2027-03-06T07:00:00+13:00,2027-03-06T17:00:00+13:00,P2,P3,P1""",
    "followings": """
        permit,follows,why,changed
        G3,G1,"the pipe lies deeper, by a metre",the depth""",
    "emergencies": """
        permit,danger,waiting,decided_by,decided_at
        G3,the bank is washed out,the owner answers on Monday,P2,2027-03-06T06:30:00+13:00""",
    "follow_ups": """
        permit,number,done_at,person,owners,found,damage,why
        G3,1,2027-03-08T09:00:00+13:00,P2,"City Water, by telephone",the pipe as traced,none,""",
    "trial_holes": """
        hole,locate,trace,exposed_at,person,x,y,utility,depth_m,width_m,note
        O1,L1,X1,2027-03-05T09:00:00+13:00,P1,5.25,5.04,gas,1.25,0.3,
        O2,L2,,2027-03-30T09:00:00+13:00,P2,7,-3,unknown,0.4,,a pipe nobody knew of""",
    "planned_lines": """
        service,line,accuracy_m,note
        V2,"LINESTRING (0 4.6, 10 4.6)",1,sheet 3
        V3,"LINESTRING (0 6.2, 10 6.2)",,""",
    "recall_decisions": """
        decision,calibration,failed_check,award,wrong,locate,permit,decided,why,person,decided_at
        RD1,B2,,,,L1,,stands,the transmitter was tried at the known cable,P2,2027-03-08T02:00:00Z
        RD2,,H2,,,L2,,locate_again,nobody knows since when,P2,2027-03-31T08:00:00Z
        RD3,,,A3,,,G1,not_dug,he was never on site,P2,2027-03-08T02:05:00Z
        RD4,,,,WP1,,G1,dug_unharmed,the owner is told,P2,2027-03-08T02:10:00Z""",
    "reports": """
        report,locate,trace,hole,service,service_owner,reported_at,person,note
        Q1,L1,X1,O1,V2,Northern Gas,2027-03-06T09:00:00+13:00,P2,by telephone
        Q2,L2,,O2,,City Water,2027-03-31T09:00:00+13:00,P2,""",
}
KEYS = {"rules": ("rule_set", "key"), "owner_needs": ("effective_from", "need"), "outcomes": ("locate", "service"), "follow_ups": ("permit", "number")}


def register():
    """The register as lists of rows, free to be changed."""
    return deepcopy({name: list(csv.DictReader(line.strip() for line in text.strip().splitlines())) for name, text in ROWS.items()})


def row(tables, name, id):
    """The row so identified, of which outcomes and rules have two parts with a slash between."""
    keys = KEYS.get(name, (next(iter(tables[name][0])),))
    return next(one for one in tables[name] if "/".join(one[key] for key in keys) == id)


def changed(name, id, /, **cells):
    """The register with some cells of one row changed."""
    tables = register()
    row(tables, name, id).update(cells)
    return tables


def write(folder, tables):
    """Write the tables as a register folder."""
    folder = Path(folder)
    folder.mkdir(exist_ok=True, parents=True)
    for name, rows in tables.items():
        with (folder / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, list(rows[0]))
            writer.writeheader()
            writer.writerows(rows)
    return folder


def loaded(folder, tables, **options):
    """What loading the tables does."""
    return load(write(folder, tables), COMMAND_LINE, AT, **options)


def places(done):
    """Where the problems of a load are: file, row and column."""
    return [(problem.file, problem.row, problem.column) for problem in done.problems()]


def says(done):
    return "\n".join(map(str, done.problems()))
