"""What is said: words to numbers and back, phrases, grammars, understanding. Pure."""
