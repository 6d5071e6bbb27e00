"""Write a random valid register folder from a seed, near to clear and then changed in a few places, and say at which instant to judge it."""

import copy
import csv
import io
import os
import random
import re
import unicodedata
from datetime import UTC, date, timedelta
from decimal import Decimal

from shapely import wkt

from tests.second_reading.reading import RULES, Gate, clean, items, owner_key, to_date, to_instant, zone
from tests.second_reading.reading import plus_months as _pm


def plus_months(d, n):
    return _pm(d, n) or date(9999, 12, 31)


COLS = {
    "rules": "rule_set* effective_from* key* value* source",
    "sites": "site* name* time_zone* rule_set* owners_to_ask",
    "people": "person* name* email employer roles left_on",
    "courses": "course* title* valid_months* authorises*",
    "awards": "award* person* course* awarded_on* expires_on certificate_no assessor withdrawn_on withdrawn_because",
    "instruments": "instrument* kind* serial_no* description calibration_months* self_test_days* out_of_service_from hired_until",
    "calibrations": "calibration* instrument* calibrated_on* due_on laboratory certificate_no as_found* as_left*",
    "checks": "check* instrument* kind* checked_at* person* result* note",
    "enquiries": "enquiry* site* service_owner* sent_on* area answered_at good_through nothing_shown reference_no replaces closed_on closed_because",
    "plan_services": "service* enquiry* utility* conductive* same_as note",
    "locates": "locate* site* operator* receiver* transmitter clamp sonde started_at* finished_at",
    "sweeps": "sweep* locate* technique* area* bearing_deg spacing_m transmitter_offset_m",
    "traces": "trace* locate* utility* technique* line* quality_level* width_m depth_m raised_by_m raised_depth_m services",
    "outcomes": "locate* service* outcome* note*",
    "permits": "permit* site* locate work* outline* depth_m* method* valid_from* valid_to* issuer* receiver* crew",
}
IDCOL = {
    "sites": "site",
    "people": "person",
    "courses": "course",
    "awards": "award",
    "instruments": "instrument",
    "calibrations": "calibration",
    "checks": "check",
    "enquiries": "enquiry",
    "plan_services": "service",
    "locates": "locate",
    "sweeps": "sweep",
    "traces": "trace",
    "permits": "permit",
}
DATES = {
    "left_on",
    "awarded_on",
    "expires_on",
    "withdrawn_on",
    "out_of_service_from",
    "hired_until",
    "calibrated_on",
    "due_on",
    "sent_on",
    "good_through",
    "closed_on",
    "effective_from",
}
INSTANTS = {"checked_at", "answered_at", "started_at", "finished_at", "valid_from", "valid_to"}
TECH = ["passive_power", "passive_radio", "induction", "direct_connection", "clamp", "sonde"]
TASKS = ["issue_permit", "receive_permit", "dig"]
UTIL = ["electricity", "gas", "oil", "telecom", "water", "reclaimed_water", "sewer", "drainage", "heating", "unknown"]
BOUNDS = {
    "plan_valid_days": (1, 366),
    "locate_valid_days": (1, 366),
    "locate_max_hours": (1, 168),
    "permit_max_hours": (1, 744),
    "sweep_margin_m": (0, 10),
    "transmitter_min_offset_m": (0, 20),
    "induction_max_depth_m": ("0.1", 5),
    "check_valid_hours": (1, 48),
    "depth_tolerance_m": (0, 1),
    "depth_tolerance_ratio": (0, 1),
    "hand_dig_m": ("0.1", 5),
    "position_tolerance_A_m": (0, 10),
    "position_tolerance_B_m": (0, 10),
    "position_tolerance_C_m": (0, 10),
    "position_tolerance_D_m": (0, 10),
    "due_soon_days": (1, 366),
}
WHOLE = {"plan_valid_days", "locate_valid_days", "locate_max_hours", "permit_max_hours", "check_valid_hours", "due_soon_days"}


# ------------------------------------------------------------------ validity by the register format
def validate(t):
    bad = []

    def err(*a):
        bad.append(" ".join(map(str, a)))

    for f, cols in COLS.items():
        names = [c.rstrip("*") for c in cols.split()]
        star = [c[:-1] for c in cols.split() if c.endswith("*")]
        seen = set()
        for r in t[f]:
            for k in r:
                if k not in names:
                    err(f, "column", k)
            for k in star:
                if not r.get(k):
                    err(f, "blank", k)
            i = r.get(IDCOL[f]) if f in IDCOL else (r["rule_set"], r["effective_from"], r["key"]) if f == "rules" else (r["locate"], r["service"])
            if i in seen:
                err(f, "twice", i)
            seen.add(i)
            if f in IDCOL and not re.fullmatch(r"[A-Za-z0-9._-]{1,40}", i or ""):
                err(f, "id", i)
            for k, v in r.items():
                if not v:
                    continue
                if k in DATES and not date(1900, 1, 1) <= to_date(v) <= date(9998, 12, 31):
                    err(f, k, v)
                if k in INSTANTS and not "1900-01-02" <= v[:10] <= "9998-12-30":
                    err(f, k, v)
                if k in ("depth_m", "width_m", "spacing_m", "raised_by_m", "raised_depth_m") and not (0 < Decimal(v) <= 100):
                    err(f, k, v)
                if k == "transmitter_offset_m" and not 0 <= Decimal(v) <= 100:
                    err(f, k, v)
                if k == "bearing_deg" and not 0 <= Decimal(v) < 360:
                    err(f, k, v)
                if (k.endswith("_m") or k == "bearing_deg") and not re.fullmatch(r"[0-9]+(\.[0-9]{1,3})?", v):
                    err(f, k, v)
                if k in ("crew", "services", "same_as", "replaces", "authorises", "owners_to_ask"):
                    xs = [clean(x) for x in v.split(";")]
                    if len(set(xs)) != len(xs) or "" in xs:
                        err(f, k, v)
                if k in ("area", "outline", "line"):
                    g = wkt.loads(v)
                    kinds = {"area": ("Polygon", "MultiPolygon"), "outline": ("Polygon",), "line": ("LineString",)}[k]
                    if g.geom_type not in kinds or g.is_empty or (k != "line" and not g.is_valid) or (k == "line" and g.length == 0):
                        err(f, k, v)
                    if k == "outline" and (g.area < 0.01 or len(g.interiors)):
                        err(f, k, v)
                    if any(len(x.split(".")[1]) > 6 for x in re.findall(r"-?\d+\.\d+", v)):
                        err(f, k, "decimals")
    if bad:
        return bad
    ix = {f: {r[c]: r for r in t[f]} for f, c in IDCOL.items()}

    def ref(f, r, col, to):
        for v in items(r, col) if col in ("crew", "services", "same_as", "replaces") else [r.get(col)]:
            if v and v not in ix[to]:
                err(f, col, v, "not there")

    for f, cols in [
        ("awards", {"person": "people", "course": "courses"}),
        ("calibrations", {"instrument": "instruments"}),
        ("checks", {"instrument": "instruments", "person": "people"}),
        ("enquiries", {"site": "sites", "replaces": "enquiries"}),
        ("plan_services", {"enquiry": "enquiries", "same_as": "plan_services"}),
        (
            "locates",
            {"site": "sites", "operator": "people", "receiver": "instruments", "transmitter": "instruments", "clamp": "instruments", "sonde": "instruments"},
        ),
        ("sweeps", {"locate": "locates"}),
        ("traces", {"locate": "locates", "services": "plan_services"}),
        ("outcomes", {"locate": "locates", "service": "plan_services"}),
        ("permits", {"site": "sites", "locate": "locates", "issuer": "people", "receiver": "people", "crew": "people"}),
    ]:
        for r in t[f]:
            for c, to in cols.items():
                ref(f, r, c, to)
    if bad:
        return bad
    sets = {r["rule_set"] for r in t["rules"]}
    for r in t["rules"]:
        k, v = r["key"], r["value"]
        if r["rule_set"] == "default" or k not in RULES:
            err("rules", r)
        elif k == "two_directions":
            if v not in ("yes", "no"):
                err("rules", r)
        else:
            lo, hi = BOUNDS[k]
            if not Decimal(lo) <= Decimal(v) <= Decimal(hi) or (k in WHOLE and not v.isdigit()) or not re.fullmatch(r"[0-9]+(\.[0-9]{1,3})?", v):
                err("rules", r)
    for r in t["sites"]:
        if r["rule_set"] != "default" and r["rule_set"] not in sets:
            err("sites rule_set")
        ks = [owner_key(x) for x in items(r, "owners_to_ask")]
        if len(ks) != len(set(ks)):
            err("owners twice")
    for r in t["courses"]:
        if r["valid_months"] != "none" and not 1 <= int(r["valid_months"]) <= 1200:
            err("months")
        if not set(items(r, "authorises")) <= set(TECH + TASKS):
            err("authorises")
    for r in t["awards"]:
        on, ex, wd = (to_date(r.get(k)) for k in ("awarded_on", "expires_on", "withdrawn_on"))
        m = ix["courses"][r["course"]]["valid_months"]
        if ex and (ex < on or (m != "none" and ex > plus_months(on, int(m)))):
            err("expires_on", r)
        if (wd and wd < on) or bool(wd) != bool(r.get("withdrawn_because")):
            err("withdrawn_on", r)
    for r in t["instruments"]:
        for k, hi in (("calibration_months", 1200), ("self_test_days", 3660)):
            if r[k] != "none" and not 1 <= int(r[k]) <= hi:
                err(k)
    for r in t["calibrations"]:
        on, due = to_date(r["calibrated_on"]), to_date(r.get("due_on"))
        m = ix["instruments"][r["instrument"]]["calibration_months"]
        if due and (m == "none" or due < on or due > plus_months(on, int(m))):
            err("due_on", r)
    for r in t["enquiries"]:
        z = zone(ix["sites"][r["site"]]["time_zone"])
        sent, gt, cl = (to_date(r.get(k)) for k in ("sent_on", "good_through", "closed_on"))
        an = to_instant(r.get("answered_at"))
        sv = [s for s in t["plan_services"] if s["enquiry"] == r["enquiry"]]
        if (cl and (an is not None or cl < sent)) or bool(cl) != bool(r.get("closed_because")):
            err("closed", r)
        if an is None and (gt or r.get("nothing_shown") or sv):
            err("no answer", r)
        if an is not None:
            if z.day(an) < sent or an < z.start(sent):
                err("answered before sent", r)
            if gt and not z.day(an) <= gt <= z.day(an) + timedelta(days=366):
                err("good_through", r)
        if r.get("nothing_shown") == "yes" and sv:
            err("nothing shown with services")
        for x in items(r, "replaces"):
            o = ix["enquiries"][x]
            if o["site"] != r["site"] or owner_key(o["service_owner"]) != owner_key(r["service_owner"]) or to_date(o["sent_on"]) > sent:
                err("replaces", r)
        todo, seen = items(r, "replaces"), set()
        while todo:
            x = todo.pop()
            if x == r["enquiry"]:
                err("replaces itself")
                break
            if x not in seen:
                seen.add(x)
                todo += items(ix["enquiries"][x], "replaces")
    if bad:
        return bad
    for s in t["plan_services"]:
        e = ix["enquiries"][s["enquiry"]]
        for x in items(s, "same_as"):
            o = ix["plan_services"][x]
            oe = ix["enquiries"][o["enquiry"]]
            if (
                x == s["service"]
                or owner_key(oe["service_owner"]) != owner_key(e["service_owner"])
                or o["utility"] != s["utility"]
                or o["conductive"] != s["conductive"]
                or oe["site"] != e["site"]
                or to_instant(oe["answered_at"]) >= to_instant(e["answered_at"])
            ):
                err("same_as", s)
    for r in t["locates"]:
        if r.get("finished_at") and to_instant(r["finished_at"]) <= to_instant(r["started_at"]):
            err("finished")
        for k in ("receiver", "transmitter", "clamp", "sonde"):
            if r.get(k) and ix["instruments"][r[k]]["kind"] != k:
                err("kind")
    for r in t["traces"]:
        if (r["quality_level"] == "A") != (r["technique"] == "exposed") or (r["technique"].startswith("passive") and r["quality_level"] not in "CD"):
            err("quality", r)
        if bool(r.get("raised_by_m")) != bool(r.get("raised_depth_m")) or (r.get("raised_by_m") and not r.get("depth_m")):
            err("raised", r)
    for f, col in (("traces", "services"), ("outcomes", "service")):
        for r in t[f]:
            for s in items(r, col):
                e = ix["enquiries"][ix["plan_services"][s]["enquiry"]]
                if e["site"] != ix["locates"][r["locate"]]["site"]:
                    err("service of another site")
    return bad


