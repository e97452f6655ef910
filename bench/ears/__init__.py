"""Hearing: microphone or recording to words with confidence."""
