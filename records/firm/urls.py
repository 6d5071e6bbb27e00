"""People's own pages."""

from django.urls import path

from records.firm import views

urlpatterns = [
    path("sign-in/", views.sign_in, name="sign_in"),
    path("sign-out/", views.sign_out, name="sign_out"),
    path("password/", views.password, name="password"),
]
