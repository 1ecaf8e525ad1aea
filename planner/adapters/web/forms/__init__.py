"""What stands in a form, what was typed in it, and how it comes back: one module a form."""
