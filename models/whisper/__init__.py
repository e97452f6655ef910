"""Builder of the second listener: Whisper tiny.en trained on for what is said at the bender. See models/README.md."""
