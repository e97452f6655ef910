"""What happens next: state and event in, new state and effects out. Pure."""
