"""How long a permit's paper takes, as ratios to a floor measured beside it: the same number of pages full of plain text in the same font, on a bare canvas.

python -m tests.bench.bench_paper [repeats]
"""

import sys
from io import BytesIO
from statistics import median
from time import perf_counter

from pypdf import PdfReader
from reportlab.lib.pagesizes import A4
from reportlab.pdfgen.canvas import Canvas

from locates.permits.paper import bars_svg, permit_pdf, plan_svg
from locates.permits.rules.gate import assess
from locates.permits.sheet import digest, sheet
from records.paper.fonts import REGULAR, font
from tests.rules.cast import DAY, clear, instant
from tests.rules.changes import with_permit

LINE = "The quick brown fox jumps over the lazy dog, and over the fence; 0123456789 m, 4 Mar 2027 16:00."
MOST = {"paper / floor": 6.0, "paper in six scripts / paper": 2.5, "plan and bars as SVG / paper": 1.0, "sheet and digest / paper": 0.5}
NAMES = "Łukasz Żółć, محمد, नीलिमा, 山田, Αλέξης, თამარ, ירדנה, 김철수"


def floor(pages):
    canvas = Canvas(BytesIO(), pagesize=A4, invariant=1, initialFontName=REGULAR, pageCompression=1)
    for _ in range(pages):
        canvas.setFont(REGULAR, 8.5)
        for line in range(62):
            canvas.drawString(42, 790 - 12 * line, LINE)
        canvas.showPage()
    canvas.save()


def milliseconds(acts, repeats):
    """The median of so many runs of each, run by turns after one that warms up."""
    took = {name: [] for name in acts}
    for _ in range(repeats + 1):
        for name, act in acts.items():
            begun = perf_counter()
            act()
            took[name].append(1000 * (perf_counter() - begun))
    return {name: median(times[1:]) for name, times in took.items()}


def measured(repeats):
    font(REGULAR)
    plain, many = clear(), with_permit(work=NAMES)(clear())
    at = instant(f"{DAY}T09:00", plain.site.zone)
    verdict = assess(plain, at)
    data, scripts = sheet(plain, verdict, []), sheet(many, assess(many, at), [])
    printed = permit_pdf(data)
    pages = len(PdfReader(BytesIO(printed)).pages)
    acts = {
        "floor": lambda: floor(pages),
        "paper": lambda: permit_pdf(data),
        "paper in six scripts": lambda: permit_pdf(scripts),
        "plan and bars as SVG": lambda: (plan_svg(data), bars_svg(data)),
        "sheet and digest": lambda: digest(sheet(plain, verdict, [])),
    }
    return {"pages": pages, "bytes": len(printed), **milliseconds(acts, repeats)}


def main(repeats):
    """Print the measurements; 1 where a ratio is over its bar."""
    found = measured(repeats)
    for name, value in found.items():
        sys.stdout.write(f"{name:24} {value:8.1f}{'' if name in ('pages', 'bytes') else ' ms'}\n")
    ratios = {name: found[name.split(" / ")[0]] / found[name.split(" / ")[1]] for name in MOST}
    for name, ratio in ratios.items():
        sys.stdout.write(f"{name:32} {ratio:6.2f}  at most {MOST[name]}\n")
    return int(any(ratio > MOST[name] for name, ratio in ratios.items()))


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 30))