# ------------------------------------------------------------------ building
ZONE_DAYS = {
    "Pacific/Auckland": ["2027-04-04", "2027-09-26", "2028-02-29"],
    "Pacific/Honolulu": ["2027-12-31", "9998-11-20", "2100-02-28"],
    "Asia/Kolkata": ["2028-02-29", "2027-03-01", "1999-12-31", "9998-10-31"],
    "America/New_York": ["2027-03-14", "2027-11-07", "2027-08-31", "2096-02-29"],
    "Europe/London": ["2027-03-28", "2027-10-31", "2029-02-28", "9998-03-29"],
    "Australia/Lord_Howe": ["2027-04-04", "2027-10-03", "2026-12-31"],
    "America/Sao_Paulo": ["2018-11-04", "2018-02-18", "2017-10-15"],
    "Pacific/Apia": ["2011-12-30", "2011-12-31", "2012-01-02"],
    "Asia/Beirut": ["2027-03-28", "2026-03-29", "2027-10-31"],
    "America/Havana": ["2027-03-14", "2027-11-07"],
    "Africa/Cairo": ["2027-04-30", "2027-10-29"],
}
OWNERS = ["Stadtwerke Süd", "Straßen & Netz", "Northern Gas", "Télécom Réseau", "ΥΔΩΡ ΣΙΓΜΑΣ", 'acme, "Power"', "Ångström Vatten", "水道局"]
HOUR = 3600
DAY = 86400


