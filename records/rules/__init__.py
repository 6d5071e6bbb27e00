"""Pure rules of every record: days and instants, cover, verdicts, columns, numbers in force. No Django."""
