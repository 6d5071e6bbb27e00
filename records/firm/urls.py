"""People's own pages."""

from django.urls import path

from records.firm.views import account, door

ACCESS = [
    path("people/<str:person>/access/", account.access, name="access"),
    path("people/<str:person>/access/sign-out/", account.sign_somebody_out, name="sign_somebody_out"),
    path("people/<str:person>/access/second-factor/", account.end_somebodys_factor, name="end_somebodys_factor"),
]

urlpatterns = [
    path("set-up/", door.set_up, name="set_up"),
    path("sign-in/", door.sign_in, name="sign_in"),
    path("sign-in/code/", door.code, name="code"),
    path("sign-out/", door.sign_out, name="sign_out"),
    path("password/", door.password, name="password"),
    path("password/forgotten/", door.forgotten, name="forgotten"),
    path("password/<str:person>/<slug:token>/", door.choose_password, name="choose_password"),
    path("account/", account.account, name="account"),
    path("account/second-factor/", account.second_factor, name="second_factor"),
    path("account/second-factor/off/", account.second_factor_off, name="second_factor_off"),
    path("account/second-factor/recovery-codes/", account.recovery, name="recovery"),
    path("account/ways-in/<int:way>/not-me/", account.not_me, name="not_me"),
    path("account/sessions/<int:visit>/end/", account.end_visit, name="end_visit"),
    *ACCESS,
]
