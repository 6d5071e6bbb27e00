"""People, who are the site's users; sites; and the numbers in force at them."""

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from typing import ClassVar

from django.contrib.auth.hashers import UNUSABLE_PASSWORD_PREFIX
from django.contrib.auth.models import AbstractBaseUser, BaseUserManager
from django.db import models

from records.base import IdentifierField, ListField, Record, choices, word_check
from records.firm import rules
from records.rules import columns, kinds, words
from records.rules.numbers import EVERY_NUMBER
from records.rules.wrong import Wrong

LATEST_DAY = timedelta(hours=12)  # by so much the last places on Earth to end a day are behind UTC
EARLIEST_DAY = timedelta(hours=14)  # and by so much the first to begin one are ahead


class Person(AbstractBaseUser, Record):
    """Someone of the firm or working for it. A person whose password is set can sign in; a person who leaves stays on record."""

    KINDS: ClassVar = {"roles": kinds.Items(kinds.Word(words.ROLES))}

    password = models.CharField(max_length=128, default=UNUSABLE_PASSWORD_PREFIX, editable=False)
    person = IdentifierField(primary_key=True)
    name = models.TextField(max_length=2000)
    email = models.TextField(max_length=2000, blank=True)
    employer = models.TextField(max_length=2000, blank=True)
    roles = ListField(blank=True)
    left_on = models.DateField(null=True, blank=True)

    USERNAME_FIELD = "person"
    objects = BaseUserManager()

    class Meta:
        verbose_name_plural = "people"

    def __str__(self) -> str:
        return f"{self.name} ({self.person})"

    def has_left(self, at: datetime) -> bool:
        """Is their last day over, everywhere on Earth? A person belongs to no one site, and what they may sign each site's own day decides."""
        return self.left_on is not None and self.left_on < (at - LATEST_DAY).astimezone(UTC).date()

    def posts(self, role: str, at: datetime) -> models.QuerySet:
        """The keys of the sites to which they are posted in the role. A posting begins with its first day anywhere on Earth, and ends with its last."""
        earliest, latest = ((at + EARLIEST_DAY).astimezone(UTC).date(), (at - LATEST_DAY).astimezone(UTC).date())
        lasting = models.Q(ends_on=None) | models.Q(ends_on__gte=latest)
        return Posting.objects.filter(lasting, person=self.pk, role=role, begins_on__lte=earliest).values("site")


class RuleSet(Record):
    """A named set of numbers. It comes to be with its first row; `default` has none, ever."""

    rule_set = IdentifierField(primary_key=True)

    def __str__(self) -> str:
        return self.rule_set


class Rule(Record):
    """A number in force from a day on, with its source. A change is a new row with a later day, never an edit."""

    HAPPENED = "effective_from"
    KINDS: ClassVar = {"key": kinds.Word(tuple(EVERY_NUMBER)), "value": columns.RuleValue()}

    rule_set = models.ForeignKey(RuleSet, models.PROTECT, related_name="rules", db_column="rule_set")
    effective_from = models.DateField()
    key = models.CharField(max_length=40)
    value = models.CharField(max_length=40)
    source = models.TextField(max_length=2000, blank=True)

    class Meta:
        constraints: ClassVar = [models.UniqueConstraint(fields=["rule_set", "effective_from", "key"], name="firm_rule_once")]

    def __str__(self) -> str:
        return f"{self.rule_set_id}/{self.effective_from}/{self.key}"

    def wrongs(self) -> Iterable[Wrong]:
        return rules.rule_wrongs(self)


class Site(Record):
    """A place of work with its own time zone and numbers in force."""

    KINDS: ClassVar = {"time_zone": columns.TimeZone(), "owners_to_ask": columns.OWNERS}

    site = IdentifierField(primary_key=True)
    name = models.TextField(max_length=2000)
    time_zone = models.CharField(max_length=60)
    rule_set = models.ForeignKey(RuleSet, models.PROTECT, related_name="sites", db_column="rule_set")
    owners_to_ask = ListField(blank=True)

    def __str__(self) -> str:
        return f"{self.name} ({self.site})"


class Posting(Record):
    """Someone works at a site in a role, from a day through another (none: until further notice). It says what they see and enter there."""

    HAPPENED = "begins_on"

    posting = IdentifierField(primary_key=True)
    person = models.ForeignKey(Person, models.PROTECT, related_name="postings")
    site = models.ForeignKey(Site, models.PROTECT, related_name="postings")
    role = models.CharField(max_length=20, choices=choices(words.POSTED_ROLES))
    begins_on = models.DateField()
    ends_on = models.DateField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            word_check("firm_posting", "role", words.POSTED_ROLES),
            models.CheckConstraint(condition=models.Q(ends_on=None) | models.Q(ends_on__gte=models.F("begins_on")), name="firm_posting_ends_after"),
        ]

    def __str__(self) -> str:
        return self.posting

    def wrongs(self) -> Iterable[Wrong]:
        return rules.posting_wrongs(self)


class SecondFactor(Record):
    """A person's time-based codes. Their secret is worked out from the salt and the site's own key, so that the database alone gives it to nobody.

    One at most is in use, from a first good code on until it is ended.
    """

    person = models.ForeignKey(Person, models.PROTECT, related_name="second_factors")
    salt = models.CharField(max_length=64)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [models.UniqueConstraint(fields=["person"], condition=models.Q(ended_at=None), name="firm_one_second_factor")]

    def __str__(self) -> str:
        return f"second factor of {self.person_id}"


class RecoveryCode(Record):
    """A code that stands in once for a lost second factor. Only its keyed digest is kept."""

    factor = models.ForeignKey(SecondFactor, models.PROTECT, related_name="recovery_codes")
    digest = models.CharField(max_length=64, unique=True)
    used_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"recovery code {self.pk}"


class WayIn(Record):
    """An address at which a person's password can be chosen: who had it made and how it went to them, when it was opened and used.

    Only the digest of its token is kept. Whoever hands one over could open it first: so the person sees all of this, and can disown it.
    """

    person = models.ForeignKey(Person, models.PROTECT, related_name="ways_in")
    digest = models.CharField(max_length=64)
    how = models.TextField()
    by_id = models.CharField(max_length=40, blank=True)
    by_name = models.TextField()
    opened_at = models.DateTimeField(null=True, blank=True)
    used_at = models.DateTimeField(null=True, blank=True)
    disowned_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes: ClassVar = [models.Index(fields=["person", "digest"], name="firm_way_in_token")]

    def __str__(self) -> str:
        return f"way in of {self.person_id}"


class UsedStep(models.Model):
    """A time step whose code was used, so that nobody can use it again. No record: it goes after an hour."""

    factor = models.ForeignKey(SecondFactor, models.PROTECT, related_name="used_steps")
    step = models.BigIntegerField()
    at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [models.UniqueConstraint(fields=["factor", "step"], name="firm_step_once")]


class Visit(models.Model):
    """Where somebody is signed in: one session, by the digest of its key. No record: it goes a month after it was last seen."""

    person = models.ForeignKey(Person, models.PROTECT, related_name="visits")
    digest = models.CharField(max_length=64, unique=True)
    agent = models.CharField(max_length=200, blank=True)
    began_at = models.DateTimeField()
    seen_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)


class Knock(models.Model):
    """A try at a password, noted so that guessing is slow in every process. No record: it goes after an hour."""

    whose = models.CharField(max_length=64)
    whence = models.CharField(max_length=64)
    at = models.DateTimeField(db_index=True)

    class Meta:
        indexes: ClassVar = [models.Index(fields=["whose", "at"], name="firm_knock_whose")]
