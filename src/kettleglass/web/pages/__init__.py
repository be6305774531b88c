"""The pages, one file a noun: each answers an `Ask`."""
