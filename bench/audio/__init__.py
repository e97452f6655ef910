"""Sound devices and samples: PortAudio, microphone, loudspeaker, recordings and their helper processes."""
