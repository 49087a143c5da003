"""The walk round a home: its rooms in walking order, and what is shown, said and tried in each."""
