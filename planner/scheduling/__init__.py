"""The term plan: problem, rules, cost, solver, explanation."""
