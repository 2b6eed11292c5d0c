"""The bench page: photograph, look, mend and keep, from a phone in the workshop's own network."""
