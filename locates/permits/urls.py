"""Addresses of the permit pages."""
urlpatterns = []
