"""Builds the second recognizer: Whisper tiny.en fine-tuned for speech at the bender. See models/README.md."""
