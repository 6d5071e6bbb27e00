"""The order of signatures, who alone may make each, and what it declares."""

from collections.abc import Collection

from locates.permits.rules.evidence import Permit, Person

ISSUE, ACCEPT = MEANINGS = ("issue", "accept")
DECLARATIONS = {
    ISSUE: (
        "I have stood on this ground today and seen the marks. I have read this permit and what it rests on, and I issue it to its receiver "
        "for the work, the ground and the time that it names, and for nothing else."
    ),
    ACCEPT: (
        "I accept this permit. Everyone in the crew has been shown the marks on the ground, the owners' plans and the hand-dig limits. "
        "Every service is taken as live, and work stops if anything is found that is not on the plans."
    ),
}


def next_step(signed: Collection[str]) -> str | None:
    """The signature that is due next: issue, then accept, then none."""
    return next((meaning for meaning in MEANINGS if meaning not in signed), None)


def signer(permit: Permit, meaning: str) -> Person:
    """Who alone may sign with this meaning."""
    return permit.issuer if meaning == ISSUE else permit.receiver
