"""How a letter stands, in words, and how long it is tried. Pure."""

from datetime import timedelta

WAITING, UNDER_WAY, SENT, PERHAPS, NOT_SENT, NO_ADDRESS = "waiting", "under_way", "sent", "perhaps", "not_sent", "no_address"
STATES = {
    WAITING: "Waiting to be sent",
    UNDER_WAY: "Being sent",
    SENT: "Sent",
    PERHAPS: "Perhaps not sent",
    NOT_SENT: "Not sent",
    NO_ADDRESS: "No address on record",
}
LOST = (PERHAPS, NOT_SENT, NO_ADDRESS)  # what may not have reached its person
MARKS = {SENT: "go", WAITING: "", UNDER_WAY: ""}  # all others want to be minded
KEPT_TRYING = timedelta(days=3)  # after so long a letter is news no longer, and is not sent at all
UNHEARD = timedelta(minutes=10)  # taken for so long without a word: whoever had it is gone
FIRST_WAIT = timedelta(minutes=1)
SIGNED = "\n\nSpadework, on behalf of your firm"


def wait(tries: int) -> timedelta:
    """How long after the last of so many tries in vain, one at least, the next may come: a minute, and from then on twice as long each time.

    So within the time that a letter is kept trying there are thirteen tries at most.
    """
    return FIRST_WAIT * 2 ** (tries - 1)


def one_line(text: str) -> str:
    """As a mail's subject can be: names may hold the ends of lines."""
    return " ".join(text.split())
