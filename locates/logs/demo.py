"""What the demo firm's receiver recorded of one locate: all that the locate claims, but for a third of what passive radio is said to have swept."""

from collections.abc import Iterator
from datetime import datetime, timedelta
from io import BytesIO

from django.core.files.base import ContentFile
from shapely import Point, from_wkt
from shapely.geometry.base import BaseGeometry

from locates.logs import facts
from locates.logs.actions import New, keep_log
from locates.logs.rules.layout import SITE, UTF_8, How
from locates.logs.rules.reading import read
from locates.logs.rules.times import AT_SITE, DAY_FIRST
from locates.logs.rules.use import account
from locates.rules.ground import united
from locates.surveys.models import Locate
from records.firm.actions import actor

LOCATE = "L-101"
LAYOUT, FILE = "Receiver of yellow case 1", "walk-lantern-street.csv"
HEADER = ("when", "mode", "strength", "east", "north")
WORDS = {"50": "passive_power", "RAD": "passive_radio", "LINE": "induction", "--": ""}
HOW = How(UTF_8, "semicolon", 0, HEADER, False, 0, DAY_FIRST, AT_SITE, 1, SITE, reading=2, x=3, y=4, words=WORDS)
STEP, EVERY_M, ALL, LEFT_OUT = timedelta(seconds=2), 0.6, 1.0, 0.66
SHARE = {"passive_radio": LEFT_OUT}
KEPT = timedelta(hours=1)  # after the locate, in the office


def bring_in(at: datetime, root: str) -> None:
    """Keep the file with the locate, as its operator does, who tells its columns once."""
    locate = Locate.objects.select_related("site", "operator").get(pk=LOCATE)
    text = "\n".join([";".join(HEADER), *_readings(locate)]) + "\n"
    rows = read(BytesIO(text.encode()), HOW, facts.zone_of(locate))
    summed = account(rows, WORDS, facts.zone_of(locate), facts.yardstick(locate.site, locate.started_at), facts.cuts(locate))
    keep_log(locate, ContentFile(text.encode(), FILE), New(LAYOUT, HOW), {}, summed, actor(locate.operator), min(locate.finished_at + KEPT, at))


def _readings(locate: Locate) -> Iterator[str]:
    """Walked one mode after the other, to and fro."""
    when = locate.started_at.astimezone(facts.zone_of(locate))
    for word, technique in WORDS.items():
        ground = united(from_wkt(one.area) for one in locate.sweeps.filter(technique=technique))
        for number, (x, y) in enumerate(_walked(ground, SHARE.get(technique, ALL))):
            when += STEP
            yield f"{when:%d/%m/%Y %H:%M:%S};{word};{20 + number * 7 % 61};{x:.2f};{y:.2f}"


def _walked(ground: BaseGeometry, share: float) -> Iterator[tuple[float, float]]:
    """Places over the ground, so far as this share of it from west to east."""
    if ground.is_empty:
        return
    west, south, east, north = ground.bounds
    for column in range(int((east - west) * share / EVERY_M)):
        for row in range(int((north - south) / EVERY_M)):
            x, y = west + column * EVERY_M, south + row * EVERY_M
            if ground.covers(Point(x, y)):
                yield x, y
