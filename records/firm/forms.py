"""Forms of people: coming in, one's own password, and the second factor."""

from datetime import datetime
from typing import Any, ClassVar

from django import forms
from django.contrib.auth.forms import AuthenticationForm, PasswordChangeForm, SetPasswordForm
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.http import HttpRequest
from django.utils.crypto import constant_time_compare

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


class FirstPersonForm(forms.ModelForm):
    """The first person of all: who they are, and a password twice. Where the server asks for its code, that too."""

    class Meta:
        model = Person
        fields: ClassVar = ["person", "name", "email", "employer"]
        widgets: ClassVar = {name: forms.TextInput(attrs={"autocomplete": "off"}) for name in ("person", "name", "employer")} | {"email": forms.EmailInput()}
        labels: ClassVar = {"person": "Your identifier", "name": "Your name", "email": "Your mail address", "employer": "Your firm"}
        help_texts: ClassVar = {
            "person": "A short name of your own, such as P-01: you sign in with it, and it never changes.",
            "name": "As it is printed on permits.",
            "email": "Where a new password can be sent.",
        }

    new_password1 = forms.CharField(label="A password", strip=False, widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}))
    new_password2 = forms.CharField(label="The password again", strip=False, widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}))
    new_password1.help_text = "At least 12 characters; a few words that only you would put together serve well."

    def __init__(self, code: str, **given: Any) -> None:
        super().__init__(**given)
        self.code = code
        if code:
            self.fields["code"] = forms.CharField(label="The server’s set-up code", help_text="Whoever runs the server has it.")
        self.helper = laid_out()

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        first, second = cleaned.get("new_password1"), cleaned.get("new_password2")
        if first and second and first != second:
            self.add_error("new_password2", "The two passwords differ.")
        if self.code and not constant_time_compare(cleaned.get("code", ""), self.code):
            self.add_error("code", "That is not the code.")
        return cleaned

    def _post_clean(self) -> None:
        super()._post_clean()
        if password := self.cleaned_data.get("new_password1"):
            try:
                validate_password(password, self.instance)
            except ValidationError as faults:
                self.add_error("new_password1", faults)


class ForgottenForm(forms.Form):
    """Whose password is lost."""

    person = forms.CharField(label="Your identifier", max_length=100, widget=forms.TextInput(attrs={"autocomplete": "username"}))

    def __init__(self, **given: Any) -> None:
        super().__init__(**given)
        self.helper = laid_out()


class ChosenPasswordForm(SetPasswordForm):
    """A new password twice, for who came by an address that was sent to them."""

    error_messages: ClassVar[dict[str, str]] = {"password_mismatch": "The two passwords differ."}

    def __init__(self, person: Person, **given: Any) -> None:
        super().__init__(person, **given)
        self.fields["new_password1"].label, self.fields["new_password2"].label = "A new password", "The new password again"
        self.fields["new_password1"].help_text = "At least 12 characters; a few words that only you would put together serve well."
        self.fields["new_password2"].help_text = ""
        self.helper = laid_out()


class CodeForm(forms.Form):
    """The code that a phone shows now, or a recovery code."""

    code = forms.CharField(label="Code", max_length=20, widget=forms.TextInput(attrs={"autocomplete": "one-time-code", "inputmode": "text"}))
    code.help_text = "The six digits that your phone shows now."

    def __init__(self, *, recovery: bool = False, **given: Any) -> None:
        super().__init__(**given)
        if recovery:
            self.fields["code"].help_text = "The six digits that your phone shows now, or one of your recovery codes."
        self.helper = laid_out()


class OwnPasswordForm(forms.Form):
    """The password again, before something of the sign-in is changed; and why, where somebody else's is.

    `code`: asked for too, `phone` one that the phone shows, `any` a recovery code as well.
    """

    password = forms.CharField(label="Your password", strip=False, max_length=4096, widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}))

    def __init__(self, person: Person, *, reason: bool = False, code: str = "", **given: Any) -> None:
        super().__init__(**given)
        self.person = person
        if code:
            self.fields["code"] = CodeForm(recovery=code == "any").fields["code"]
        if reason:
            self.fields["why"] = forms.CharField(label="Why", max_length=2000, widget=forms.Textarea(attrs={"rows": 2}))
        self.helper = laid_out()

    def clean_password(self) -> str:
        if not self.person.check_password(self.cleaned_data["password"]):
            raise ValidationError("That is not your password.")
        return ""
