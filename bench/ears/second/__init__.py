"""The second recognizer: a small Whisper model, searched along the grammar of the moment in a process of its own."""
