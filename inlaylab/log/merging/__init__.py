"""Two makers' logs as one: of logs that were one once both sides' changes, of others a new log that holds both."""
