"""Tables: plants record by record, changes, verdicts, people, long work."""

from __future__ import annotations

from typing import Any, ClassVar

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.db.models.functions import Lower

__all__ = [
    "Attempt",
    "ChangeRow",
    "EntryRow",
    "Evidence",
    "Identity",
    "IndexLayout",
    "Inspection",
    "JobRow",
    "Membership",
    "Person",
    "PlantRow",
    "Review",
    "SavedView",
    "SignIn",
    "Token",
    "VerdictRow",
    "VersionRow",
]

ROLES = ("reader", "engineer", "checker", "approver", "administrator")


class PersonManager(BaseUserManager):
    """People by their name for signing in."""

    def get_by_natural_key(self, username: str) -> Person:
        """The person of that name, capitals aside."""
        found: Person = self.get(name__iexact=username)
        return found


class Person(AbstractBaseUser):
    """Somebody who may sign in. ``keeper`` may make plants and people, and see all plants."""

    name = models.CharField(max_length=150, unique=True)
    full_name = models.CharField(max_length=200, blank=True)
    email = models.CharField(max_length=254, blank=True)
    is_active = models.BooleanField(default=True)
    keeper = models.BooleanField(default=False)
    created = models.DateTimeField(auto_now_add=True)

    objects = PersonManager()
    USERNAME_FIELD = "name"
    REQUIRED_FIELDS: ClassVar[list[str]] = []

    class Meta:
        constraints: ClassVar[list[Any]] = [
            models.UniqueConstraint(Lower("name"), name="person_name_capitals_aside"),
            models.UniqueConstraint(
                Lower("email"), condition=~models.Q(email=""), name="person_email_capitals_aside"
            ),
        ]

    def __str__(self) -> str:
        return self.full_name or self.name


class Identity(models.Model):
    """A person as an OpenID provider knows her: by its own lasting name of her, not by e-mail."""

    person = models.ForeignKey(Person, models.CASCADE, related_name="identities")
    issuer = models.CharField(max_length=300)
    subject = models.CharField(max_length=255)
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints: ClassVar[list[Any]] = [
            models.UniqueConstraint(fields=["issuer", "subject"], name="one_person_of_a_subject"),
            models.UniqueConstraint(fields=["person", "issuer"], name="one_subject_of_a_person"),
        ]

    def __str__(self) -> str:
        return f"{self.person} at {self.issuer}"


class PlantRow(models.Model):
    """A plant: its name for addresses, how often it has changed, and the head of its chain.

    ``judged_by`` says by which version of the program and which ignition table its register was
    judged last.
    """

    slug = models.SlugField(max_length=60, unique=True)
    name = models.CharField(max_length=300)
    code = models.CharField(max_length=40)
    revision = models.PositiveBigIntegerField(default=0)
    chain = models.CharField(max_length=64, blank=True)
    judged_by = models.CharField(max_length=120, blank=True)
    created = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return self.name


class Membership(models.Model):
    """What a person may do in a plant."""

    plant = models.ForeignKey(PlantRow, models.CASCADE, related_name="memberships")
    person = models.ForeignKey(Person, models.CASCADE, related_name="memberships")
    role = models.CharField(max_length=20, choices=[(one, one) for one in ROLES])

    class Meta:
        constraints: ClassVar[list[Any]] = [
            models.UniqueConstraint(fields=["plant", "person"], name="one_role_in_a_plant"),
            models.CheckConstraint(condition=models.Q(role__in=ROLES), name="known_role"),
        ]

    def __str__(self) -> str:
        return f"{self.person}: {self.role}"


class ChangeRow(models.Model):
    """One change: who, when, why. ``chain`` is the digest over it and the one before."""

    plant = models.ForeignKey(PlantRow, models.CASCADE, related_name="changes")
    revision = models.PositiveBigIntegerField()
    at = models.DateTimeField()
    person = models.ForeignKey(Person, models.SET_NULL, null=True, related_name="+")
    by = models.CharField(max_length=200)
    why = models.TextField()
    records = models.PositiveIntegerField()
    chain = models.CharField(max_length=64)

    class Meta:
        constraints: ClassVar[list[Any]] = [
            models.UniqueConstraint(fields=["plant", "revision"], name="one_change_a_revision")
        ]

    def __str__(self) -> str:
        return f"{self.revision}: {self.why}"