class B:
    """One register being built."""

    def __init__(self, rng):
        self.r = rng
        self.t = {f: [] for f in COLS}
        self.used = set()
        zn = rng.choice(list(ZONE_DAYS))
        self.zn, self.z = zn, zone(zn)
        base = to_date(rng.choice(ZONE_DAYS[zn])) + timedelta(days=rng.choice([0, 0, 0, 0, 1, -1, 1, 2, 5, 13, 28, -3]))
        s = self.z.start(base)
        self.T = s + rng.choice([0, 0, -1, 1, 5400, 9000, 10800, 7 * HOUR + 1800, 10 * HOUR, 12 * HOUR, 9 * HOUR + 17, 20 * HOUR])
        self.today = self.z.day(self.T)

    # helpers
    def chance(self, p):
        return self.r.random() < p

    def pick(self, xs):
        return self.r.choice(list(xs))

    def day(self, n=0):
        return (self.today + timedelta(days=n)).isoformat()

    def iso(self, t):
        """An instant as text: in the site's offset, Z, or any other."""
        from datetime import datetime, timezone

        k = self.r.random()
        dt = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(seconds=t)
        if k < 0.5:
            s = self.z.fmt(t)
        elif k < 0.7:
            s = dt.isoformat().replace("+00:00", "Z")
        else:
            m = self.r.choice([0, 60, -300, 330, 630, 825, -570, 840, -720])
            s = dt.astimezone(timezone(timedelta(minutes=m))).isoformat()
        if s[17:19] == "00" and self.chance(0.5):
            s = s[:16] + s[19:]
        return s

    def id(self, prefix):
        while True:
            n = self.r.choice([1, 2, 3, 9, 10, 11, 20, 100, self.r.randrange(1000)])
            i = self.r.choice([f"{prefix}{n}", f"{prefix}-{n}", f"{prefix.lower()}{n}", f"{prefix}.{n}", f"{prefix}_{n}"])
            if i not in self.used:
                self.used.add(i)
                return i

    def add(self, f, **row):
        row = {k: v for k, v in row.items() if v not in (None, "")}
        self.t[f].append(row)
        return row

    def find(self, f, i):
        return next((x for x in self.t[f] if x[IDCOL[f]] == i), None)

    def variant(self, name):
        for _ in range(20):
            v = self.pick(
                [
                    name,
                    name.upper(),
                    name.lower(),
                    name.title(),
                    unicodedata.normalize("NFD", name),
                    "  " + name + "\u00a0",
                    name.swapcase(),
                    name.casefold(),
                    "\u2003" + name.upper(),
                ]
            )
            if owner_key(clean(v)) == owner_key(name):
                return v
        return name

    def rect(self, x0, y0, x1, y1):
        pts = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
        k = self.r.randrange(4)
        pts = pts[k:] + pts[:k]
        if self.chance(0.3):
            pts.reverse()
        return "POLYGON ((" + ", ".join(f"{x} {y}" for x, y in pts + pts[:1]) + "))"

    def big(self):
        """An area, as WKT, which covers the whole place."""
        k = self.r.random()
        if k < 0.7:
            return self.rect(-20, -20, 60, 50)
        if k < 0.85:
            return (
                "MULTIPOLYGON (((-20 -20, 10 -20, 10 50, -20 50, -20 -20)), ((10.02 -20, 60 -20, 60 50, 10.02 50, 10.02 -20)))"
                if self.chance(0.05)
                else "MULTIPOLYGON (((-20 -20, 10 -20, 10 50, -20 50, -20 -20)), ((11 60, 60 60, 60 61, 11 60)), "
                "((10.001 -20, 60 -20, 60 50, 10.001 50, 10.001 -20)))"
            )
        return "POLYGON ((-20 -20, 20 -21, 60 -20, 60 50, 20 51, -20 50, -20 -20))"

    # base
    def build(self):
        r, T, z = self.r, self.T, self.z
        self.rule_set = "default" if self.chance(0.45) else self.id("House")
        if self.rule_set != "default":
            for _ in range(r.choice([1, 1, 2, 3])):
                self.add_rule(gentle=True)
        names = r.sample(OWNERS, r.choice([1, 2, 2, 3]))
        self.owners = names
        s1 = self.add(
            "sites",
            site=self.id("S"),
            name="Main, yard",
            time_zone=self.zn,
            rule_set=self.rule_set,
            owners_to_ask=" ; ".join(self.variant(n) for n in names if self.chance(0.8)),
        )
        self.s1 = s1["site"]
        self.s2 = None
        if self.chance(0.3):
            self.s2 = self.add("sites", site=self.id("S"), name="Other", time_zone=self.pick(ZONE_DAYS), rule_set=self.pick(["default", self.rule_set]))["site"]
        # people
        self.op, self.iss, self.rec, *self.crew = [
            self.add(
                "people",
                person=self.id("P"),
                name=self.pick(["Ana", "Bo Ö", "Chi, Jr", "Dé"]) + f" {i}",
                roles=self.pick(["", "operator", "supervisor; operator"]),
            )["person"]
            for i in range(r.choice([5, 5, 6, 7]))
        ]
        self.courses = {}
        for name, auth in [
            ("loc", TECH),
            ("iss", ["issue_permit"]),
            ("rec", ["receive_permit"]),
            ("dig", ["dig"]),
            ("rec+dig", ["receive_permit", "dig"]),
            ("pas", TECH[:2]),
            ("act", TECH[2:]),
        ]:
            auth = list(auth)
            r.shuffle(auth)
            self.courses[name] = self.add(
                "courses",
                course=self.id("C"),
                title=name,
                authorises=self.pick([";", " ; "]).join(auth),
                valid_months=self.pick(["none", "none", "none", "24", "36", "36", self.pick(["1", "6", "12"])]),
            )["course"]
        self.award(self.op, "loc" if self.chance(0.7) else "pas")
        if not any(a["course"] == self.courses["loc"] for a in self.t["awards"]):
            self.award(self.op, "act")
        self.award(self.iss, "iss")
        self.award(self.rec, self.pick(["rec", "rec+dig"]))
        for p in self.crew:
            self.award(p, self.pick(["dig", "rec+dig"]))
        if self.chance(0.5):
            self.award(self.rec, "dig")
        # instruments
        self.ins = {}
        for kind in ("receiver", "transmitter", "clamp", "sonde"):
            self.ins[kind] = [self.instrument(kind)]
        if self.chance(0.3):
            self.ins["receiver"].append(self.instrument("receiver"))
        # enquiries
        self.started = T - self.pick([HOUR, 2 * HOUR, 3 * HOUR, 6 * HOUR, 10 * HOUR, 24 * HOUR, 26 * HOUR, 48 * HOUR, 72 * HOUR, 5 * DAY])
        if self.chance(0.15):
            self.started = z.start(z.day(self.started))
            if self.started >= T:
                self.started = T - 3 * HOUR
        self.earliest = self.started
        for n in names:
            self.enquiry(n)
        # locates
        self.locs = [self.locate(self.s1, self.started)["locate"]]
        if self.chance(0.35):
            self.locs.append(self.locate(self.s1, self.started + self.pick([0, 0, 60, -1, -HOUR]))["locate"])
        # permits
        for _i in range(r.choice([2, 2, 3, 3, 4, 5, 6])):
            self.permit()

    def award(self, person, course, **over):
        _T, today = self.T, self.today
        cid = self.courses[course]
        m = self.find("courses", cid)["valid_months"]
        back = self.pick([10, 20, 40, 100, 300])
        if m != "none":
            back = min(back, int(m) * 28 - 1)
        back = max(back, 7) if m == "1" else back
        on = today - timedelta(days=back)
        if m != "none" and self.chance(0.12):
            # runs out exactly today or tomorrow, counted in months
            for d in range(0, 40):
                on2 = today - timedelta(days=int(m) * 30 + d - 10)
                if plus_months(on2, int(m)) == today + timedelta(days=self.pick([0, 1])):
                    on = on2
                    break
        ex = None
        if self.chance(0.2):
            lim = plus_months(on, int(m)) if m != "none" else today + timedelta(days=370)
            ex = min(lim, today + timedelta(days=self.pick([0, 1, 2, 6, 29, 30, 31, 60, 90, 350, 350])))
        row = {"award": self.id("A"), "person": person, "course": cid, "awarded_on": on.isoformat(), "expires_on": ex.isoformat() if ex else None}
        row.update(over)
        return self.add("awards", **row)

    def instrument(self, kind):
        today = self.today
        m = self.pick(["12", "12", "6", "none"])
        i = self.add(
            "instruments",
            instrument=self.id("I"),
            kind=kind,
            serial_no=str(self.r.randrange(10**6)),
            calibration_months=m,
            self_test_days=self.pick(["none"] * 6 + ["7", "30", "1", "60", "90"]),
        )
        iid = i["instrument"]
        if m != "none" or self.chance(0.4):
            on = today - timedelta(days=self.pick([8, 20, 60, 150]))
            due = None
            if m != "none" and self.chance(0.3):
                due = min(plus_months(on, int(m)), today + timedelta(days=self.pick([0, 1, 29, 30, 31, 100])))
            self.add(
                "calibrations",
                calibration=self.id("K"),
                instrument=iid,
                calibrated_on=on.isoformat(),
                due_on=due.isoformat() if due else None,
                as_found=self.pick(["in_tolerance", "in_tolerance", "not_measured"]),
                as_left="in_tolerance",
            )
        return iid

    def enquiry(self, owner):
        T, z = self.T, self.z
        ans = min(self.earliest, T) - self.pick([0, 0, 1, 60, HOUR, DAY, 5 * DAY, 10 * DAY, 20 * DAY])
        d = z.day(ans)
        gt = None
        if self.chance(0.35):
            gt = max(d, self.today + timedelta(days=self.pick([0, 1, 3, 30, 200])))
        e = self.add(
            "enquiries",
            enquiry=self.id("E"),
            site=self.s1,
            service_owner=self.variant(owner),
            sent_on=(d - timedelta(days=self.pick([0, 1, 7]))).isoformat(),
            area=None if self.chance(0.5) else self.big(),
            answered_at=self.iso(ans),
            good_through=gt.isoformat() if gt else None,
        )
        k = self.pick([0, 1, 1, 2])
        if k == 0:
            e["nothing_shown"] = "yes"
        for _ in range(k):
            self.add("plan_services", service=self.id("V"), enquiry=e["enquiry"], utility=self.pick(UTIL), conductive=self.pick(["yes", "yes", "no"]))
        return e

    def line(self):
        r = self.r
        k = r.random()
        if k < 0.35:
            y = r.choice([6, 7, 8.5, 10, 12])
            return f"LINESTRING (-5 {y}, 35 {y})"
        if k < 0.7:
            x = r.choice([9.5, 10, 12, 13.25, 18])
            return f"LINESTRING ({x} -5, {x} 25)"
        if k < 0.85:
            return r.choice(["LINESTRING (0 0, 30 20)", "LINESTRING (-2 18.5, 31 1.5)", "LINESTRING (5 22, 15 9, 28 -4)"])
        return r.choice(["LINESTRING (-5 5, 11 5, 11 15, 35 15)", "LINESTRING (0 4, 12 9, 14 9, 14 10.5, 30 10.5)", "LINESTRING (0 0, 20 15, 20 0, 5 14)"])

    def trace(self, lid, services, util, conductive):
        tech = self.pick(["induction", "induction", "direct_connection", "clamp", "exposed"]) if conductive else self.pick(["sonde", "sonde", "exposed"])
        return self.trace_row(lid, services, util, tech)

    def trace_row(self, lid, services, util, tech):
        depth = by = raised = None
        if self.chance(0.75) or tech == "induction":
            if not tech.startswith("passive") or self.chance(0.3):
                depth = Decimal(self.pick(["0.45", "0.8", "1", "1.25", "1.999", "2.0", "2.000"]))
                if self.chance(0.8):
                    by = Decimal(self.pick(["0.5", "0.3", "0.501"]))
                    tol = max(Decimal("0.05"), Decimal("0.05") * depth)
                    off = self.pick([Decimal(0), Decimal("0.03"), Decimal("-0.049"), Decimal("0.05"), Decimal("-0.05"), tol, -tol])
                    raised = (depth + by + off).quantize(Decimal("0.001"))
        q = "A" if tech == "exposed" else self.pick("CD") if tech.startswith("passive") else self.pick("BBCD")
        width = self.pick([None, "0.1", "0.315", "1", "0.001"])
        if width is None and util not in ("electricity", "telecom") and self.chance(0.7):
            width = "0.2"

        def f(d):
            return None if d is None else str(d)

        return self.add(
            "traces",
            trace=self.id("T"),
            locate=lid,
            utility=util,
            technique=tech,
            line=self.line(),
            quality_level=q,
            width_m=width,
            depth_m=f(depth),
            raised_by_m=f(by),
            raised_depth_m=f(raised),
            services=";".join(services),
        )

    def locate(self, site, started):
        T, z = self.T, self.z
        fin = min(T, started + self.pick([HOUR, HOUR + 1, 2 * HOUR, 5 * HOUR, 24 * HOUR, 24 * HOUR]))
        if fin <= started:
            fin = started + HOUR
        lid = self.id("L")
        rec = self.pick(self.ins["receiver"])
        row = self.add("locates", locate=lid, site=site, operator=self.op, receiver=rec, started_at=self.iso(started), finished_at=self.iso(fin))
        for tech in TECH[:2]:
            b = self.pick([0, 0, 10, "33.5", 300])
            b2 = (Decimal(b) + self.pick([60, 90, 90, 120, 240, 300, 270, 61])) % 360
            if self.chance(0.15):  # no sweep in one piece
                self.add("sweeps", sweep=self.id("W"), locate=lid, technique=tech, area=self.rect(-20, -20, 60, 9), bearing_deg=str(b))
                self.add("sweeps", sweep=self.id("W"), locate=lid, technique=tech, area=self.rect(-20, 9, 60, 50), bearing_deg=str(b))
            else:
                self.add(
                    "sweeps", sweep=self.id("W"), locate=lid, technique=tech, area=self.big(), bearing_deg=str(b), spacing_m=self.pick([None, "1", "0.75"])
                )
            self.add("sweeps", sweep=self.id("W"), locate=lid, technique=tech, area=self.big(), bearing_deg=str(b2))
        svs = [s for s in self.t["plan_services"] if self.find("enquiries", s["enquiry"])["site"] == site]
        for s in svs:
            if self.chance(0.85):
                self.trace(lid, [s["service"]], s["utility"], s["conductive"] == "yes")
                if self.chance(0.6):
                    self.add("outcomes", locate=lid, service=s["service"], outcome="outside_dig", note="drawn, seen by Ana")
            else:
                self.add("outcomes", locate=lid, service=s["service"], outcome="outside_dig", note="says so")
        if self.chance(0.25):
            self.trace_row(lid, [], self.pick(UTIL), self.pick([*TECH, "exposed"]))
        used = {t["technique"] for t in self.t["traces"] if t["locate"] == lid}
        if "induction" in used or self.chance(0.2):
            self.add(
                "sweeps",
                sweep=self.id("W"),
                locate=lid,
                technique="induction",
                area=self.big(),
                transmitter_offset_m=self.pick(["3.75", "3.750", "4", "5"]),
                bearing_deg=self.pick([None, "45"]),
            )
            used.add("induction")
        if used & {"induction", "direct_connection", "clamp"} or self.chance(0.3):
            row["transmitter"] = self.ins["transmitter"][0]
        if "clamp" in used or self.chance(0.2):
            row["clamp"] = self.ins["clamp"][0]
        if "sonde" in used or self.chance(0.2):
            row["sonde"] = self.ins["sonde"][0]
        for k in ("receiver", "transmitter", "clamp", "sonde"):
            if row.get(k):
                self.check(row[k], "before_use", started - self.pick([0, 1, 600, HOUR, 12 * HOUR, 12 * HOUR, 6 * HOUR]))
                d = self.find("instruments", row[k])["self_test_days"]
                if d != "none":
                    when = z.start(max(self.today - timedelta(days=int(d)), z.day(started) - timedelta(days=1)))
                    self.check(row[k], "self_test", min(started, when + self.pick([0, HOUR, 100])))
                    if z.day(started) > self.today - timedelta(days=int(d)):
                        pass
                    else:
                        self.check(row[k], "self_test", T - self.pick([0, 1, 60]))
        return row

    def check(self, iid, kind, t, result="pass"):
        return self.add("checks", check=self.id("Q"), instrument=iid, kind=kind, checked_at=self.iso(t), person=self.op, result=result)

    def outline(self):
        r = self.r
        k = r.random()
        if k < 0.5:
            return self.rect(r.choice([4, 8, 9]), r.choice([2, 4, 5.5]), r.choice([19, 20, 24.5]), r.choice([13, 14, 16.25]))
        if k < 0.62:
            x, y = r.choice([(9, 5), (10, 8), (12.5, 9.75), (25, 18), (-3, 21)])
            w, h = r.choice([(2, 2), (0.5, 0.5), (0.2, 0.1), (1, 0.25), (3, 1.5), (0.11, 0.1)])
            return self.rect(x, y, round(x + w, 4), round(y + h, 4))
        if k < 0.68:
            return self.rect(0, 0, 0.1, 0.1) if self.chance(0.5) else self.rect(0, 0, 0.2, 0.05)
        if k < 0.8:
            return r.choice(
                [
                    "POLYGON ((6 3, 22 5, 18 15, 8 13, 6 3))",
                    "POLYGON ((5 5, 15 5, 10 13.5, 5 5))",
                    "POLYGON ((2 2, 20 2, 20 14, 16 14, 16 6, 2 6, 2 2))",
                    "POLYGON ((26 1, 33 2.5, 30 7, 26 1))",
                ]
            )
        # bordering lines or exactly at the edge of their zones
        return r.choice(
            [
                self.rect(10, 2, 14, 6),
                self.rect(12, 12, 16, 15),
                self.rect(13, 8.5, 17, 10),
                self.rect(10.85, 13, 13, 15),
                self.rect(9, 7.8, 12, 9.2),
                self.rect(14, 8, 15, 9),
                self.rect(12.8, 2, 13.2, 8),
            ]
        )

    def permit(self):
        T = self.T
        crew = self.r.sample(self.crew, self.r.randint(1, len(self.crew)))
        vf = T + self.pick([0, 0, -HOUR, HOUR, -24 * HOUR, 60, -2 * HOUR])
        row = self.add(
            "permits",
            permit=self.id("PT"),
            site=self.s1,
            locate=self.pick(self.locs),
            work="Joint pit\nno. 3",
            outline=self.outline(),
            depth_m=self.pick(["1.2", "0.6", "2", "0.125", "3.333"]),
            method=self.pick(["hand", "hand", "vacuum", "machine", "machine", "bore"]),
            valid_from=self.iso(vf),
            valid_to=self.iso(vf + 8 * HOUR),
            issuer=self.iss,
            receiver=self.rec,
            crew=";".join(crew),
        )
        self.fit(row)
        return row

    def fit(self, row):
        """Set valid_to to suit what the permit rests on, often exactly at the limit."""
        T = self.T
        try:
            g = Gate(self.t, T)
            g.assess(row)
            limits = g.limits()
        except Exception:
            return
        vf = g.vf
        others = [e for e, s in limits if s != "permit"]
        cap = min([vf + int(g.n["permit_max_hours"]) * HOUR, *others])
        if cap <= max(T, vf):
            return
        vt = self.pick([cap, cap, min(cap, max(T, vf) + 8 * HOUR), min(cap, T + 48 * HOUR), cap - 1])
        if self.chance(0.04):
            vt = cap + 1
        if vt > max(vf, T):
            row["valid_to"] = self.iso(vt)

    # -------------------------------------------------------------- rules
    def add_rule(self, gentle=False):
        r = self.r
        if self.rule_set == "default":
            self.rule_set = self.id("House")
            self.t["sites"][0]["rule_set"] = self.rule_set
        key = r.choice(list(RULES))
        values = {
            "plan_valid_days": ["28", "14", "60", "366", "1"],
            "locate_valid_days": ["14", "7", "30", "1", "28"],
            "locate_max_hours": ["24", "12", "48", "168", "1"],
            "permit_max_hours": ["168", "72", "744", "24", "8"],
            "sweep_margin_m": ["1.0", "0", "0.5", "2", "1.5", "10"],
            "two_directions": ["yes", "no"],
            "transmitter_min_offset_m": ["3.75", "4", "3", "0", "3.751"],
            "induction_max_depth_m": ["2.0", "1", "3", "1.25", "1.999"],
            "check_valid_hours": ["12", "6", "24", "1", "48"],
            "depth_tolerance_m": ["0.05", "0", "0.1", "0.049", "0.03"],
            "depth_tolerance_ratio": ["0.05", "0", "0.1", "0.025", "0.049"],
            "hand_dig_m": ["0.5", "1", "0.1", "0.75", "0.3"],
            "position_tolerance_A_m": ["0.05", "0", "0.1"],
            "position_tolerance_B_m": ["0.3", "0.25", "0.5", "0"],
            "position_tolerance_C_m": ["1.0", "0.9", "1.5"],
            "position_tolerance_D_m": ["2.0", "2", "3", "1.5"],
            "due_soon_days": ["30", "14", "60", "1", "31"],
        }[key]
        if gentle:
            key2 = key
            values = (
                values[:4]
                if key2 not in ("locate_max_hours", "check_valid_hours", "permit_max_hours", "plan_valid_days")
                else [values[0], values[2], values[3]]
            )
        when = self.pick([-400, -30, -1, 0, 0, 1, 1, 2, 5, 8, 40, -2000])
        if gentle and not self.t["rules"]:
            when = -400
        row = {"rule_set": self.rule_set, "effective_from": self.day(when), "key": key, "value": self.pick(values), "source": self.pick(["", "House rule 7"])}
        if not any((x["rule_set"], x["effective_from"], x["key"]) == (row["rule_set"], row["effective_from"], row["key"]) for x in self.t["rules"]):
            self.add("rules", **row)

    # -------------------------------------------------------------- mutations
    def near(self, extra=()):
        """A day worth trying."""
        z = self.z
        sd = (z.day(self.started) - self.today).days
        return self.day(self.pick([0, 0, -1, -1, 1, 1, sd, sd - 1, sd + 1, 2, -2, 6, 30, 31, -28, -29, -14, -15, 29, *list(extra)]))

    def near_t(self, lo=None):
        z, T, s = self.z, self.T, self.started
        l = self.find("locates", self.locs[0])
        f = to_instant(l.get("finished_at") or "") or T
        return self.pick(
            [
                T,
                T,
                T + 1,
                T - 1,
                s,
                s,
                s + 1,
                s - 1,
                f,
                f + 1,
                f - 1,
                s - 12 * HOUR,
                s - 12 * HOUR - 1,
                s - 12 * HOUR + 1,
                s - HOUR,
                z.start(self.today),
                z.start(self.today) - 1,
                z.start(z.day(s)),
                T + HOUR,
                (s + f) // 2,
                z.start(z.day(s) + timedelta(days=1)),
                (f + T) // 2,
            ]
        )

    def mutate(self):
        names = [n for n in dir(self) if n.startswith("m_")]
        weights = [getattr(self, n).__func__.__dict__.get("w", 2) for n in names]
        name = self.r.choices(names, weights)[0]
        keep = copy.deepcopy(self.t)
        keep_rs, keep_locs = self.rule_set, list(self.locs)
        try:
            getattr(self, name)()
            ok = not validate(self.t)
        except (IndexError, KeyError, OverflowError, ValueError):
            ok = False
        if not ok:
            self.t, self.rule_set, self.locs = keep, keep_rs, keep_locs
            return None
        return name

    def P(self):
        return self.pick(self.t["permits"])

    def L(self):
        used = {p.get("locate") for p in self.t["permits"]}
        return self.pick([l for l in self.t["locates"] if l["locate"] in used])

    def cur(self, xs):
        """Rows of the first locate, mostly."""
        xs = list(xs)
        mine = [x for x in xs if x["locate"] == self.locs[0]]
        return self.pick(mine or xs)

    def m_rule(self):
        for _ in range(self.pick([1, 1, 2])):
            self.add_rule()

    def m_rule_exact(self):
        """A number set to exactly what is needed, or one less; from before, from the day of T, or from tomorrow."""
        z, T = self.z, self.T
        l, p, e = self.L(), self.P(), self.E()
        s = to_instant(l["started_at"])
        f = to_instant(l.get("finished_at")) or T
        k = self.r.randrange(5)
        if k == 0:
            key, v = "locate_valid_days", (self.today - z.day(f)).days - self.pick([0, 1])
        elif k == 1 and e.get("answered_at"):
            e.pop("good_through", None)
            key, v = "plan_valid_days", (self.today - z.day(to_instant(e["answered_at"]))).days - self.pick([0, 1])
        elif k == 2:
            key, v = "locate_max_hours", (f - s) // HOUR - self.pick([0, 0, 1])
        elif k == 3:
            c = self.pick([c for c in self.t["checks"] if c["instrument"] == l["receiver"]])
            key, v = "check_valid_hours", (s - to_instant(c["checked_at"])) // HOUR - self.pick([0, 1])
        else:
            key, v = "permit_max_hours", (to_instant(p["valid_to"]) - to_instant(p["valid_from"])) // HOUR - self.pick([0, 0, 1])
        if self.rule_set == "default":
            self.add_rule(gentle=True)
        self.t["rules"] = [x for x in self.t["rules"] if x["key"] != key]
        self.add("rules", rule_set=self.rule_set, effective_from=self.day(self.pick([-9, -1, 0, 0, 1])), key=key, value=str(v))

    m_rule_exact.w = 5

    def m_left_caution(self):
        d = (self.today - self.z.day(self.started)).days
        if d < 1:
            self.started -= 2 * DAY
            l = self.find("locates", self.locs[0])
            self.shift(l, -2 * DAY)
            d = (self.today - self.z.day(to_instant(l["started_at"]))).days
        self.find("people", self.op)["left_on"] = self.day(-self.pick([1, d, d, d + 1, 0]))

    m_left_caution.w = 2

    def m_outcome_only(self):
        o = self.cur(self.t["outcomes"])
        for t in self.t["traces"]:
            if t["locate"] == o["locate"] and o["service"] in items(t, "services") and self.chance(0.85):
                t["services"] = ";".join(x for x in items(t, "services") if x != o["service"])
        o["outcome"] = self.pick(["not_found", "not_found", "outside_dig"])
        if self.chance(0.6):
            self.P()["method"] = self.pick(["hand", "vacuum", "machine"])

    m_outcome_only.w = 4

    def m_window(self):
        p = self.P()
        T = self.T
        vf, vt = to_instant(p["valid_from"]), to_instant(p["valid_to"])
        k = self.pick([0, 1, 2, 2, 3, 3, 4, 5, 6, 6, 7, 8, 9])
        if k == 0:
            vt = vf
        elif k == 1:
            vt = vf - self.pick([1, DAY])
        elif k == 2:
            vt = T
            vf = min(vf, T - self.pick([1, HOUR]))
        elif k == 3:
            vf, vt = T - 30 * HOUR, T - self.pick([1, 3600])
        elif k == 4:
            vt = vf + 168 * HOUR + self.pick([0, 1, 1])
        elif k in (5, 6):
            vf = T - 24 * HOUR - self.pick([0, 1, 1, HOUR])
        elif k == 7:
            vt = vt + self.pick([1, DAY, 30 * DAY])
        elif k == 8:
            vf = T + self.pick([DAY, 10 * DAY, 40 * DAY])
            vt = vf + 8 * HOUR
        else:
            vt = T + 1
        p["valid_from"], p["valid_to"] = self.iso(vf), self.iso(vt)

    m_window.w = 5

    def m_people_roles(self):
        p = self.P()
        k = self.r.randrange(5)
        if k == 0:
            p["issuer"] = p["receiver"]
            if self.chance(0.6):
                self.award(p["receiver"], "iss")
        elif k == 1:
            p["crew"] = p["crew"] + ";" + p["issuer"]
            if self.chance(0.6):
                self.award(p["issuer"], "dig")
        elif k == 2:
            p.pop("crew", None)
        elif k == 3:
            p["crew"] = p["receiver"]
        else:
            p[self.pick(["issuer", "receiver"])] = self.pick(self.t["people"])["person"]

    m_people_roles.w = 4

    def m_permit_other(self):
        p = self.P()
        k = self.r.randrange(6)
        if k == 0:
            p.pop("locate", None)
        elif k in (1, 2):
            p["outline"] = self.outline()
        elif k == 3:
            p["method"] = self.pick(["hand", "vacuum", "machine", "bore"])
        elif k == 4:
            p["depth_m"] = self.pick(["0.001", "100", "1.005", "0.333"])
        elif self.s2:
            p["site"] = self.s2

    m_permit_other.w = 3

    def m_new_permit(self):
        self.permit()

    def m_s2_enquiry(self):
        """Bring the other site to something worth judging: an enquiry there and a permit."""
        if not self.s2:
            return
        d = self.today - timedelta(days=3)
        self.add(
            "enquiries",
            enquiry=self.id("E"),
            site=self.s2,
            service_owner=self.variant(self.owners[0]),
            sent_on=d.isoformat(),
            answered_at=self.iso(self.started - self.pick([0, 5, HOUR])),
            nothing_shown="yes",
        )
        self.P()["site"] = self.s2

    def m_locate_site(self):
        l = self.L()
        if not self.s2 or self.chance(0.4):
            l2 = self.locate("", self.started)
            l2["site"] = self.s2 or self.add("sites", site=self.id("S"), name="Other", time_zone=self.pick(ZONE_DAYS), rule_set="default")["site"]
            self.P()["locate"] = l2["locate"]
        elif (
            self.s2
            and not any(t["locate"] == l["locate"] and t.get("services") for t in self.t["traces"])
            and not any(o["locate"] == l["locate"] for o in self.t["outcomes"])
        ):
            l["site"] = self.s2

    m_locate_site.w = 1

    # plans
    def E(self):
        return self.pick(self.t["enquiries"])

    def drop_services(self, e):
        gone = {s["service"] for s in self.t["plan_services"] if s["enquiry"] == e["enquiry"]}
        self.t["plan_services"] = [s for s in self.t["plan_services"] if s["service"] not in gone]
        self.t["outcomes"] = [o for o in self.t["outcomes"] if o["service"] not in gone]
        for f, c in (("traces", "services"), ("plan_services", "same_as")):
            for x in self.t[f]:
                if x.get(c):
                    x[c] = ";".join(s for s in items(x, c) if s not in gone)

    def m_plan_gone(self):
        es = self.t["enquiries"] if self.chance(0.3) else [self.E()]
        for e in list(es):
            self.drop_services(e)
            self.t["enquiries"].remove(e)
            for o in self.t["enquiries"]:
                if o.get("replaces"):
                    o["replaces"] = ";".join(x for x in items(o, "replaces") if x != e["enquiry"])

    m_plan_gone.w = 1

    def m_plan_unanswered(self):
        e = self.E()
        self.drop_services(e)
        for k in ("answered_at", "good_through", "nothing_shown"):
            e.pop(k, None)
        if self.chance(0.6):
            e["closed_on"], e["closed_because"] = self.near(), "gave up"

    m_plan_unanswered.w = 2

    def m_plan_open_more(self):
        """One more enquiry to an owner, unanswered or closed, or to an owner nobody asked for."""
        o = self.pick([*self.owners, self.pick(OWNERS)])
        e = self.add("enquiries", enquiry=self.id("E"), site=self.s1, service_owner=self.variant(o), sent_on=self.near())
        if self.chance(0.5):
            e["closed_on"], e["closed_because"] = self.near(), "no reply"
        elif self.chance(0.4):
            e2 = self.add("enquiries", enquiry=self.id("E"), site=self.s1, service_owner=self.variant(o), sent_on=e["sent_on"])
            if self.chance(0.3):
                e2["replaces"] = e["enquiry"]

    def m_plan_closed_owner(self):
        o = self.pick([x for x in OWNERS if x not in self.owners])
        for _ in range(self.pick([1, 2])):
            e = self.add("enquiries", enquiry=self.id("E"), site=self.s1, service_owner=self.variant(o), sent_on=self.day(-40))
            e["closed_on"], e["closed_because"] = self.day(self.pick([-3, 0, -1, 0, 1, -40])), "gave up"

    def m_plan_time(self):
        e = self.E()
        if not e.get("answered_at"):
            return
        k = self.r.randrange(5)
        if k == 0:
            e["answered_at"] = self.iso(self.near_t())
        elif k == 1:
            e["good_through"] = self.near()
        elif k == 2:
            e.pop("good_through", None)
            d = self.today - timedelta(days=self.pick([28, 29, 28, 27]))
            e["answered_at"] = self.iso(self.z.start(d) + self.pick([0, 1, 10 * HOUR]))
            e["sent_on"] = (d - timedelta(days=1)).isoformat()
        elif k == 3:
            e["sent_on"] = self.near()
        else:
            t = self.near_t()
            e["answered_at"] = self.iso(t)
            e["sent_on"] = self.z.day(t).isoformat()
            e.pop("good_through", None)

    m_plan_time.w = 4

    def part_areas(self):
        p = wkt.loads(self.P()["outline"])
        x0, y0, x1, y1 = p.bounds

        def f(v):
            return round(v, 4)

        return self.pick(
            [
                (f(x0 - 1), f(y0 - 1), f(x1 + 1), f(y1 + 1)),
                (f(x0), f(y0), f(x1), f(y1)),
                (f(x1), y0 - 3, f(x1 + 9), f(y1 + 3)),
                (f(x1 + 1), f(y0), f(x1 + 5), f(y1)),
                (-20, -20, f((x0 + x1) / 2), 50),
                (-20, -20, f(x1 + 0.99), 50),
                (-20, -20, 60, f(y1)),
                (-20, -20, f(x1 + 0.995), 50),
                (f(x0 - 1), f(y0 - 1), 60, 50),
                (50, 40, 60, 50),
                (f(x0 - 0.999), f(y0 - 0.999), f(x1 + 1), f(y1 + 1)),
                (f(x0 - 1), f(y0 - 1), f(x1 + 1), f(y1 + 0.999)),
                (-20, -20, 60, f(y0 + 0.9 * (y1 - y0))),
                (f(x0), f(y1), f(x1), f(y1 + 4)),
            ]
        )

    def m_plan_lapse(self):
        """Answers which ended just by T, or end just after it."""
        e = self.E()
        if not e.get("answered_at"):
            return
        t = min(to_instant(e["answered_at"]), self.T - self.pick([DAY, 3 * DAY, 28 * DAY]))
        e["answered_at"] = self.iso(t)
        d = self.z.day(t)
        e["sent_on"] = min(e["sent_on"], d.isoformat())
        e["good_through"] = max(d, self.today - timedelta(days=self.pick([1, 1, 0, 2]))).isoformat()

    m_plan_lapse.w = 3

    def m_plan_area(self):
        e = self.E()
        e["area"] = self.rect(*self.part_areas())

    def m_plan_two_areas(self):
        e = self.E()
        if not e.get("answered_at"):
            return
        cut = self.pick([10, 12, 9.5, 15])
        e["area"] = self.rect(-20, -20, cut, 50)
        n = dict(e)
        n["enquiry"] = self.id("E")
        n["service_owner"] = self.variant(clean(e["service_owner"]))
        n["area"] = self.rect(self.pick([cut, cut, cut - 1, cut + 0.002, cut + 1]), -20, 60, 50)
        n.pop("replaces", None)
        n["nothing_shown"] = "yes"
        if self.chance(0.3):
            n["answered_at"] = self.iso(self.near_t())
            n.pop("good_through", None)
        if self.chance(0.3):
            n["good_through"] = self.near()
        self.t["enquiries"].append(n)

    def m_plan_entered(self):
        e = self.E()
        if e.get("nothing_shown") and self.chance(0.5):
            e.pop("nothing_shown") if self.chance(0.5) else e.update(nothing_shown="no")
        elif e.get("answered_at"):
            self.drop_services(e)

    def m_service_add(self):
        e = self.E()
        e.pop("nothing_shown", None)
        s = self.add("plan_services", service=self.id("V"), enquiry=e["enquiry"], utility=self.pick(UTIL), conductive=self.pick(["yes", "no"]))
        if self.chance(0.6):
            for l in self.t["locates"]:
                k = self.r.random()
                if k < 0.3:
                    self.add("outcomes", locate=l["locate"], service=s["service"], outcome="not_found", note="nothing heard")
                elif k < 0.6:
                    self.add("outcomes", locate=l["locate"], service=s["service"], outcome="outside_dig", note="owner said so")
                else:
                    t = self.pick(self.t["traces"])
                    if t["locate"] == l["locate"]:
                        t["services"] = ";".join([*items(t, "services"), s["service"]])

    def m_owner_asked(self):
        s = self.t["sites"][0]
        s["owners_to_ask"] = ";".join([x for x in [s.get("owners_to_ask")] if x] + [self.variant(self.pick(OWNERS))])

    m_owner_asked.w = 1

    def m_replace(self):
        """A newer answer takes an older one's place; its services are the same, or dropped."""
        old = self.E()
        n = {
            "enquiry": self.id("E"),
            "site": old["site"],
            "service_owner": self.variant(clean(old["service_owner"])),
            "sent_on": old["sent_on"],
            "replaces": old["enquiry"],
        }
        if old.get("replaces") and self.chance(0.4):
            n["replaces"] += ";" + old["replaces"]
        base = to_instant(old.get("answered_at") or "") or self.started
        t = self.pick([base + 1, base + HOUR, self.near_t(), self.near_t(), self.T, base])
        if self.chance(0.85):
            n["answered_at"] = self.iso(t)
        if old.get("area") and self.chance(0.5):
            n["area"] = old["area"]
        if self.chance(0.2) and n.get("answered_at"):
            n["good_through"] = self.near()
        self.t["enquiries"].append(n)
        if n.get("answered_at"):
            k = 0
            for s in list(self.t["plan_services"]):
                if s["enquiry"] == old["enquiry"] and self.chance(0.7):
                    same = s["service"]
                    if s.get("same_as") and self.chance(0.3):
                        same = s["same_as"] if self.chance(0.5) else same + ";" + s["same_as"]
                    self.add("plan_services", service=self.id("V"), enquiry=n["enquiry"], utility=s["utility"], conductive=s["conductive"], same_as=same)
                    k += 1
            if k == 0:
                n["nothing_shown"] = "yes"
        if self.chance(0.2):
            # an older one left open or closed
            pass

    m_replace.w = 6

    # locate
    def m_locate_time(self):
        l = self.L()
        T, z = self.T, self.z
        k = self.r.randrange(9)
        s = to_instant(l["started_at"])
        if k == 0:
            l.pop("finished_at", None)
        elif k == 1:
            l["finished_at"] = self.iso(T + self.pick([1, HOUR]))
        elif k == 2:
            l["finished_at"] = self.iso(T)
        elif k == 3:
            s2 = T + self.pick([1, 0, HOUR])
            l["started_at"] = self.iso(s2)
            if self.chance(0.5):
                l["finished_at"] = self.iso(s2 + HOUR)
            else:
                l.pop("finished_at", None)
        elif k == 4:
            l["finished_at"] = self.iso(s + 24 * HOUR + self.pick([0, 1]))
        elif k in (5, 6):
            n = self.pick([14, 15, 15, 13])
            f = z.start(self.today - timedelta(days=n)) + self.pick([0, -1, 12 * HOUR])
            self.shift(l, f - to_instant(l.get("finished_at") or l["started_at"]))
        elif k == 7:
            l.pop("finished_at", None)
            l["started_at"] = self.iso(T - 24 * HOUR - self.pick([0, 1]))
        else:
            l["started_at"] = self.iso(to_instant(l["finished_at"]) - self.pick([1, 24 * HOUR, 24 * HOUR + 1]))

    m_locate_time.w = 3

    def shift(self, l, by):
        """Move a locate with its checks and the answers before it."""
        ids = {l.get(k) for k in ("receiver", "transmitter", "clamp", "sonde")}
        l["started_at"] = self.iso(to_instant(l["started_at"]) + by)
        if l.get("finished_at"):
            l["finished_at"] = self.iso(to_instant(l["finished_at"]) + by)
        for c in self.t["checks"]:
            if c["instrument"] in ids and self.chance(0.9):
                c["checked_at"] = self.iso(to_instant(c["checked_at"]) + by)
        for e in self.t["enquiries"]:
            if e.get("answered_at") and self.chance(0.9):
                t = min(to_instant(e["answered_at"]), to_instant(l["started_at"]))
                e["answered_at"] = self.iso(t)
                e["sent_on"] = min(e["sent_on"], self.z.day(t).isoformat())
                if self.chance(0.8):
                    e["good_through"] = self.day(self.pick([0, 1, 20]))

    def m_locate_new(self):
        l = self.locate(self.s1, self.started + self.pick([0, 1, -HOUR]))
        self.locs.append(l["locate"])
        self.P()["locate"] = l["locate"]
        if self.s2 and self.chance(0.3):
            self.P()["site"] = self.s2

    m_locate_new.w = 1

    # sweeps
    def m_sweep_gone(self):
        self.t["sweeps"].remove(self.cur(self.t["sweeps"]))

    m_sweep_gone.w = 1

    def m_sweep_area(self):
        w = self.cur(self.t["sweeps"])
        w["area"] = self.rect(*self.part_areas())
        if self.chance(0.4):
            n = dict(w)
            n["sweep"] = self.id("W")
            n["area"] = self.rect(*self.part_areas())
            self.t["sweeps"].append(n)

    def m_sweep_all(self):
        """All sweeps of a technique gone, or all with the same areas."""
        l = self.L()["locate"]
        tech = self.pick(TECH[:2])
        if self.chance(0.35):
            self.t["sweeps"] = [w for w in self.t["sweeps"] if (w["locate"], w["technique"]) != (l, tech)]
            return
        a = self.rect(*self.part_areas())
        for w in self.t["sweeps"]:
            if (w["locate"], w["technique"]) == (l, tech):
                w["area"] = a
        if self.chance(0.4):
            self.add("sweeps", sweep=self.id("W"), locate=l, technique=tech, area=self.rect(*self.part_areas()), bearing_deg=self.pick([None, "12"]))

    m_sweep_all.w = 3

    def m_thin_strip(self):
        """Ground without a margin, left out by a strip of 0.05 m2 or a tenth of it, give or take."""
        self.t["rules"] = [x for x in self.t["rules"] if x["key"] != "sweep_margin_m"]
        if self.rule_set == "default":
            self.add_rule(gentle=True)
            self.t["rules"] = [x for x in self.t["rules"] if x["key"] != "sweep_margin_m"]
        self.add("rules", rule_set=self.rule_set, effective_from=self.day(self.pick([-9, 0])), key="sweep_margin_m", value=self.pick(["0", "0", "0.0", "0.5"]))
        p = self.P()
        w, h, strip = self.pick(
            [
                (10, 5, "0.01"),
                (10, 5, "0.011"),
                (8, 4, "0.0125"),
                (0.5, 0.5, "0.05"),
                (0.5, 0.5, "0.051"),
                (2, 0.25, "0.2"),
                (2, 0.2, "0.2"),
                (1, 0.5, "0.1"),
                (0.25, 0.25, "0.025"),
                (4, 2, "0.025"),
                (4, 2, "0.02502"),
            ]
        )
        p["outline"] = self.rect(8, 6, 8 + w, 6 + h)
        area = self.rect(-20, -20, 8 + w - float(strip), 50)
        k = self.r.random()
        if k < 0.5 and p.get("locate"):
            tech = self.pick(TECH[:2])
            xs = [x for x in self.t["sweeps"] if (x["locate"], x["technique"]) == (p["locate"], tech)]
            for x in xs if self.chance(0.6) else xs[:1]:
                x["area"] = area
        else:
            self.E()["area"] = area

    m_thin_strip.w = 3

    def m_sweep_bearing(self):
        w = self.cur([x for x in self.t["sweeps"] if x["technique"].startswith("passive")])
        mates = [x for x in self.t["sweeps"] if x["locate"] == w["locate"] and x["technique"] == w["technique"] and x is not w and x.get("bearing_deg")]
        if self.chance(0.2) or not mates:
            w.pop("bearing_deg", None)
        else:
            b = (
                Decimal(mates[0]["bearing_deg"])
                + Decimal(self.pick(["60", "59.999", "60.001", "120", "120.001", "119.999", "180", "0", "240", "239.999", "300", "300.001", "-60", "-59.999"]))
            ) % 360
            w["bearing_deg"] = str(b)

    def m_sweep_offset(self):
        xs = [x for x in self.t["sweeps"] if x["technique"] == "induction"]
        if not xs or self.chance(0.3):
            self.add(
                "sweeps",
                sweep=self.id("W"),
                locate=self.locs[0],
                technique="induction",
                area=self.big(),
                transmitter_offset_m=self.pick(["3.749", "3.75", None, "0"]),
            )
            l = self.find("locates", self.locs[0])
            if not l.get("transmitter") and self.chance(0.8):
                l["transmitter"] = self.ins["transmitter"][0]
                self.check(l["transmitter"], "before_use", to_instant(l["started_at"]) - 60)
        else:
            w = self.cur(xs)
            o = self.pick([None, "3.749", "3.74", "3.75", "0"])
            w.pop("transmitter_offset_m", None)
            if o:
                w["transmitter_offset_m"] = o

    def m_induction_part(self):
        w = self.cur([x for x in self.t["sweeps"] if x["technique"] == "induction"])
        w["area"] = self.rect(
            *self.pick(
                [
                    (-20, -20, 20, 50),
                    (-20, -20, 19.5, 50),
                    (8, 4, 60, 50),
                    (-20, 5, 60, 50),
                    (-20, -20, 60, 13.5),
                    (9, -20, 60, 50),
                    (-20, -20, 20.5, 14.6),
                    (8.5, 4.5, 19.9, 14),
                ]
            )
        )

    # traces
    def m_trace_gone(self):
        t = self.cur(self.t["traces"])
        if self.chance(0.5):
            self.t["traces"].remove(t)
            k = self.pick([None, "not_found", "not_found", "outside_dig"])
            for s in items(t, "services"):
                self.t["outcomes"] = [o for o in self.t["outcomes"] if (o["locate"], o["service"]) != (t["locate"], s)]
                if k:
                    self.add("outcomes", locate=t["locate"], service=s, outcome=k, note="nothing heard")
        else:
            t.pop("services", None)

    def m_not_found(self):
        o = self.cur(self.t["outcomes"])
        o["outcome"] = self.pick(["not_found", "outside_dig"])

    def m_trace_tech(self):
        t = self.cur(self.t["traces"])
        t["technique"] = self.pick([*TECH, "exposed", *TECH[:2]])
        t["quality_level"] = "A" if t["technique"] == "exposed" else self.pick("CD")

    def m_trace_depth(self):
        t = self.cur(self.t["traces"])
        d = self.pick([None, "2.001", "2", "1.6", "0.333", "3", "1.001"])
        for k in ("depth_m", "raised_by_m", "raised_depth_m"):
            t.pop(k, None)
        if d:
            t["depth_m"] = d
            if self.chance(0.7):
                by = Decimal(self.pick(["0.5", "0.25"]))
                tol = max(Decimal("0.05"), Decimal("0.05") * Decimal(d)).quantize(Decimal("0.001"))
                off = self.pick([0, tol, -tol, tol + Decimal("0.001"), -tol - Decimal("0.001")])
                t["raised_by_m"], t["raised_depth_m"] = str(by), str(Decimal(d) + by + off)

    def m_induction_deep(self):
        t = self.cur([t for t in self.t["traces"] if t["technique"] == "induction"])
        t["depth_m"] = self.pick(["2.001", "2", "2.5"])
        for k in ("raised_by_m", "raised_depth_m"):
            t.pop(k, None)

    def m_trace_line(self):
        t = self.cur(self.t["traces"])
        p = wkt.loads(self.P()["outline"])
        x0, y0, x1, y1 = p.bounds

        def f(v):
            return format(round(v, 4), "g") if abs(v) < 1000 else "0"

        segs = [
            (x1 + 1, y0, x1 + 1, y1),
            (x1 + 1, y0, x1 + 7, y0),
            (x1 + 1.5, y0, x1 + 1.5, y1),
            (x0, y0, x1, y0),
            (x0, y0 + 0.1, x0 + 0.3, y0 + 0.1),
            (x0 - 5, y0, x0 - 0.5, y0),
            (x0 - 5, y1, x0 - 0.501, y1),
            (x1, y0, x1 + 0.5, y0),
            (x0, y0, x0, y0 + 0.4),
            (x1 + 0.55, y0, x1 + 0.55, y1),
            (x1 + 0.8, y0 - 9, x1 + 0.8, y1 + 9),
            (40, 40, 41, 41),
            (x0 + 0.05, y0 + 0.05, x0 + 0.5501, y0 + 0.05),
            (x0 + 0.01, y0 - 30, x0 + 0.01, y1 + 30),
        ]
        a, b, c, d = self.pick(segs)
        t["line"] = f"LINESTRING ({f(a)} {f(b)}, {f(c)} {f(d)})"
        if self.chance(0.3):
            t["technique"], t["quality_level"] = "exposed", "A"

    m_trace_line.w = 3

    def m_trace_exposed(self):
        """All of a locate's traces exposed (a bore wants that), some of them stubs."""
        l = self.L()
        for t in self.t["traces"]:
            if t["locate"] == l["locate"]:
                t["technique"], t["quality_level"] = "exposed", "A"
                if self.chance(0.5):
                    p = wkt.loads(self.P()["outline"])
                    x0, y0, _x1, _y1 = p.bounds
                    n = self.pick([0.3, 0.49, 0.5, 0.499])
                    t["line"] = f"LINESTRING ({x0:g} {y0:g}, {round(x0 + n, 4):g} {y0:g})"
        for p in self.t["permits"]:
            if p.get("locate") == l["locate"] and self.chance(0.5):
                p["method"] = self.pick(["bore", "machine"])

    def m_trace_width(self):
        t = self.cur(self.t["traces"])
        w = self.pick([None, "0.6", "2", "0.1"])
        t.pop("width_m", None)
        if w:
            t["width_m"] = w
        if self.chance(0.4):
            t["utility"] = self.pick(UTIL)
        if t["technique"] != "exposed" and self.chance(0.4):
            t["quality_level"] = self.pick("CD")

    def m_trace_more(self):
        l = self.L()["locate"]
        ss = [s["service"] for s in self.t["plan_services"]]
        self.trace_row(l, self.r.sample(ss, min(len(ss), self.pick([0, 1, 1, 2]))), self.pick(UTIL), self.pick([*TECH, "exposed"]))

    # awards, people
    def m_award_gone(self):
        self.t["awards"].remove(self.pick(self.t["awards"]))

    m_award_gone.w = 1

    def m_award_withdrawn(self):
        a = self.pick(self.t["awards"])
        a["withdrawn_on"], a["withdrawn_because"] = self.near(), "failed the audit"
        if self.chance(0.5):
            n = dict(a)
            n["award"] = self.id("A")
            n.pop("expires_on", None)
            for k in ("withdrawn_on", "withdrawn_because"):
                n.pop(k)
            n["awarded_on"] = (to_date(a["withdrawn_on"]) + timedelta(days=self.pick([0, 0, 1, 1, -1, 2]))).isoformat()
            self.t["awards"].append(n)

    m_award_withdrawn.w = 4

    def m_award_dates(self):
        a = self.pick(self.t["awards"])
        k = self.r.randrange(5)
        if k == 0:
            a["awarded_on"] = self.near()
            a.pop("expires_on", None)
        elif k in (1, 2):
            a["expires_on"] = self.near()
        elif k == 3:
            m = self.find("courses", a["course"])["valid_months"]
            if m != "none":
                a.pop("expires_on", None)
                for d in range(80):
                    on = self.today - timedelta(days=int(m) * 30 + d - 20)
                    if plus_months(on, int(m)) == self.today + timedelta(days=self.pick([0, -1])):
                        a["awarded_on"] = on.isoformat()
                        break
        else:
            a["expires_on"] = self.near()
            n = dict(a)
            n["award"] = self.id("A")
            n["awarded_on"] = (to_date(a["expires_on"]) + timedelta(days=self.pick([0, 1, 1, 2, -1]))).isoformat()
            n.pop("expires_on")
            self.t["awards"].append(n)

    m_award_dates.w = 3

    def m_award_not_begun(self):
        a = self.pick(self.t["awards"])
        a["awarded_on"] = self.day(self.pick([1, 0, 1, 3]))
        a.pop("expires_on", None)
        for k in ("withdrawn_on", "withdrawn_because"):
            a.pop(k, None)

    m_award_not_begun.w = 2

    def m_award_lapse(self):
        """Ended just by T, ends just after it, or in the time of the locate."""
        who = self.pick([self.op, self.iss, self.rec, *self.crew])
        end = self.today - timedelta(days=self.pick([1, 1, 0, 2, (self.today - self.z.day(self.started)).days]))
        for a in self.t["awards"]:
            if a["person"] == who:
                a["expires_on"] = end.isoformat()
                a["awarded_on"] = min(to_date(a["awarded_on"]), end).isoformat()

    m_award_lapse.w = 4

    def m_award_later(self):
        who = self.pick([self.op, self.iss, self.rec, self.rec, *self.crew])
        for a in self.t["awards"]:
            if a["person"] == who:
                a["awarded_on"] = self.day(self.pick([0, 1, 1, 2]))
                for k in ("expires_on", "withdrawn_on", "withdrawn_because"):
                    a.pop(k, None)

    m_award_later.w = 3

    def m_award_overlap(self):
        """Another course for the same things, with its own withdrawal."""
        p = self.pick([self.op, self.rec, *self.crew])
        a = self.award(p, self.pick(["pas", "act", "loc"] if p == self.op else ["rec+dig", "dig"]))
        if self.chance(0.6):
            a["withdrawn_on"], a["withdrawn_because"] = self.near(), "fraud"

    def m_left(self):
        p = self.find("people", self.pick([self.op, self.op, self.iss, self.rec, *self.crew]))
        p["left_on"] = self.near()

    m_left.w = 3

    # instruments
    def I(self):
        on = {p.get("locate") for p in self.t["permits"]}
        used = [l.get(k) for l in self.t["locates"] if l["locate"] in on for k in ("receiver", "transmitter", "clamp", "sonde")]
        return self.find("instruments", self.pick([x for x in used if x]))

    def m_ins_missing(self):
        l = self.L()
        l.pop(self.pick(["transmitter", "clamp", "sonde"]), None)

    def m_ins_oos(self):
        i = self.I()
        i[self.pick(["out_of_service_from", "out_of_service_from", "hired_until"])] = self.near()

    m_ins_oos.w = 3

    m_ins_oos.w = 5

    def m_ins_numbers(self):
        i = self.I()
        if self.chance(0.5):
            i["calibration_months"] = self.pick(["none", "1", "12", "6"])
        else:
            i["self_test_days"] = self.pick(["none", "1", "2", "7", "30"])

    def m_cal_add(self):
        i = self.I()["instrument"]
        n = self.pick([1, 1, 1, 2])
        d = self.near()
        for _ in range(n):
            self.add(
                "calibrations",
                calibration=self.id("K"),
                instrument=i,
                calibrated_on=d,
                as_found=self.pick(["in_tolerance", "in_tolerance", "out_of_tolerance", "not_measured"]),
                as_left=self.pick(["in_tolerance", "in_tolerance", "in_tolerance", "out_of_tolerance", "not_measured"]),
            )
            if self.chance(0.5):
                d = self.near()

    m_cal_add.w = 5

    def m_cal_change(self):
        i = self.I()["instrument"]
        c = self.pick([c for c in self.t["calibrations"] if c["instrument"] == i])
        k = self.r.randrange(5)
        if k == 0:
            self.t["calibrations"].remove(c)
        elif k == 1:
            c["calibrated_on"] = self.near()
            c.pop("due_on", None)
        elif k == 2:
            c["due_on"] = self.near()
        elif k == 3:
            c["as_left"] = self.pick(["out_of_tolerance", "not_measured"])
        else:
            m = self.find("instruments", i)["calibration_months"]
            c.pop("due_on", None)
            for d in range(80):
                on = self.today - timedelta(days=int(m) * 30 + d - 20)
                if plus_months(on, int(m)) == self.today + timedelta(days=self.pick([0, -1])):
                    c["calibrated_on"] = on.isoformat()
                    break

    m_cal_change.w = 3

    def m_check_add(self):
        i = self.I()["instrument"]
        t = self.near_t()
        for _ in range(self.pick([1, 1, 2])):
            self.check(i, self.pick(["before_use", "self_test"]), t, self.pick(["pass", "fail", "fail"]))
            if self.chance(0.4):
                t = self.near_t()

    m_check_add.w = 4

    def m_check_change(self):
        c = self.pick(self.t["checks"])
        k = self.r.randrange(4)
        if k == 0:
            self.t["checks"].remove(c)
        elif k == 1:
            c["result"] = "fail"
        elif k == 2:
            c["checked_at"] = self.iso(self.near_t())
        else:
            d = self.find("instruments", c["instrument"])["self_test_days"]
            n = int(d) if d != "none" else 1
            c["checked_at"] = self.iso(self.z.start(self.today - timedelta(days=n)) + self.pick([0, -1, HOUR]))

    m_check_change.w = 3

    # -------------------------------------------------------------- writing
    def write(self, folder):
        r = self.r
        if os.path.isdir(folder):
            for n in os.listdir(folder):
                if n.lower().endswith(".csv"):
                    os.remove(os.path.join(folder, n))
        os.makedirs(folder, exist_ok=True)
        for f, cols in COLS.items():
            rows = self.t[f]
            if not rows and (f != "sites" and r.random() < 0.8):
                continue
            all_cols = [c.rstrip("*") for c in cols.split()]
            star = {c[:-1] for c in cols.split() if c.endswith("*")}
            cols = [c for c in all_cols if c in star or any(x.get(c) for x in rows) or r.random() < 0.5]
            if r.random() < 0.3:
                r.shuffle(cols)
            rows = list(rows)
            if r.random() < 0.6:
                r.shuffle(rows)
            out = io.StringIO()
            w = csv.writer(out, lineterminator=r.choice(["\r\n", "\n"]), quoting=r.choice([csv.QUOTE_MINIMAL, csv.QUOTE_ALL]))
            w.writerow(cols)
            for x in rows:
                w.writerow([x.get(c, "") for c in cols])
            name = f + (".csv" if r.random() < 0.9 else ".CSV")
            with open(os.path.join(folder, name), "w", encoding="utf-8-sig" if r.random() < 0.2 else "utf-8", newline="") as fh:
                fh.write(out.getvalue())


def generate(seed, folder):
    for attempt in range(50):
        rng = random.Random(f"{seed}/{attempt}")
        b = B(rng)
        b.build()
        if validate(b.t):
            continue
        n = rng.choices([0, 1, 2, 3, 4, 6, 9, 14], [5, 13, 18, 18, 16, 14, 11, 6])[0]
        b.log = [b.mutate() for _ in range(n)]
        if rng.random() < 0.8:
            for p in b.t["permits"]:
                keep = dict(p)
                if rng.random() < 0.7 and to_instant(p["valid_to"]) > max(b.T, to_instant(p["valid_from"])):
                    b.fit(p)
                    if validate(b.t):
                        p.clear()
                        p.update(keep)
        assert not validate(b.t)
        b.write(folder)
        return b.z.fmt(b.T)
    raise RuntimeError("no valid register for seed {!r}".format(seed))
