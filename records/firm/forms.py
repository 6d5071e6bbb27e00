"""Forms of people: signing in, and a new password of one's own."""

from datetime import datetime
from typing import Any, ClassVar

from django.contrib.auth.forms import AuthenticationForm, PasswordChangeForm
from django.core.exceptions import ValidationError
from django.http import HttpRequest

from records.firm.models import Person
from records.forms import laid_out
from records.rules.dates import day_says

TOO_MANY = "Too many tries. Try again in a quarter of an hour; after very many, in an hour."


class SignInForm(AuthenticationForm):
    """The person's identifier and password. Who has left may not come in."""

    error_messages: ClassVar[dict[str, str]] = {
        "invalid_login": "That identifier and password do not belong together. Capital letters count in both.",
        "inactive": "This person may not sign in.",
    }

    def __init__(self, request: HttpRequest, at: datetime, **given: Any) -> None:
        super().__init__(request, **given)
        self.at = at
        self.fields["username"].label = "Your identifier"
        self.fields["username"].help_text = "As it stands in the firm's register of people."
        self.helper = laid_out()

    def confirm_login_allowed(self, user: Person) -> None:
        super().confirm_login_allowed(user)
        if user.has_left(self.at):
            raise ValidationError(f"{user.name} left on {day_says(user.left_on)} and may no longer sign in.")


class NewPasswordForm(PasswordChangeForm):
    """The password in use, and a new one twice."""

    error_messages: ClassVar[dict[str, str]] = {
        "password_mismatch": "The two new passwords differ.",
        "password_incorrect": "That is not your password.",
    }

    def __init__(self, person: Person, **given: Any) -> None:
        super().__init__(person, **given)
        labels = {"old_password": "Your password now", "new_password1": "A new password", "new_password2": "The new password again"}
        for name, label in labels.items():
            self.fields[name].label = label
        self.fields["new_password1"].help_text = "At least 12 characters; a few words that only you would put together serve well."
        self.fields["new_password2"].help_text = ""
        self.helper = laid_out()
