"""Ingredient lines read in a second.

    python -m bench.measures

Reads a list of distinct lines of seven countries, several times over, and prints the best rate; nothing is remembered
between lines. Aim: 2,000 lines a second or more.
"""

import time

from proofpan.science.measures.lines import parse_line

LINES = """1½ cups (190 g) plain flour, sifted|AU
1 × 400 ml can coconut milk|NZ
2 tbsp + 1 tsp olive oil|AU
3 eggs|UK
1 onion, finely chopped|US
250 g unsalted butter, softened|IE
2 lb 3½ oz plums|UK
between 4 and 6 tbsp ice water|US
juice of 1 lemon (about 3 tbsp)|US
1 cup sour cream or plain yogurt|CA
salt to taste|IN
a pinch of saffron|IN
2 × 400 g tins chickpeas, drained and rinsed|AU
1 (14.5-ounce) can diced tomatoes|US
one and a half cups basmati rice|US
1 tbsp olive oil, plus extra to drizzle|AU
2 cups (500 ml/17 fl oz) stock|AU
4 boneless, skinless chicken thighs|US
finely grated zest of 1 orange|UK
500 g pumpkin, peeled, seeded, cut in 3 cm pieces|AU
7 g instant dried yeast|NZ
1 level tsp bicarbonate of soda|UK
water, as needed|US
½ small red cabbage (about 400 g), finely shredded|UK"""


def lines_a_second(rounds: int = 40) -> float:
    """The best of five rates, by processor time, so that other work on the machine doesn't count."""
    pairs = [line.split("|") for line in LINES.splitlines()] * rounds
    parse_line("1 g salt", "UK")
    best = float("inf")
    for _ in range(5):
        start = time.process_time()
        for text, country in pairs:
            parse_line(text, country)
        best = min(best, time.process_time() - start)
    return len(pairs) / best


if __name__ == "__main__":
    print(f"{lines_a_second():,.0f} lines a second")
