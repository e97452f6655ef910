"""The only place that knows every room: takes events to the dialogue and does what the dialogue wants."""
