type Line = { readonly line: number } & ({ readonly text: string } | { readonly fault: string });

/**
 * Cuts a text into lines piece by piece, in bounded memory; empty ones are passed over.
 * @param maxChars longest line; of a longer one nothing is given but its fault
 * @returns lines with their number, 1 the first
 * @example createLineReader(9).push('a\nb') // [{ line: 1, text: 'a' }]
 */
export function createLineReader(maxChars: number) {
  let parts: string[] = [];
  let length = 0;
  let line = 1;
  const ended = (): Line[] => {
    const text = parts.join('').trim();
    const found: Line[] =
      length > maxChars
        ? [{ line, fault: `it is longer than ${maxChars} characters` }]
        : text === ''
          ? []
          : [{ line, text }];
    parts = [];
    length = 0;
    line += 1;
    return found;
  };
  const add = (part: string) => {
    length += part.length;
    if (length <= maxChars) parts.push(part);
    else parts = [];
  };
  return {
    push(text: string): Line[] {
      const [first = '', ...others] = text.replace(/^\uFEFF/, '').split('\n');
      add(first);
      return others.flatMap((part) => {
        const found = ended();
        add(part);
        return found;
      });
    },
    /** the last line, where no break follows it */
    end: ended,
  };
}
