"""What becomes of a permit once it is signed: suspended and resumed, handed over, extended, ended, handed back, cancelled."""
