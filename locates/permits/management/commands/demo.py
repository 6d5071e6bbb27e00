"""The invented firm: loaded, judged, printed, and served on this machine."""

from argparse import ArgumentParser
from datetime import datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import OperationalError, connections
from django.utils.module_loading import import_string

from locates.permits.demo import database, steps, telling
from locates.permits.demo.people import FIRM
from locates.permits.demo.scenario import scenario
from locates.permits.demo.serving import HOST, Site, is_taken
from locates.permits.since import told
from records.clock import now
from records.command import WRONG_CALL
from records.firm.models import Person
from records.ledger.models import Entry
from records.rules.words import ROLES, spoken

PASSWORD = "spade-and-lantern-27"
PORT = 8000
SHOWN = {"supervisor": "P-05", "operator": "P-14", "safety_manager": "P-01"}


class Command(BaseCommand):
    requires_system_checks = ()
    help = "Loads the demo firm into an empty database, writes its permits as PDF, prints what may be signed and what is blocked, and serves the site."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--no-serve", action="store_true", help="end after the PDFs")
        parser.add_argument("--out", type=Path, default=settings.BASE_DIR / "permits-pdf", metavar="DIR", help="where the PDFs go; by default permits-pdf")
        parser.add_argument("--port", type=int, default=PORT, help=f"by default {PORT}")

    def handle(self, *args: Any, **options: Any) -> None:
        if settings.PRODUCTION:
            raise refused("this is a production set-up, and everyone in the demo firm has the same printed password: nothing was done")
        if not options["no_serve"] and is_taken(options["port"]):
            raise refused(f"port {options['port']} of {HOST} is taken: end what uses it, or choose another with --port. Nothing was done")
        at = now()
        if self.fill(at):
            self.more(at, settings.SITE_ADDRESS or f"http://{HOST}:{options['port']}/")
        if not Path(settings.SEAL_FILE).exists():
            call_command("make_seal", FIRM, verbosity=0)
        prospects = self.papers(options["out"], at)
        since = told((one.verdict.permit for one in prospects), at)
        self.say("", *telling.report(prospects, since), "", "Sign in as", *telling.log_ins(prospects, others()), f"  everyone’s password: {PASSWORD}")
        if not options["no_serve"]:
            self.serve(options["port"])

    def fill(self, at: datetime) -> bool:
        """Bring the demo firm into a database that holds nothing else; says whether it was brought in just now."""
        try:
            found = database.holds(scenario(at))
        except OperationalError as trouble:
            raise refused(f"the database cannot be used: {trouble}") from trouble
        if found == database.FOREIGN:
            raise refused(
                "the database holds something other than the demo firm of this version, and nothing in it was touched. "
                "Give the demo a database of its own: DATABASE_URL=sqlite:///demo.sqlite3"
            )
        if found == database.DEMO and not database.can_start_afresh():
            self.say(kept())
            steps.open_doors(PASSWORD, at)
            return False
        if found == database.DEMO:
            database.empty_out()
            self.say("The database held the demo firm of an earlier run and nothing else: it starts afresh, dated from now.")
        call_command("migrate", verbosity=0, skip_checks=True)
        self.say(f"Loading the demo firm: {steps.bring_in(at)} records.")
        steps.open_doors(PASSWORD, at)
        steps.sign_some(at)
        self.say(f"Signed by this command, in the names of those whom the permits name: {', '.join(steps.SIGNED)}.")
        return True

    def more(self, at: datetime, root: str) -> None:
        """What the apps above give the firm: lives of its permits, and what else hangs on permits and locates."""
        for path in settings.DEMO_MORE:
            import_string(path)(at, root)
        self.say("What permits show as done since they were signed was done by this command too, dated on the days before.")

    def papers(self, out: Path, at: datetime) -> list[steps.Prospect]:
        out.mkdir(parents=True, exist_ok=True)
        prospects = list(steps.prospects(at))
        self.stdout.write("Permits as PDF: ", ending="")
        for one in prospects:
            steps.print_paper(one, out)
            self.stdout.write(".", ending="")
            self.stdout.flush()
        self.say(f" {len(prospects)}, in {out}")
        return prospects

    def serve(self, port: int) -> None:
        self.say("", f"The site: http://{HOST}:{port}/   (Ctrl-C ends it)")
        self.stdout.flush()
        connections.close_all()
        Site(port).run()

    def say(self, *lines: str) -> None:
        for line in lines:
            self.stdout.write(line)


def refused(why: str) -> CommandError:
    return CommandError(why, returncode=WRONG_CALL)


def kept() -> str:
    since = Entry.objects.earliest("seq").recorded_at
    return (
        f"The database held the demo firm already, and it was kept as it was loaded at {since:%Y-%m-%d %H:%M} UTC, with {Entry.objects.count()} entries "
        "in its history. Its dates count from that day; for a fresh one, give the demo an empty database."
    )


def others() -> list[tuple[str, str, str]]:
    names = dict(Person.objects.filter(person__in=SHOWN.values()).values_list("person", "name"))
    return [(spoken(role), SHOWN[role], names[SHOWN[role]]) for role in reversed(ROLES)]
