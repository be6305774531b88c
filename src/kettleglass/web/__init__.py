"""The pages and the small JSON interface, served on this machine."""
