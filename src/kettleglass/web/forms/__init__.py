"""A recipe as the fields of a form, and back: what was typed stays as it was typed."""

from kettleglass.web.forms.editing import edited
from kettleglass.web.forms.fields import Typed, line_ids, step_ids, typed_of
from kettleglass.web.forms.reading import Fault, FormRead, read_form

__all__ = ["Fault", "FormRead", "Typed", "edited", "line_ids", "read_form", "step_ids", "typed_of"]