class EntryRow(models.Model):
    """One record as it now stands. ``version`` counts its changes; ``gone`` was removed."""

    plant = models.ForeignKey(PlantRow, models.CASCADE, related_name="entries")
    kind = models.CharField(max_length=16)
    name = models.CharField(max_length=300)
    place = models.PositiveIntegerField()
    version = models.PositiveIntegerField()
    revision = models.PositiveBigIntegerField()
    content = models.TextField()
    digest = models.CharField(max_length=64)
    gone = models.BooleanField(default=False)

    class Meta:
        constraints: ClassVar[list[Any]] = [
            models.UniqueConstraint(fields=["plant", "kind", "name"], name="one_record_a_name")
        ]
        indexes: ClassVar[list[Any]] = [
            models.Index(fields=["plant", "revision"], name="entry_revision")
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.name}"


class VersionRow(models.Model):
    """One version of a record, kept for ever; blank content where it was removed."""

    entry = models.ForeignKey(EntryRow, models.CASCADE, related_name="versions")
    change = models.ForeignKey(ChangeRow, models.CASCADE, related_name="versions")
    version = models.PositiveIntegerField()
    content = models.TextField(blank=True)
    digest = models.CharField(max_length=64)

    class Meta:
        constraints: ClassVar[list[Any]] = [
            models.UniqueConstraint(fields=["entry", "version"], name="one_row_a_version")
        ]

    def __str__(self) -> str:
        return f"{self.entry} version {self.version}"


class Review(models.Model):
    """What a checker or an approver says of a change."""

    change = models.ForeignKey(ChangeRow, models.CASCADE, related_name="reviews")
    person = models.ForeignKey(Person, models.SET_NULL, null=True, related_name="+")
    by = models.CharField(max_length=200)
    at = models.DateTimeField()
    said = models.CharField(max_length=12)
    remark = models.TextField(blank=True)

    def __str__(self) -> str:
        return f"{self.said} by {self.by}"


class VerdictRow(models.Model):
    """The register: one circuit with its verdict, to be filtered and sorted by the database.

    ``stale`` waits to be judged again: its verdict is then unproven, whatever it was.
    ``used`` sorts: the utilisation, -1 where there is none.
    """

    entry = models.OneToOneField(EntryRow, models.CASCADE, primary_key=True)
    plant = models.ForeignKey(PlantRow, models.CASCADE, related_name="verdicts")
    tag = models.CharField(max_length=300)
    service = models.TextField(blank=True)
    area = models.CharField(max_length=300, blank=True)
    source = models.TextField(blank=True)
    apparatus = models.TextField(blank=True)
    verdict = models.PositiveSmallIntegerField()
    governing = models.CharField(max_length=60, blank=True)
    utilisation = models.FloatField(null=True)
    used = models.FloatField(default=-1.0)
    length = models.FloatField(null=True)
    open_points = models.PositiveIntegerField(default=0)
    needs = models.TextField(default="[]")
    works = models.CharField(max_length=20, blank=True)
    search = models.TextField()
    stale = models.BooleanField(default=False)

    class Meta:
        indexes: ClassVar[list[Any]] = [
            models.Index(fields=["plant", "tag"], name="register_tag"),
            models.Index(fields=["plant", "used", "tag"], name="register_used"),
            models.Index(fields=["plant", "verdict", "used", "tag"], name="register_verdict"),
            models.Index(fields=["plant", "area", "tag"], name="register_area"),
            models.Index(fields=["plant", "governing", "tag"], name="register_governing"),
            models.Index(fields=["plant", "open_points", "tag"], name="register_open"),
            models.Index(fields=["plant"], condition=models.Q(stale=True), name="register_stale"),
        ]

    def __str__(self) -> str:
        return self.tag


class SavedView(models.Model):
    """A filter of the register under a name."""

    plant = models.ForeignKey(PlantRow, models.CASCADE, related_name="views")
    person = models.ForeignKey(Person, models.CASCADE, related_name="views")
    title = models.CharField(max_length=80)
    query = models.CharField(max_length=1000)

    class Meta:
        constraints: ClassVar[list[Any]] = [
            models.UniqueConstraint(fields=["plant", "person", "title"], name="one_view_a_title")
        ]

    def __str__(self) -> str:
        return self.title


class IndexLayout(models.Model):
    """How the columns of an index fill ours, remembered by the headings that it has."""

    plant = models.ForeignKey(PlantRow, models.CASCADE, related_name="layouts")
    headings = models.CharField(max_length=64)
    given = models.TextField()
    at = models.DateTimeField(auto_now=True)

    class Meta:
        constraints: ClassVar[list[Any]] = [
            models.UniqueConstraint(fields=["plant", "headings"], name="one_layout_of_headings")
        ]

    def __str__(self) -> str:
        return f"layout of {self.plant}"


