"""From a picture of a coupon's finished face to readings with their uncertainty; README.md says how."""
