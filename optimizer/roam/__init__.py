"""A camera that walks with the play: the best policy over states of play and places, proven, and a card of it."""
