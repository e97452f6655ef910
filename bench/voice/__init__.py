"""Speaking: words to sound to loudspeaker, interruptible."""
