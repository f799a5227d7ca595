"""Drawings out: coupons and planned inlays at true size."""
