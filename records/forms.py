"""The one helper that lays a form out. The form tag, its token and its buttons stand in the template."""

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Layout


def laid_out(*parts: object) -> FormHelper:
    """Fields in this order (none named: all, as they are declared)."""
    helper = FormHelper()
    helper.form_tag = False
    helper.disable_csrf = True
    if parts:
        helper.layout = Layout(*parts)
    return helper
