"""The roof: permits to dig, the gate that judges them, their sign-off and their paper."""
