"""Laws that every plan must obey, whatever the yard: imported by the tests and by the sweep."""
