"""What lies on the bench: bits, coupons, cuts, readings and woods as frozen records."""
