"""Of which site to tell. Sent by GET, so that the address can be kept and shared."""

from django import forms
from django.db.models import QuerySet

from records.firm.models import Site
from records.forms import laid_out


class SiteForm(forms.Form):
    """The whole firm, or one of its sites."""

    site = forms.ModelChoiceField(label="Of which site", queryset=Site.objects.none(), required=False, empty_label="the whole firm")

    def __init__(self, sites: QuerySet[Site], **given: object) -> None:
        super().__init__(**given)
        self.fields["site"].queryset = sites
        self.fields["site"].label_from_instance = lambda site: site.name
        self.helper = laid_out()

    def chosen(self) -> Site | None:
        """The site asked for, if it is one of them; else it is said at the field."""
        self.is_valid()
        return self.cleaned_data.get("site")
