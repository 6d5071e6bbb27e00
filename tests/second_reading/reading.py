"""The rules for signing, read a second time from their text alone: naive code, clear before fast, sharing nothing with the gate.

Instants are whole seconds since 1970 UTC (ints), INF never comes.  Recorded numbers are Decimals.
"""

import csv
import os
import re
import unicodedata
from datetime import UTC, date, datetime, timedelta
from decimal import ROUND_HALF_EVEN, Decimal
from zoneinfo import ZoneInfo

from dateutil.relativedelta import relativedelta
from shapely import wkt
from shapely.ops import unary_union

csv.field_size_limit(10_000_000)
INF = float("inf")
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
FILES = [
    "rules",
    "sites",
    "people",
    "courses",
    "awards",
    "instruments",
    "calibrations",
    "checks",
    "enquiries",
    "plan_services",
    "locates",
    "sweeps",
    "traces",
    "outcomes",
    "permits",
]
PASSIVE = ("passive_power", "passive_radio")

# key: (default, which way is looser)
RULES = {
    "plan_valid_days": ("28", "larger"),
    "locate_valid_days": ("14", "larger"),
    "locate_max_hours": ("24", "larger"),
    "permit_max_hours": ("168", "larger"),
    "sweep_margin_m": ("1.0", "smaller"),
    "two_directions": ("yes", "no"),
    "transmitter_min_offset_m": ("3.75", "smaller"),
    "induction_max_depth_m": ("2.0", "larger"),
    "check_valid_hours": ("12", "larger"),
    "depth_tolerance_m": ("0.05", "larger"),
    "depth_tolerance_ratio": ("0.05", "larger"),
    "hand_dig_m": ("0.5", "smaller"),
    "position_tolerance_A_m": ("0.05", "smaller"),
    "position_tolerance_B_m": ("0.3", "smaller"),
    "position_tolerance_C_m": ("1.0", "smaller"),
    "position_tolerance_D_m": ("2.0", "smaller"),
    "due_soon_days": ("30", "smaller"),
}


# ---------------------------------------------------------------- reading
def clean(s):
    return unicodedata.normalize("NFC", (s or "").strip())


def read_folder(folder):
    reg = {f: [] for f in FILES}
    for name in sorted(os.listdir(folder)):
        stem, ext = os.path.splitext(name)
        if ext.lower() != ".csv" or not os.path.isfile(os.path.join(folder, name)):
            continue
        if stem not in reg:
            if stem.lower() in reg:
                stem = stem.lower()
            else:
                continue
        with open(os.path.join(folder, name), encoding="utf-8-sig", newline="") as fh:
            rows = list(csv.reader(fh))
        head = [clean(h) for h in rows[0]]
        for row in rows[1:]:
            if not any(clean(c) for c in row):
                continue
            reg[stem].append({h: clean(c) for h, c in zip(head, row)})
    return reg


def get(row, col):
    return row.get(col) or None


def items(row, col):
    return [clean(x) for x in (row.get(col) or "").split(";") if clean(x)]


def to_date(s):
    return date.fromisoformat(s) if s else None


def to_dec(s):
    return Decimal(s) if s else None


def to_instant(s):
    if not s:
        return None
    m = re.fullmatch(r"(\d{4}-\d\d-\d\d)T(\d\d):(\d\d)(?::(\d\d))?(Z|[+-]\d\d:\d\d)", s)
    if not m:
        raise ValueError("not an instant with offset: " + s)
    d = date.fromisoformat(m[1])
    secs = (d - date(1970, 1, 1)).days * 86400 + int(m[2]) * 3600 + int(m[3]) * 60 + int(m[4] or 0)
    if m[5] != "Z":
        sign = -1 if m[5][0] == "-" else 1
        secs -= sign * (int(m[5][1:3]) * 3600 + int(m[5][4:6]) * 60)
    return secs


def owner_key(name):
    return unicodedata.normalize("NFC", name.strip()).casefold()


# ---------------------------------------------------------------- time
ZONES = {}


def zone(name):
    return ZONES.setdefault(name, Zone(name)) if name not in ZONES else ZONES[name]


