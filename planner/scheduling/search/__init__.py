"""The search for a plan: by steps over tables of whole numbers, exactly for a few days, with a bound."""
