"""The one helper that lays a form out. The form tag, its token and its buttons stand in the template."""

from crispy_forms.helper import FormHelper


def laid_out() -> FormHelper:
    """The fields in the order in which they are declared, without what the template says itself."""
    helper = FormHelper()
    helper.form_tag = False
    helper.disable_csrf = True
    helper.include_media = False
    return helper
