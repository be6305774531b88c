"""What the maker intends: lines, amounts, the solved weights, the balance, how sure it is, what to mind."""
