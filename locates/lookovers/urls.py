"""Addresses of digs' diaries."""

from django.urls import path

from locates.lookovers import views

urlpatterns = [
    path("permits/<str:permit>/look-over/", views.look_over, name="look_over"),
    path("permits/<str:permit>/sweep/", views.sweep_again, name="sweep_again"),
    path("permits/<str:permit>/expose/", views.exposed, name="exposed"),
    path("permits/<str:permit>/happened/", views.happened, name="happened"),
    path("permits/<str:permit>/diary/", views.diary, name="diary"),
    path("permits/<str:permit>/diary.pdf", views.diary_paper, name="diary_pdf"),
    path("diaries/", views.diaries, name="diaries"),
    path("diaries.csv", views.diaries_csv, name="diaries_csv"),
]
