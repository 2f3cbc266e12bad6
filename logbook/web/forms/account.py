"""Forms of signing in, the set-up and the account."""

from __future__ import annotations

from django import forms

from logbook.accounts.choices import Scope
from logbook.web.forms.fields import DayField


class SetupForm(forms.Form):
    """The first owner of the site."""

    username = forms.CharField(
        label="Your name here",
        max_length=150,
        help_text="Short, such as your initials. It stands beside everything you record.",
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "none"}),
    )
    password = forms.CharField(
        label="Password",
        max_length=200,
        help_text="At least 10 characters.",
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    again = forms.CharField(
        label="Password again",
        max_length=200,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    code = forms.CharField(
        label="One-time code",
        max_length=60,
        required=False,
        help_text="The server printed it on its console.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def __init__(self, *args: object, is_local: bool, **options: object) -> None:
        super().__init__(*args, **options)  # type: ignore[arg-type]
        if is_local:
            del self.fields["code"]
        else:
            self.fields["code"].required = True

    def clean(self) -> dict[str, object]:
        """Check that the password was typed the same twice."""
        given: dict[str, object] = super().clean() or {}
        if given.get("password") != given.get("again"):
            self.add_error("again", "This is not the same password.")
        return given


class PasswordForm(forms.Form):
    """A new password."""

    old = forms.CharField(
        label="Present password",
        max_length=200,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )
    new = forms.CharField(
        label="New password",
        max_length=200,
        help_text="At least 10 characters.",
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    again = forms.CharField(
        label="New password again",
        max_length=200,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    def clean(self) -> dict[str, object]:
        """Check that the password was typed the same twice."""
        given: dict[str, object] = super().clean() or {}
        if given.get("new") != given.get("again"):
            self.add_error("again", "This is not the same password.")
        return given


class TokenForm(forms.Form):
    """A new token of a bench script."""

    name = forms.CharField(
        label="What it is for", max_length=50, help_text="Such as: supply sweep on the bench PC."
    )
    scopes = forms.MultipleChoiceField(
        label="What it may do",
        choices=Scope.choices,
        initial=[Scope.READ, Scope.RECORD],
        widget=forms.CheckboxSelectMultiple,
    )
    expires_at = DayField(label="Useless after", help_text="Left empty, it works until you revoke it.")
