"""One panel a notebook: a state that can be tested without a screen, and its view."""
