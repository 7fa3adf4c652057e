"""Lengths of time and tasks' names as a sentence of limits says them."""


def in_short(words: str, longest: int = 70) -> str:
    """A task's first sentence, cut at a word where it runs long: enough to know it by, in a sentence of limits."""
    first = words.split(". ")[0].rstrip(" .")
    return first if len(first) <= longest else first[: longest - 1].rpartition(" ")[0].rstrip(" ,;:") + " …"


def say_minutes(minutes: int) -> str:
    """A length in words: 48 h, 1 h 30 min, 20 min; from three days on, 21 days, 3 days 5 h."""
    if minutes >= 3 * 24 * 60:
        days, rest = divmod(minutes, 24 * 60)
        return f"{days} days" + (f" {say_minutes(rest)}" if rest else "")
    hours, rest = divmod(minutes, 60)
    return " ".join(x for x in (f"{hours} h" if hours else "", f"{rest} min" if rest or not hours else "") if x)
