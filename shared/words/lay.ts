/** What a number means to somebody who has never heard its name, by what its path holds; the first that fits counts. */
const LAY: readonly (readonly [RegExp, string])[] = [
  [
    /leafVpd/i,
    'How strongly the air pulls water from the leaves, taken at the leaf itself: low is damp, high dries the cuttings.',
  ],
  [/kpaHours/i, 'How strongly the air pulled water from the leaves, times for how long: the sum of it.'],
  [/vpd/i, 'How strongly the air pulls water from the leaves: low is damp, high dries the cuttings.'],
  [/degreeHours/i, 'How many degrees it was out, times for how long: 2 °C out for 3 h is 6 °C·h.'],
  [/dewPoint/i, 'The temperature at which this air would leave water on a surface.'],
  [/dli/i, 'All the light of a day, added up.'],
  [/ppfd/i, 'How much light of use to plants falls on a square metre in a second.'],
  [
    /wetHours/i,
    'How long it was wet and warm enough for the disease to grow: it does not say that there is any.',
  ],
  [/rootMinusAir/i, 'How much warmer the base of the cuttings is than their tops.'],
  [/harm/i, 'How much of what cuttings without roots can bear was used up: 1 is all of it.'],
];

/** A lay sentence about a number, to be read before its formula; null where its name says it. */
export function layWords(of: string): string | null {
  return LAY.find(([pattern]) => pattern.test(of))?.[1] ?? null;
}
