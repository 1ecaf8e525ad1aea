"""What a line asks of hands, lip and lungs on its instrument."""