class Zone:
    def __init__(self, name):
        self.tz = ZoneInfo(name)
        self.cache = {}

    def local(self, t):
        return (EPOCH + timedelta(seconds=t)).astimezone(self.tz)

    def day(self, t):
        return self.local(t).date()

    def start(self, d):
        """First instant of day d in the zone; of the next day that has one where d is skipped."""
        if d > date(9999, 12, 30):  # an end after 9999-12-30 never comes
            return INF
        if d not in self.cache:
            midnight = datetime(d.year, d.month, d.day, tzinfo=self.tz)  # fold=0: the earlier, if it comes twice
            t = round((midnight - EPOCH).total_seconds())
            if self.local(t).replace(tzinfo=None) != midnight.replace(tzinfo=None):
                # midnight is skipped: walk to the first minute on or after d, then back to the second
                t = (d - date(1970, 1, 1)).days * 86400 - 15 * 3600
                while self.day(t) < d:
                    t += 60
                while self.day(t - 1) >= d:
                    t -= 1
            self.cache[d] = t
        return self.cache[d]

    def after(self, d):
        """The end of what is good through d."""
        if d is None:
            return INF
        if d > date(9999, 12, 29):
            return INF
        return self.start(d + timedelta(days=1))

    def fmt(self, t):
        if t is None or t == INF:
            return None
        return self.local(t).isoformat(timespec="seconds")


def plus_days(d, n):
    try:
        return d + timedelta(days=n)
    except OverflowError:
        return None


def plus_months(d, n):
    try:
        return d + relativedelta(months=n)
    except (OverflowError, ValueError):
        return None


# ---------------------------------------------------------------- numbers
def r6(x):
    x = x if isinstance(x, Decimal) else Decimal(repr(float(x)))
    return x.quantize(Decimal("0.000001"), rounding=ROUND_HALF_EVEN)


def r2(x):
    return float(r6(x).quantize(Decimal("0.01"), rounding=ROUND_HALF_EVEN))


def dec(x):
    return Decimal(repr(float(x)))


def grow(shape, by):
    return shape.buffer(float(by), quad_segs=32)


def meets(a, b):
    return a.intersects(b)


def covers(areas, ground):
    left = ground.difference(unary_union(areas)) if areas else ground
    return r6(left.area) <= min(Decimal("0.05"), r6(dec(ground.area) / 10))


# ---------------------------------------------------------------- cover
def first_uncovered(intervals, a, b):
    """First instant of [a, b] (both included) outside the union of the half-open intervals, or None."""
    t = a
    while t <= b:
        ends = [u for f, u in intervals if f <= t < u]
        if not ends:
            return t
        t = max(ends)
    return None


def unbroken_end(intervals, t):
    """Where t is covered: the end of the unbroken cover from t on; else None."""
    u = t
    while True:
        ends = [e for f, e in intervals if f <= u < e]
        if not ends:
            return None if u == t else u
        u = max(ends)
        if u == INF:
            return INF


