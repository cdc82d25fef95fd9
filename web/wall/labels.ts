/** A name that ends in a number: "Bench 18", "Mist-3". */
const NUMBERED = /^(.*\D)?(\d{1,4})$/;

function numberIn(name: string): string | null {
  return NUMBERED.exec(name.trim())?.[2] ?? null;
}

/**
 * What places are called where there is room for a few letters: the number alone where no other place has it, else the
 * whole name.
 * @returns labels in the order of the names
 * @example labelsOf(['Bench 18', 'Dome on the sill']) // ['18', 'Dome on the sill']
 */
export function labelsOf(names: readonly string[]): string[] {
  const counts = new Map<string, number>();
  for (const name of names) {
    const number = numberIn(name);
    if (number !== null) counts.set(number, (counts.get(number) ?? 0) + 1);
  }
  return names.map((name) => {
    const number = numberIn(name);
    return number !== null && counts.get(number) === 1 ? number : name;
  });
}
