"""What an issued paper bears beside its title: its number, the address at which anyone can look up whether it still holds, and that address as a square."""

from collections.abc import Sequence
from dataclasses import dataclass

from reportlab.platypus import Flowable

from records.paper.drawing import set_on
from records.paper.frames import BODY, SMALL, WIDTH, Rows, paragraph
from records.paper.square import square_drawing

SIDE, GAP = 88.0, 10.0  # points: 31 mm, so that a phone reads it at arm's length


@dataclass(frozen=True, slots=True)
class Mark:
    """The number is said in words (`version 3`); `says` are further lines, each a sentence."""

    number: str
    address: str
    says: tuple[str, ...] = ()


class Marked(Flowable):
    """Lines on the left, the square on the right."""

    def __init__(self, lines: Sequence[Rows], mark: Mark) -> None:
        super().__init__()
        self.lines, self.square = list(lines), square_drawing(mark.address, SIDE)

    def wrap(self, *_: float) -> tuple[float, float]:
        self.height = max(SIDE, sum(line.wrap()[1] for line in self.lines))
        return WIDTH, self.height

    def draw(self) -> None:
        y = self.height
        for line in self.lines:
            y -= line.wrap()[1]
            line.drawOn(self.canv, 0, y)
        set_on(self.canv, self.square, WIDTH - SIDE, self.height - SIDE)


def marked(titles: Sequence[tuple[str, float, bool]], mark: Mark) -> Marked:
    """The titles (words, size, whether bold), then what the paper bears."""
    width = WIDTH - SIDE - GAP
    own = [(f"{mark.number[:1].upper()}{mark.number[1:]}. Does it still hold? Have a phone read the square, or open", BODY, False), (mark.address, BODY, True)]
    said = [*titles, *own, *((line, SMALL, False) for line in mark.says)]
    return Marked([paragraph(words, size, bold, width) for words, size, bold in said], mark)