class Gate:
    def __init__(self, reg, T):
        self.reg, self.T = reg, T
        self.sites = {r["site"]: r for r in reg["sites"]}
        self.people = {r["person"]: r for r in reg["people"]}
        self.courses = {r["course"]: r for r in reg["courses"]}
        self.instruments = {r["instrument"]: r for r in reg["instruments"]}
        self.locates = {r["locate"]: r for r in reg["locates"]}
        self.enquiries = {r["enquiry"]: r for r in reg["enquiries"]}

    # -------- one permit
    def assess(self, permit):
        T = self.T
        self.permit = permit
        self.site = self.sites[permit["site"]]
        z = self.z = zone(self.site["time_zone"])
        self.today = z.day(T)
        self.blocks, self.cautions, self.conditions = {}, {}, {}
        self.due = []  # (subject, end) of covers asked for at T and standing there
        self.numbers()

        self.vf, self.vt = to_instant(permit["valid_from"]), to_instant(permit["valid_to"])
        self.outline = wkt.loads(permit["outline"])
        self.ground = grow(self.outline, self.n["sweep_margin_m"])
        loc_id = get(permit, "locate")
        self.loc = self.locates[loc_id] if loc_id else None
        self.depth = to_dec(permit["depth_m"])
        self.method = permit["method"]
        self.crew = items(permit, "crew")
        self.hand = (Decimal(0), Decimal(0))
        if self.loc:
            self.ls = to_instant(self.loc["started_at"])
            self.lf = to_instant(get(self.loc, "finished_at"))
            self.finished = self.lf is not None and self.lf <= T
            self.le = self.lf if self.finished else max(T, self.ls)
            self.sweeps = sorted([r for r in self.reg["sweeps"] if r["locate"] == loc_id], key=lambda r: r["sweep"])
            self.traces = sorted([r for r in self.reg["traces"] if r["locate"] == loc_id], key=lambda r: r["trace"])
            self.outcomes = [r for r in self.reg["outcomes"] if r["locate"] == loc_id]

        limits = self.limits()
        self.window(limits)
        self.plans()
        if self.loc is None:
            self.block("locate.none", "permit")
        else:
            self.locate()
            if self.ls <= T:
                self.operator()
                self.instruments_section()
        self.people_section()
        if self.loc is not None:
            self.clearance()
        self.more_cautions()

        first = min(end for end, _ in limits)

        def out(d, keys):
            return [dict(zip(keys, (c, s, *v))) for (c, s), v in sorted(d.items())]

        return {
            "permit": permit["permit"],
            "at": z.fmt(T),
            "clear": not self.blocks,
            "blocks": out(self.blocks, ("code", "subject", "since", "says", "remedy")),
            "cautions": out(self.cautions, ("code", "subject", "since", "says", "remedy")),
            "conditions": out(self.conditions, ("code", "subject", "says", "distance_m", "area_m2", "volume_m3")),
            "good_until": z.fmt(first),
            "limited_by": sorted({s for end, s in limits if end == first}),
            "hand_zone": {"area_m2": r2(self.hand[0]), "volume_m3": r2(self.hand[1])},
        }

    def block(self, code, subject, since=None):
        self.blocks.setdefault((code, subject), (self.z.fmt(since), "-", "-"))

    def caution(self, code, subject, since=None):
        self.cautions.setdefault((code, subject), (self.z.fmt(since), "-", "-"))

    def condition(self, code, subject, d=None, a=None, v=None):
        def f(x):
            return None if x is None else r2(x)

        self.conditions.setdefault((code, subject), ("-", f(d), f(a), f(v)))

    # -------- numbers in force
    def numbers(self):
        self.n = {}
        rows = [r for r in self.reg["rules"] if r["rule_set"] == self.site["rule_set"]]
        if self.site["rule_set"] == "default":
            rows = []
        self.rule_rows = rows
        for key, (default, _) in RULES.items():
            cand = [r for r in rows if r["key"] == key and to_date(r["effective_from"]) <= self.today]
            value = max(cand, key=lambda r: to_date(r["effective_from"]))["value"] if cand else default
            self.n[key] = value if key == "two_directions" else Decimal(value)

    # -------- awards
    def award_intervals(self, person, thing, later_withdrawals=False):
        """[(from, until, ended_by_withdrawal)] of the awards dated by the day of T, and the later awards' begins."""
        z = self.z
        mine = [a for a in self.reg["awards"] if a["person"] == person and thing in items(self.courses[a["course"]], "authorises")]
        wds = [to_date(get(a, "withdrawn_on")) for a in mine if get(a, "withdrawn_on")]
        if not later_withdrawals:
            wds = [w for w in wds if w <= self.today]
        out, later = [], []
        for a in mine:
            on = to_date(a["awarded_on"])
            if on > self.today:
                later.append(z.start(on))
                continue
            months = self.courses[a["course"]]["valid_months"]
            if get(a, "expires_on"):
                end = z.after(to_date(a["expires_on"]))
            elif months == "none":
                end = INF
            else:
                end = z.after(plus_months(on, int(months)))
            cuts = [z.start(w) for w in wds if on <= w]
            cut = min(cuts) if cuts else INF
            out.append((z.start(on), min(end, cut), cut < end))
        return out, later

    def person_cover(self, role, person, thing, spans):
        ivs, later = self.award_intervals(person, thing)
        subject = f"person:{person}/{thing}"
        plain = [(f, u) for f, u, _ in ivs]
        for a, b in spans:
            t = first_uncovered(plain, a, b)
            if t is None:
                continue
            began = [iv for iv in ivs if iv[0] <= t]
            if not began:
                some_later = later or [iv for iv in ivs if iv[0] > t]
                self.block(f"{role}.not_begun" if some_later else f"{role}.never", subject)
            else:
                best = max(began, key=lambda iv: (iv[1], iv[2]))
                self.block(f"{role}.withdrawn" if best[2] else f"{role}.lapsed", subject, best[1])
        end = unbroken_end(plain, self.T)
        if end is not None:
            self.due.append((subject, end))

    def left(self, person):
        d = to_date(get(self.people[person], "left_on"))
        return d if d is not None and d < self.today else None

    # -------- good_until
    def limits(self):
        T, z = self.T, self.z
        out = [(self.vf + int(self.n["permit_max_hours"]) * 3600, "permit")]
        for es in self.live_by_owner().values():
            good = [e for e in es if self.answered(e) and self.good_at(e, T)]
            if good:
                best = max(good, key=lambda e: (self.answer_end(e), e["enquiry"]))
                if self.answer_end(best) != INF:
                    out.append((self.answer_end(best), "enquiry:" + best["enquiry"]))
        if self.loc is not None and self.finished:
            end = self.locate_end()
            if T < end != INF:
                out.append((end, "locate:" + self.loc["locate"]))
        for person, thing in [(self.permit["receiver"], "receive_permit")] + [(p, "dig") for p in self.crew]:
            ivs, _ = self.award_intervals(person, thing, later_withdrawals=True)
            left = to_date(get(self.people[person], "left_on"))
            cut = z.after(left) if left else INF
            end = unbroken_end([(f, min(u, cut)) for f, u, _ in ivs], T)
            if end is not None and end != INF:
                out.append((end, f"person:{person}/{thing}"))
        return out

    def locate_end(self):
        return self.z.after(plus_days(self.z.day(self.lf), int(self.n["locate_valid_days"])))

    # -------- window
    def window(self, limits):
        T = self.T
        p = self.permit
        if self.vt <= self.vf:
            self.block("window.reversed", "permit")
        else:
            if self.vt <= T:
                self.block("window.past", "permit", self.vt)
            if self.vt - self.vf > int(self.n["permit_max_hours"]) * 3600:
                self.block("window.over_limit", "permit")
            others = [end for end, s in limits if s != "permit"]
            if others and self.vt > min(others):
                self.block("window.outlasts_evidence", "permit")
            if T - self.vf > 24 * 3600:
                self.caution("window.begun", "permit")
        if p["issuer"] == p["receiver"]:
            self.block("people.issuer_is_receiver", "permit")
        if p["issuer"] in self.crew:
            self.block("people.issuer_in_crew", "permit")
        if not self.crew:
            self.block("people.no_crew", "permit")

    # -------- plans
    def answered(self, e):
        t = to_instant(get(e, "answered_at"))
        return t is not None and t <= self.T

    def answer_end(self, e):
        gt = to_date(get(e, "good_through"))
        if gt is None:
            gt = plus_days(self.z.day(to_instant(e["answered_at"])), int(self.n["plan_valid_days"]))
        return self.z.after(gt)

    def good_at(self, e, t):
        return to_instant(e["answered_at"]) <= t < self.answer_end(e)

    def area_meets(self, e):
        return get(e, "area") is None or meets(wkt.loads(e["area"]), self.ground)

    def site_enquiries(self):
        return [e for e in self.reg["enquiries"] if e["site"] == self.site["site"] and to_date(e["sent_on"]) <= self.today]

    def closed(self, e):
        d = to_date(get(e, "closed_on"))
        return d is not None and d <= self.today

    def live(self):
        es = self.site_enquiries()
        replaced = {x for e in es if self.answered(e) for x in items(e, "replaces")}
        return [e for e in es if not self.closed(e) and e["enquiry"] not in replaced]

    def live_by_owner(self):
        out = {}
        for e in self.live():
            out.setdefault(owner_key(e["service_owner"]), []).append(e)
        return out

    def services_of(self, e):
        return [s for s in self.reg["plan_services"] if s["enquiry"] == e["enquiry"]]

    def plans(self):
        T, z = self.T, self.z
        by_owner = self.live_by_owner()
        if not by_owner:
            self.block("plans.none", "permit")
        for name in items(self.site, "owners_to_ask"):
            if owner_key(name) not in by_owner:
                self.block("plans.not_asked", "owner:" + name)
        self.to_account = []
        for key, es in by_owner.items():
            answers = [e for e in es if self.answered(e)]
            if not answers:
                last = max(es, key=lambda e: (to_date(e["sent_on"]), e["enquiry"]))
                self.block("plans.unanswered", "enquiry:" + last["enquiry"])
                continue
            last = max(answers, key=lambda e: (to_instant(e["answered_at"]), e["enquiry"]))
            subject = "enquiry:" + last["enquiry"]
            good = [e for e in answers if self.good_at(e, T)]
            if not good:
                self.block("plans.lapsed", subject, max(self.answer_end(e) for e in answers))
            elif not any(get(e, "area") is None for e in good):
                if not covers([wkt.loads(e["area"]) for e in good], self.ground):
                    self.block("plans.other_ground", subject)
            if self.loc is not None:
                before = [
                    e
                    for e in self.site_enquiries()
                    if owner_key(e["service_owner"]) == key and self.answered(e) and self.area_meets(e) and self.good_at(e, self.ls)
                ]
                if not before:
                    self.block("plans.after_locate", subject)
            for e in good:
                if self.area_meets(e):
                    sv = self.services_of(e)
                    if not sv and get(e, "nothing_shown") != "yes":
                        self.block("plans.not_entered", "enquiry:" + e["enquiry"])
                    self.to_account += sv
        # cautions on plans
        for e in self.site_enquiries():
            if self.closed(e) and owner_key(e["service_owner"]) not in by_owner:
                self.caution("plans.closed", "enquiry:" + e["enquiry"], z.start(to_date(e["closed_on"])))
        self.link_services()
        live = [e for e in self.live() if self.answered(e)]
        live_ids = {s["service"] for e in live for s in self.services_of(e)}
        for e in live:
            for x in items(e, "replaces"):
                old = self.enquiries[x]
                if not self.answered(old):
                    continue
                for s in self.services_of(old):
                    if not (self.same[s["service"]] & live_ids):
                        self.caution("plans.dropped", "service:" + s["service"])

    def link_services(self):
        """same[s]: all services that are the same one as s (with s), either direction, followed through.
        Only services of answers that exist at T link."""
        same = {s["service"]: {s["service"]} for s in self.reg["plan_services"]}
        for s in self.reg["plan_services"]:
            if not self.answered(self.enquiries[s["enquiry"]]):
                continue
            for o in items(s, "same_as"):
                merged = same[s["service"]] | same[o]
                for m in merged:
                    same[m] = merged
        self.same = same

    # -------- locate
    def inside(self, line):
        return line.intersection(self.ground)

    def names(self, t, service):
        return bool(self.same[service] & set(items(t, "services")))

    def vouches(self, t, s):
        if not self.names(t, s["service"]):
            return False
        line = wkt.loads(t["line"])
        tech = t["technique"]
        if tech == "exposed":
            if not meets(line, self.ground):
                return False
        elif r6(self.inside(line).length) < Decimal("0.5"):
            return False
        able = ("induction", "direct_connection", "clamp", "exposed") if s["conductive"] == "yes" else ("sonde", "exposed")
        if tech not in able:
            return False
        if tech == "induction":
            depth = to_dec(get(t, "depth_m"))
            if depth is None or depth > self.n["induction_max_depth_m"]:
                return False
            areas = []
            for w in self.sweeps:
                off = to_dec(get(w, "transmitter_offset_m"))
                if w["technique"] == "induction" and off is not None and off >= self.n["transmitter_min_offset_m"]:
                    areas.append(wkt.loads(w["area"]))
            part = self.inside(line)
            left = part.difference(unary_union(areas)).length if areas else part.length
            if r6(left) > min(Decimal("0.5"), r6(dec(part.length) / 10)):
                return False
        return True

    def locate(self):
        T, _z = self.T, self.z
        me = "locate:" + self.loc["locate"]
        if self.loc["site"] != self.site["site"]:
            self.block("locate.other_site", me)
        if not self.finished:
            self.block("locate.unfinished", me)
        elif self.locate_end() <= T:
            self.block("locate.lapsed", me, self.locate_end())
        if self.ls <= T and self.le - self.ls > int(self.n["locate_max_hours"]) * 3600:
            self.block("locate.too_long", me)
        for tech in PASSIVE:
            mine = [w for w in self.sweeps if w["technique"] == tech]
            areas = [wkt.loads(w["area"]) for w in mine]
            if not covers(areas, self.ground):
                self.block("locate.not_swept", "technique:" + tech)
            if self.n["two_directions"] == "yes" and mine:
                both = []
                for i in range(len(mine)):
                    for j in range(i):
                        a, b = to_dec(get(mine[i], "bearing_deg")), to_dec(get(mine[j], "bearing_deg"))
                        if a is None or b is None:
                            continue
                        d = abs(a - b) % 180
                        if min(d, 180 - d) >= 60:
                            both.append(areas[i].intersection(areas[j]))
                if not covers(both, self.ground):
                    self.block("locate.one_direction", "technique:" + tech)
        alone = set()  # exposed traces that alone vouch for some service
        for s in self.to_account:
            sid = s["service"]
            subject = "service:" + sid
            naming = [t for t in self.traces if self.names(t, sid)]
            vouching = [t for t in naming if self.vouches(t, s)]
            said = {o["outcome"] for o in self.outcomes if o["service"] in self.same[sid]}
            if vouching:
                if len(vouching) == 1:
                    alone.add(vouching[0]["trace"])
            elif "outside_dig" in said and not any(meets(wkt.loads(t["line"]), self.ground) for t in naming):
                self.caution("service.by_word", subject)
            elif "not_found" in said:
                if self.method in ("machine", "bore"):
                    self.block("service.not_found", subject)
                else:
                    self.condition("treat_as_live", subject)
            elif naming:
                self.block("service.wrong_technique", subject)
            else:
                self.block("service.unaccounted", subject)
        if self.method in ("bore", "machine"):
            for t in self.traces:
                if t["technique"] == "exposed" and t["trace"] in alone and r6(self.inside(wkt.loads(t["line"])).length) < Decimal("0.5"):
                    self.caution("clearance.exposed_in_part", "trace:" + t["trace"])
        # cautions on traces and sweeps
        for t in self.traces:
            subject = "trace:" + t["trace"]
            tech = t["technique"]
            depth, by, raised = (to_dec(get(t, c)) for c in ("depth_m", "raised_by_m", "raised_depth_m"))
            if tech in PASSIVE and depth is not None:
                self.caution("depth.from_passive", subject)
            elif tech != "exposed" and depth is not None:
                if raised is None:
                    self.caution("depth.not_checked", subject)
                elif abs(raised - depth - by) > max(self.n["depth_tolerance_m"], self.n["depth_tolerance_ratio"] * depth):
                    self.caution("depth.disagrees", subject)
                if tech == "induction" and depth > self.n["induction_max_depth_m"]:
                    self.caution("depth.induction_deep", subject)
            if items(t, "services"):
                if tech in PASSIVE:
                    self.caution("trace.passive_only", subject)
            else:
                self.caution("trace.unplanned", subject)
            if get(t, "width_m") is None and t["utility"] not in ("electricity", "telecom"):
                self.caution("trace.no_width", subject)
        for w in self.sweeps:
            if w["technique"] == "induction":
                off = to_dec(get(w, "transmitter_offset_m"))
                if off is None or off < self.n["transmitter_min_offset_m"]:
                    self.caution("sweep.too_near", "sweep:" + w["sweep"])

    # -------- operator
    def techniques(self):
        return {x["technique"] for x in self.sweeps + self.traces} - {"exposed"}

    def operator(self):
        who = self.loc["operator"]
        techs = sorted(self.techniques())
        for tech in techs:
            self.person_cover("operator", who, tech, [(self.ls, self.le), (self.T, self.T)])
        left = self.left(who)
        if techs and left is not None:
            say = self.block if left < self.z.day(self.ls) else self.caution
            say("operator.left", "person:" + who, self.z.after(left))

    # -------- instruments
    def instruments_section(self):
        _z, _T = self.z, self.T
        techs = self.techniques()
        need = ["receiver"]
        if techs & {"induction", "direct_connection", "clamp"}:
            need.append("transmitter")
        if "clamp" in techs:
            need.append("clamp")
        if "sonde" in techs:
            need.append("sonde")
        for kind in need:
            iid = get(self.loc, kind)
            if iid is None:
                self.block("instrument.none", f"locate:{self.loc['locate']}/{kind}")
            else:
                self.instrument(self.instruments[iid])

    def instrument(self, ins):
        z, T = self.z, self.T
        iid = ins["instrument"]
        subject = "instrument:" + iid
        end_day = z.day(self.le)
        oos = to_date(get(ins, "out_of_service_from"))
        if oos is not None:
            if oos <= end_day:
                self.block("instrument.out_of_service", subject, z.start(oos))
            elif oos <= self.today:
                self.caution("instrument.out_of_service_since", subject, z.start(oos))

        cals = [c for c in self.reg["calibrations"] if c["instrument"] == iid and to_date(c["calibrated_on"]) <= self.today]
        cals.sort(key=lambda c: (to_date(c["calibrated_on"]), c["calibration"]))
        if ins["calibration_months"] != "none":
            ivs = []
            for i, c in enumerate(cals):
                if c["as_left"] != "in_tolerance":
                    continue
                on = to_date(c["calibrated_on"])
                begin = z.start(on) if c["as_found"] == "in_tolerance" else z.after(on)
                due = to_date(get(c, "due_on")) or plus_months(on, int(ins["calibration_months"]))
                end = z.after(due)
                if i + 1 < len(cals):
                    end = min(end, z.start(to_date(cals[i + 1]["calibrated_on"])))
                ivs.append((begin, end))
            for a, b in [(self.ls, self.le), (T, T)]:
                t = first_uncovered(ivs, a, b)
                if t is None:
                    continue
                by_then = [c for c in cals if z.start(to_date(c["calibrated_on"])) <= t]
                if not by_then:
                    self.block("instrument.not_yet_calibrated", subject)
                elif by_then[-1]["as_left"] != "in_tolerance":
                    self.block("instrument.calibration_failed", subject, z.start(to_date(by_then[-1]["calibrated_on"])))
                else:
                    ends = [u for f, u in ivs if f < u <= t]
                    self.block("instrument.calibration_lapsed", subject, max(ends) if ends else None)
            end = unbroken_end(ivs, T)
            if end is not None:
                self.due.append((subject, end))

        checks = [(to_instant(c["checked_at"]), c["check"], c) for c in self.reg["checks"] if c["instrument"] == iid]
        checks = sorted([c for c in checks if c[0] <= T], key=lambda c: c[:2])
        lo = self.ls - int(self.n["check_valid_hours"]) * 3600
        before = [c for c in checks if lo <= c[0] <= self.ls]
        if (before and before[-1][2]["result"] == "fail") or any(c[2]["result"] == "fail" for c in checks if self.ls < c[0] <= self.le):
            self.block("instrument.check_failed", subject)
        elif not any(c[2]["result"] == "pass" and c[2]["kind"] == "before_use" for c in before):
            self.block("instrument.check_missing", subject)

        if ins["self_test_days"] != "none":
            days = int(ins["self_test_days"])
            for t in (self.ls, T):
                by_then = [c for c in checks if c[2]["kind"] == "self_test" and c[0] <= t]
                if not by_then or by_then[-1][2]["result"] == "fail":
                    bad = True
                else:
                    through = plus_days(z.day(by_then[-1][0]), days)
                    bad = through is not None and through < z.day(t)
                if bad:
                    self.block("instrument.self_test_lapsed", subject)
                elif t == T:
                    self.due.append((subject, z.after(through)))

        if self.finished:
            first_day = z.day(self.ls)
            former = [c for c in cals if first_day <= to_date(c["calibrated_on"]) <= end_day]
            latter = [c for c in cals if to_date(c["calibrated_on"]) > end_day]
            unknown = [c for c in former + latter[:1] if c["as_found"] == "not_measured"]
            if unknown:
                self.block("instrument.recall_unknown", subject, min(z.start(to_date(c["calibrated_on"])) for c in unknown))
            measured = [c for c in latter if c["as_found"] != "not_measured"]
            since = [z.start(to_date(c["calibrated_on"])) for c in former + measured[:1] if c["as_found"] == "out_of_tolerance"]
            after = [c for c in checks if c[0] > self.lf]
            if after and after[0][2]["result"] == "fail":
                since.append(after[0][0])
            if since:
                self.block("instrument.recalled", subject, min(since))

        hired = to_date(get(ins, "hired_until"))
        if hired is not None and hired < end_day:
            self.caution("instrument.hire_over", subject)

    # -------- people on the permit
    def people_section(self):
        p, T = self.permit, self.T
        for role, person, thing in [("issuer", p["issuer"], "issue_permit"), ("receiver", p["receiver"], "receive_permit")] + [
            ("crew", c, "dig") for c in self.crew
        ]:
            self.person_cover(role, person, thing, [(T, T)])
            left = self.left(person)
            if left is not None:
                self.block(role + ".left", "person:" + person, self.z.after(left))

    # -------- clearance
    def clearance(self):
        tenth = r6(dec(self.outline.area) / 10)
        overlaps = []
        for t in self.traces:
            subject = "trace:" + t["trace"]
            line = wkt.loads(t["line"])
            half = (to_dec(get(t, "width_m")) or Decimal(0)) / 2
            by = half + self.n["hand_dig_m"] + self.n[f"position_tolerance_{t['quality_level']}_m"]
            overlap = self.outline.intersection(grow(line, by))
            a = r6(overlap.area)
            if a > Decimal("0.01") or a > tenth:
                overlaps.append(overlap)
                distance = max(Decimal(0), dec(self.outline.distance(line)) - half)
                self.condition("hand_dig", subject, distance, dec(overlap.area), dec(overlap.area) * self.depth)
                if self.method == "bore" and t["technique"] != "exposed":
                    self.block("clearance.bore_unexposed", subject)
        if overlaps:
            area = dec(unary_union(overlaps).area)
            self.hand = (area, area * self.depth)

    # -------- the remaining cautions
    def more_cautions(self):
        limit = self.T + int(self.n["due_soon_days"]) * 86400
        for subject, end in self.due:
            if end <= limit:
                self.caution("due.soon", subject)
        for key, (default, looser) in RULES.items():
            v = self.n[key]
            if (looser == "no" and v == "no") or (looser == "larger" and v > Decimal(default)) or (looser == "smaller" and v < Decimal(default)):
                self.caution("rules.looser", "rule:" + key)
        for r in self.rule_rows:
            d = to_date(r["effective_from"])
            if d > self.today and self.z.start(d) < self.vt:
                self.caution("rules.change_ahead", "rule:" + r["key"])
        self.caution("standing", "permit")


def assess_folder(folder, at):
    reg = read_folder(folder)
    T = at if isinstance(at, int) else to_instant(at)
    gate = Gate(reg, T)
    return [gate.assess(p) for p in sorted(reg["permits"], key=lambda p: p["permit"])]
