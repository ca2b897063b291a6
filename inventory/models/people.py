"""Who signs in, and what each may do."""

from django.contrib.auth.models import AbstractUser
from django.db import models


class Role(models.TextChoices):
    KEEPER = "keeper", "Keeper"
    OPERATOR = "operator", "Operator"
    PARTNER = "partner", "Partner"
    READER = "reader", "Reader"


class User(AbstractUser):
    """An account. Its role decides which pages answer; see web.access."""

    role = models.CharField(max_length=10, choices=Role, default=Role.READER)

    class Meta:
        ordering = ["username"]
        constraints = [
            models.CheckConstraint(
                name="user_role_known", condition=models.Q(role__in=Role.values)
            )
        ]

    def __str__(self):
        return self.username

    @property
    def is_keeper(self):
        return self.role == Role.KEEPER

    @property
    def is_staff_member(self):
        """Whether this person handles metal: keeper or operator."""
        return self.role in (Role.KEEPER, Role.OPERATOR)

    @property
    def is_partner(self):
        return self.role == Role.PARTNER