class JobRow(models.Model):
    """Long work: what, how far, and how it ended. It outlives the page that asked for it."""

    plant = models.ForeignKey(PlantRow, models.CASCADE, null=True, related_name="jobs")
    person = models.ForeignKey(Person, models.SET_NULL, null=True, related_name="+")
    sort = models.CharField(max_length=30)
    title = models.CharField(max_length=200)
    given = models.TextField(default="{}")
    state = models.CharField(max_length=12, default="waiting")
    done = models.PositiveIntegerField(default=0)
    total = models.PositiveIntegerField(default=0)
    says = models.CharField(max_length=300, blank=True)
    result = models.TextField(default="{}")
    stop = models.BooleanField(default=False)
    created = models.DateTimeField(auto_now_add=True)
    beat = models.DateTimeField(null=True)
    ended = models.DateTimeField(null=True)

    class Meta:
        indexes: ClassVar[list[Any]] = [models.Index(fields=["state", "id"], name="job_queue")]

    def __str__(self) -> str:
        return f"{self.title}: {self.state}"


class Evidence(models.Model):
    """A file of evidence: its name as given, and the name under which it is kept."""

    plant = models.ForeignKey(PlantRow, models.CASCADE, related_name="evidence")
    kind = models.CharField(max_length=16)
    record = models.CharField(max_length=300)
    title = models.CharField(max_length=200)
    media = models.CharField(max_length=60)
    size = models.PositiveIntegerField()
    digest = models.CharField(max_length=64)
    stored = models.CharField(max_length=80)
    at = models.DateTimeField(auto_now_add=True)
    by = models.CharField(max_length=200)

    class Meta:
        indexes: ClassVar[list[Any]] = [
            models.Index(fields=["plant", "kind", "record"], name="evidence_of_record")
        ]

    def __str__(self) -> str:
        return self.title


GRADES = ("visual", "close", "detailed")
FOUND = ("in order", "faults")


class Inspection(models.Model):
    """An inspection of a circuit on site: when, how closely, and what was found."""

    plant = models.ForeignKey(PlantRow, models.CASCADE, related_name="inspections")
    tag = models.CharField(max_length=300)
    revision = models.PositiveBigIntegerField()
    day = models.DateField()
    grade = models.CharField(max_length=12, choices=[(one, one) for one in GRADES])
    found = models.CharField(max_length=12, choices=[(one, one) for one in FOUND])
    remark = models.TextField(blank=True)
    person = models.ForeignKey(Person, models.SET_NULL, null=True, related_name="+")
    by = models.CharField(max_length=200)
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        indexes: ClassVar[list[Any]] = [
            models.Index(fields=["plant", "tag", "-day", "-id"], name="inspection_of_circuit")
        ]

    def __str__(self) -> str:
        return f"{self.tag} {self.day}: {self.found}"


class SignIn(models.Model):
    """A link that signs in once. Only the digest of its secret is kept."""

    person = models.ForeignKey(Person, models.CASCADE, related_name="+")
    digest = models.CharField(max_length=64, unique=True)
    until = models.DateTimeField()
    used = models.DateTimeField(null=True)

    def __str__(self) -> str:
        return f"sign-in of {self.person}"


class Token(models.Model):
    """Access of a program to one plant in a person's name. Only the digest is kept."""

    person = models.ForeignKey(Person, models.CASCADE, related_name="tokens")
    plant = models.ForeignKey(PlantRow, models.CASCADE, related_name="tokens")
    title = models.CharField(max_length=80)
    digest = models.CharField(max_length=64, unique=True)
    created = models.DateTimeField(auto_now_add=True)
    until = models.DateTimeField()
    seen = models.DateTimeField(null=True)

    def __str__(self) -> str:
        return self.title


class Attempt(models.Model):
    """A sign-in that failed: too many of them for one name or place close the door a while."""

    name = models.CharField(max_length=150)
    place = models.CharField(max_length=64)
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        indexes: ClassVar[list[Any]] = [
            models.Index(fields=["name", "at"], name="attempt_name"),
            models.Index(fields=["place", "at"], name="attempt_place"),
        ]

    def __str__(self) -> str:
        return f"{self.name} from {self.place}"
