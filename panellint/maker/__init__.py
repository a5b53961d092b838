"""The maker's side: batch sheets, what a food made by them holds, and the label against them."""
