"""A value with the least and most it may be."""

from dataclasses import dataclass

from proofpan.science.measures.errors import QuantityError


@dataclass(frozen=True, slots=True)
class Interval:
    """A value with the least and most it may be."""

    value: float
    low: float
    high: float

    def times(self, other: "Interval") -> "Interval":
        """Product of two independent intervals of numbers not below zero."""
        return Interval(self.value * other.value, self.low * other.low, self.high * other.high)

    def over(self, other: "Interval") -> "Interval":
        """Quotient of two independent intervals of numbers above zero.

        Raises:
            QuantityError: when the divisor may be zero.
        """
        if other.low <= 0:
            raise QuantityError("An amount of zero can't be divided by: it would be above zero.")
        return Interval(self.value / other.value, self.low / other.high, self.high / other.low)

    def scaled(self, factor: float) -> "Interval":
        """All three times one number."""
        return Interval(self.value * factor, self.low * factor, self.high * factor)

    @property
    def exact(self) -> bool:
        """Whether low and high are the value."""
        return self.high - self.low <= 1e-9 * abs(self.value)


def number(value: float) -> str:
    """A number in four figures at most."""
    return f"{value:.4g}"


def shown(x: Interval) -> str:
    """A value with its interval in brackets where it has one."""
    return number(x.value) if x.exact else f"{number(x.value)} ({number(x.low)} to {number(x.high)})"
