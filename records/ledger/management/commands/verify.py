"""`manage.py verify`: does the history hold? Exit status 0 if it does, 1 if anything fails."""

import json
from argparse import ArgumentParser
from typing import Any

from records.command import OwnCommand
from records.ledger import facts
from records.ledger.chain import GENESIS, Walked
from records.ledger.models import Entry


class Command(OwnCommand):
    help = "Walk the history from its first entry and name the first that fails; check the guards, the head, every signature and every kept file."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--json", action="store_true", help="say it as JSON")
        parser.add_argument("--noted", metavar="HASH", help="a head noted down earlier, outside this database: fail unless it is still in the chain")

    def handle(self, *args: Any, **options: Any) -> None:
        chain = facts.walked()
        faults = [*facts.guard_faults(), *facts.head_faults(chain), *noted_faults(options["noted"])]
        if chain.broken is None:
            faults += [*facts.signature_faults(), *facts.faults_beside()]
        self.stdout.write(as_json(chain, faults) if options["json"] else as_text(chain, faults))
        if chain.broken or faults:
            raise SystemExit(1)


def noted_faults(noted: str | None) -> list[str]:
    if noted in (None, GENESIS) or Entry.objects.filter(hash=noted.lower()).exists():
        return []
    return [f"no entry has the hash {noted}: the history was written anew since it was noted"]


def as_json(chain: Walked, faults: list[str]) -> str:
    broken = chain.broken and chain.broken._asdict()
    return json.dumps({"entries": chain.length, "head": chain.head, "broken": broken, "faults": faults}, ensure_ascii=False)


def as_text(chain: Walked, faults: list[str]) -> str:
    lines = [f"FAILS at entry {chain.broken.seq}: {chain.broken.why}"] if chain.broken else []
    lines += [f"FAILS: {fault}" for fault in faults]
    holds = "Sound before it" if chain.broken else "The chain holds"
    return "\n".join([*lines, f"{holds}: {chain.length} {'entry' if chain.length == 1 else 'entries'}, head {chain.head}"])
