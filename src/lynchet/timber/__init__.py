"""Timber: pieces, stock, strength, connections."""
