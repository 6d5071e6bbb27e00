"""By what a permit names people and its site."""

from django.conf import settings

from records.access import Ties

# a permit bears the names of its issuer, receiver, crew, of the operator of its locate, of who decided an emergency, and of whom it was handed over to
TIES = Ties(("issuer", "receiver", "crew", "locate__operator", "emergency__decided_by", *settings.PERMIT_NAMES), "site")
