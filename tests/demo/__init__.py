"""The invented carrier of the demo days, and the script that writes them."""
