"""The pages, one blueprint a subject."""
