"""The commands by subject; `app.cli` puts them together. Only `app.cli` imports them."""
