"""Ground floor: numbers in, numbers out; pure; knows no study, file or page."""
