"""What people type: which values can hold, which are refused, and which are asked about first."""
