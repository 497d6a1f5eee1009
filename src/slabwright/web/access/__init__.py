"""Who may enter: guard, sessions, passwords, origin, sign-in."""
