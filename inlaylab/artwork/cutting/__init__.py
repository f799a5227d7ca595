"""The virtual cut: the path of the bit, what it leaves in both boards, and where the plug of an artwork rests."""
