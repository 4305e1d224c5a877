"""What a key does: what is asked, which action of the store follows, what is answered."""
